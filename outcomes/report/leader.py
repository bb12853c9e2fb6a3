"""The leader's page as content: what only the one who teaches should read."""

from outcomes.report.cautions import build_cautions
from outcomes.report.document import Block, Callout, Document, ItemList, Paragraph, Section, Tone
from outcomes.report.leader_coaching import build_coaching, describe_coached
from outcomes.report.leader_habits import build_habits
from outcomes.report.leader_people import (
    build_hands,
    build_split,
    build_suggestions,
    describe_hands,
    describe_split,
)
from outcomes.report.leader_view import LeaderView, build_leader_view, is_coded
from outcomes.report.teller import build_teller
from outcomes.report.wording import Value, join_words
from outcomes.study.class_view import build_class_view
from outcomes.study.record import Study


def build_leader_document(study: Study) -> Document:
    """Return the leader's page, nothing rendered yet.

    Raises
    ------
    RequestError
        If the option ``coached`` names no setting of the log, or no day inside it.
    """
    teller = build_teller(study)
    view = build_leader_view(teller, build_class_view(study))
    say = teller.wording.say
    people = view.of_class.people
    parts: tuple[Section, ...] = ()
    if people:
        parts = (
            build_suggestions(view),
            build_habits(view),
            build_split(view),
            build_coaching(view),
            build_hands(view),
            _build_method(view),
        )
    files = join_words([file.name for file in study.log.files])
    return Document(
        language=say("page.language"),
        title=say("leader.title"),
        subtitle=files,
        facts=(
            (say("facts.codebook"), study.log.codebook.title),
            (say("facts.pieces"), str(study.log.account.rows_used)),
            (say("facts.clusters"), str(study.firings)),
            (say("leader.fact_people"), view.names(people) or say("leader.fact_none")),
        ),
        sections=(_build_glance(view), *parts, build_cautions(teller)),
        legend=(),
        labels=(
            ("skip", say("leader.skip")),
            *(
                (name, say(f"page.{name}"))
                for name in ("contents", "legend", "caution", "cautions")
            ),
            ("paper", ""),
        ),
        footer=teller.wording.say_all("page.footer", {"version": study.version, "files": files}),
    )


def _build_glance(view: LeaderView) -> Section:
    """Return the first section: three to six sentences."""
    say, of_class = view.say, view.of_class
    blocks: list[Block] = [
        Callout(title=say("leader.title"), items=(say("leader.keep"),), tone=Tone.HONESTY)
    ]
    if not of_class.people:
        key = "leader.no_group" if of_class.group is None else "leader.no_people"
        blocks.append(Paragraph(text=say(key), tone=Tone.LEAD))
    else:
        lines = [describe_split(one, view) for one in of_class.outcomes]
        lines += [text for one in of_class.outcomes if (text := describe_coached(one, view))]
        lines += [describe_hands(one, view) for one in of_class.outcomes]
        offers: dict[str, Value] = {
            "n": len(of_class.suggestions),
            "people": len(of_class.people),
        }
        lines.append(say("leader.suggestions_glance", offers))
        blocks.append(ItemList(items=tuple(lines)))
    blocks += [Paragraph(text=text, tone=Tone.FINE) for text in _remarks(view)]
    return Section(key="glance", title=say("leader.glance"), blocks=tuple(blocks))


def _remarks(view: LeaderView) -> list[str]:
    """Return who is not compared, and what the codes mean."""
    of_class = view.of_class
    few = [f"{view.name(name)} ({of_class.pieces[name]})" for name in of_class.too_few]
    remarks = []
    if few:
        remarks.append(view.say("leader.not_compared", {"names": join_words(few)}))
    if is_coded(view):
        remarks.append(view.say("leader.codes"))
    return remarks


def _build_method(view: LeaderView) -> Section:
    texts = view.teller.wording.say_all("leader.method_texts")
    return Section(
        key="method",
        title=view.say("leader.method"),
        blocks=tuple(Paragraph(text=text, tone=Tone.FINE) for text in texts),
    )
