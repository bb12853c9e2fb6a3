"""The agreement in a few lines for the terminal: the sentences of the page, nothing else."""

from outcomes.graders.agreement import Agreement
from outcomes.graders.told import find_limit
from outcomes.report.agree_means import describe_alone
from outcomes.report.agree_short import describe_band, describe_pairs
from outcomes.report.agree_where import describe_worst_step
from outcomes.report.agree_who import describe_graders
from outcomes.report.agree_words import build_words, count_rows, describe_band_doubt, label_of
from outcomes.report.plain_lines import wrap_text


def describe_agreement(agreement: Agreement) -> str:
    """Return the summary, lines of at most 100 columns, one paragraph an outcome."""
    wording = build_words(agreement)
    rows = count_rows(agreement)
    limit = find_limit(agreement)
    paragraphs = [wording.say("agree.rows", rows)]
    for compared in agreement.outcomes:
        sentences = (
            describe_band(compared, wording),
            describe_band_doubt(compared, wording),
            describe_pairs(compared, wording),
            describe_worst_step(compared, wording),
            *describe_graders(compared, wording, limit=limit),
        )
        told = " ".join(sentence for sentence in sentences if sentence)
        paragraphs.append(f"{label_of(compared)}: {told}")
    paragraphs += [describe_alone(agreement, wording), wording.say("agree.means_once")]
    return "\n\n".join("\n".join(wrap_text(text)) for text in paragraphs if text)
