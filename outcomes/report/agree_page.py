"""The page on graders as content: what to know first, numbers last."""

from outcomes.graders.agreement import Agreement
from outcomes.report.agree_means import build_means, build_next
from outcomes.report.agree_method import build_method
from outcomes.report.agree_short import build_short
from outcomes.report.agree_where import build_where
from outcomes.report.agree_who import build_who
from outcomes.report.agree_words import build_words
from outcomes.report.document import Document
from outcomes.report.wording import Wording, join_words


def build_agree_document(agreement: Agreement) -> Document:
    """Return the page: in short, where, who, what it means, what to do, how."""
    wording = build_words(agreement)
    say, files = wording.say, join_words([file.name for file in agreement.gradings.files])
    return Document(
        language=say("page.language"),
        title=say("agree.title"),
        subtitle=files,
        facts=_build_facts(agreement, wording),
        sections=(
            build_short(agreement, wording),
            build_where(agreement, wording),
            build_who(agreement, wording),
            build_means(agreement, wording),
            build_next(agreement, wording),
            build_method(agreement, wording),
        ),
        legend=(),
        labels=build_labels(wording, skip="agree.skip", paper="agree.paper"),
        footer=wording.say_all("agree.footer", {"version": agreement.version, "files": files}),
    )


def build_labels(wording: Wording, *, skip: str, paper: str) -> tuple[tuple[str, str], ...]:
    """Return the texts around a page; ``skip`` and ``paper`` are the keys of its own."""
    shared = ("contents", "legend", "caution", "cautions")
    return (
        ("skip", wording.say(skip)),
        ("paper", wording.say(paper)),
        *((name, wording.say(f"page.{name}")) for name in shared),
    )


def _build_facts(agreement: Agreement, wording: Wording) -> tuple[tuple[str, str], ...]:
    say, entries = wording.say, agreement.gradings.entries
    twice = {
        piece
        for compared in agreement.outcomes
        for piece, shared in zip(compared.ratings.pieces, compared.ratings.shared(), strict=True)
        if shared
    }
    return (
        (say("agree.facts_graders"), join_words(sorted(entries["grader"].unique()))),
        (say("agree.facts_pieces"), str(len(twice))),
        (say("agree.facts_blind"), say(f"agree.blind_{agreement.blind}")),
    )
