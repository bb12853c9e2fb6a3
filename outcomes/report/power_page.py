"""The page of a power simulation, as a document."""

from collections.abc import Iterator

from outcomes.planning.plan import Unit
from outcomes.planning.power_lot import DRAWS
from outcomes.planning.power_study import PowerStudy
from outcomes.report.document import Depth, Document, ItemList, Paragraph, Section, Tone
from outcomes.report.power_pictures import build_other_table, build_pictures
from outcomes.report.power_sentences import describe_answer, describe_rest
from outcomes.report.power_supposed import describe_supposed
from outcomes.report.power_teller import PowerTeller
from outcomes.report.wording import (
    Value,
    Wording,
    capitalise,
    choose_words,
    join_words,
    read_wording,
)


def build_tellers(study: PowerStudy) -> tuple[PowerTeller, ...]:
    """Return every part with its words."""
    words = choose_words(read_wording(), cluster=study.cluster_word, piece=study.piece_word)
    return tuple(PowerTeller(part=part, wording=words) for part in study.parts)


def build_power_document(study: PowerStudy) -> Document:
    """Return the page: for every question the answer, pictures, suppositions; then how."""
    tellers = build_tellers(study)
    words = tellers[0].wording
    say = words.say
    sections = [
        section
        for number, teller in enumerate(tellers, start=1)
        for section in _build_part(teller, number=number, alone=len(tellers) == 1)
    ]
    return Document(
        language=say("page.language"),
        title=say("power.title"),
        subtitle=study.title or say("power.subtitle_guess"),
        facts=_build_facts(tellers),
        sections=(*sections, _build_method(tellers[0])),
        legend=(),
        labels=_build_labels(words),
        footer=words.say_all("power.footer", {"version": study.version}),
    )


def describe_question(teller: PowerTeller) -> str:
    """Return what is compared."""
    compared = teller.part.question.compared
    if not compared:
        return teller.wording.say("power.question_guess")
    outcome, factor, first, second = compared
    values: dict[str, Value] = {"outcome": outcome, "factor": factor, "from": first, "to": second}
    return teller.wording.say("power.question_plan", values)


def describe_method(teller: PowerTeller) -> tuple[str, ...]:
    """Return how it was worked out."""
    part = teller.part
    values: dict[str, Value] = {
        "confidence": f"{100 - 100 * part.question.level:.4g}",
        "runs": part.grid.runs,
        "seed": part.grid.seed,
        "draws": DRAWS,
        "open": f"{100 * 1.96 * (0.25 / part.grid.runs) ** 0.5:.0f}",
    }
    return teller.wording.say_all("power.method_lines", values)


def _build_facts(tellers: tuple[PowerTeller, ...]) -> tuple[tuple[str, str], ...]:
    say = tellers[0].wording.say
    keys = {Unit.FIRING: "power.lot_firing", Unit.PIECE: "power.lot_piece"}
    lots = dict.fromkeys(say(keys[teller.part.question.assigned]) for teller in tellers)
    questions = dict.fromkeys(describe_question(teller) for teller in tellers)
    differences = dict.fromkeys(teller.difference() for teller in tellers)
    return (
        (say("power.fact_question"), join_words(list(questions))),
        (say("power.fact_difference"), join_words(list(differences))),
        (say("power.fact_lot"), join_words(list(lots))),
        (say("power.fact_runs"), str(sum(t.part.grid.count_runs() for t in tellers))),
    )


def _build_part(teller: PowerTeller, *, number: int, alone: bool) -> Iterator[Section]:
    """Yield the sections of one question."""
    say = teller.wording.say
    name: dict[str, Value] = {"name": capitalise(teller.part.question.name)}
    yield Section(
        key=f"answer-{number}",
        title=say("power.answer") if alone else say("power.answer_named", name),
        blocks=(
            Paragraph(text=describe_answer(teller), tone=Tone.LEAD),
            ItemList(items=describe_rest(teller)),
        ),
    )
    yield Section(
        key=f"chances-{number}",
        title=say("power.pictures") if alone else say("power.pictures_named", name),
        blocks=(
            *build_pictures(teller, key=f"chances-{number}"),
            Depth(
                key=f"other-{number}",
                summary=say("power.nothing_title"),
                blocks=(
                    Paragraph(text=say("power.nothing_lead")),
                    *(
                        build_other_table(teller, luck, key=f"other-{number}-{luck}")
                        for luck in teller.lucks()
                    ),
                ),
            ),
        ),
    )
    yield Section(
        key=f"supposed-{number}",
        title=say("power.supposed") if alone else say("power.supposed_named", name),
        blocks=(
            Paragraph(text=say("power.supposed_lead")),
            ItemList(items=describe_supposed(teller)),
        ),
    )


def _build_method(teller: PowerTeller) -> Section:
    return Section(
        key="method",
        title=teller.wording.say("power.method"),
        blocks=(ItemList(items=describe_method(teller)),),
    )


def _build_labels(words: Wording) -> tuple[tuple[str, str], ...]:
    names = ("contents", "legend", "caution", "cautions")
    return (
        ("skip", words.say("power.skip")),
        ("paper", words.say("power.paper")),
        *((name, words.say(f"page.{name}")) for name in names),
    )
