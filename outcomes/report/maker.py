"""The maker's page as content: nine sections and a panel, plain first, depth on demand."""

from outcomes.effects.effect import Word
from outcomes.report.cautions import build_cautions
from outcomes.report.document import Document
from outcomes.report.maker_conditions import build_conditions
from outcomes.report.maker_curves import build_pictures
from outcomes.report.maker_method import build_method
from outcomes.report.maker_outcomes import build_outcomes
from outcomes.report.maker_panel import build_try
from outcomes.report.maker_reading import build_reading
from outcomes.report.maker_shares import build_shares
from outcomes.report.maker_takeaways import build_takeaways
from outcomes.report.maker_unknown import build_unknown
from outcomes.report.sentences import WORD_KEYS
from outcomes.report.teller import Teller, build_teller
from outcomes.report.wording import join_words, mid_sentence
from outcomes.study.record import Study


def build_maker_document(study: Study) -> Document:
    """Return the maker's page: what to take away first, cautions last, nothing rendered yet."""
    teller = build_teller(study)
    say = teller.wording.say
    panel = build_try(teller)
    return Document(
        language=say("page.language"),
        title=say("page.title"),
        subtitle=join_words([file.name for file in study.log.files]),
        facts=build_facts(teller),
        sections=(
            build_takeaways(teller),
            build_outcomes(teller),
            *build_shares(teller),
            build_pictures(teller),
            *panel,
            build_conditions(teller),
            build_unknown(teller),
            build_reading(teller),
            build_method(teller),
            build_cautions(teller),
        ),
        legend=build_legend(teller),
        labels=tuple(
            (name, say(f"page.{name}"))
            for name in ("skip", "contents", "legend", "caution", "cautions", "paper")
        ),
        footer=_build_footer(teller, has_panel=bool(panel)),
    )


def _build_footer(teller: Teller, *, has_panel: bool) -> tuple[str, ...]:
    """Return who made the page from what, and what it does by itself."""
    study = teller.study
    files = join_words([file.name for file in study.log.files])
    key = "page.footer_panel" if has_panel else "page.footer"
    return teller.wording.say_all(key, {"version": study.version, "files": files})


def build_facts(teller: Teller) -> tuple[tuple[str, str], ...]:
    """Return what the page is about, in five short entries."""
    say, study = teller.wording.say, teller.study
    labels = [mid_sentence(part.outcome.label) for part in study.outcomes]
    return (
        (say("facts.codebook"), study.log.codebook.title),
        (say("facts.pieces"), str(study.log.account.rows_used)),
        (say("facts.clusters"), str(study.firings)),
        (say("facts.outcomes"), join_words(labels)),
    )


def build_legend(teller: Teller) -> tuple[tuple[Word, str], ...]:
    """Return the verdict words that this page uses, each with its meaning."""
    verdicts = [
        verdict
        for part in teller.study.outcomes
        for verdict in (
            *(effect.verdict for effect in part.effects),
            *(item.verdict for item in part.not_learnt),
        )
    ]
    used = {verdict.word for verdict in verdicts if verdict is not None}
    return tuple(
        (word, teller.wording.say(f"words.{WORD_KEYS[word]}")) for word in Word if word in used
    )
