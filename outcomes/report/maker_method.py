"""The seventh section: how it was computed, in words a careful reader can follow."""

from outcomes.report.document import (
    Block,
    Column,
    Depth,
    ItemList,
    Paragraph,
    Section,
    Table,
    Tone,
    make_key,
)
from outcomes.report.maker_strip import describe_confidence
from outcomes.report.sentences import WORD_KEYS
from outcomes.report.study_json import FORMAT, bound_gradient
from outcomes.report.teller import Teller
from outcomes.report.thinned import say_thinned
from outcomes.report.wording import Value, join_words, mid_sentence

_PARTS = ("model", "effect", "luck", "words", "ranks", "shares")


def build_method(teller: Teller) -> Section:
    """Return the section: five parts in words, what no computation mends, this run, sources."""
    say, say_all = teller.wording.say, teller.wording.say_all
    values = _values(teller)
    parts: list[Block] = [
        Section(
            key=make_key(f"method-{name}"),
            title=say(f"method.{name}_title", values),
            blocks=tuple(Paragraph(text=t) for t in (*say_all(f"method.{name}", values), *more)),
        )
        for name, more in zip(_PARTS, _more(teller), strict=True)
    ]
    parts.append(
        Section(
            key="method-limits",
            title=say("method.limits_title"),
            blocks=(ItemList(items=say_all("method.limits")),),
        )
    )
    return Section(
        key="method",
        title=say("method.title"),
        blocks=(
            Paragraph(text=say("method.lead"), tone=Tone.LEAD),
            Depth(key="more-method", summary=say("method.open"), blocks=tuple(parts)),
            *_tables(teller),
            _build_references(teller),
        ),
    )


def _more(teller: Teller) -> list[tuple[str, ...]]:
    """Return what hangs on the log, part by part."""
    say, values = teller.wording.say, _values(teller)
    is_redrawn = any(part.redraws is not None for part in teller.study.outcomes)
    opinions = say("method.luck_opinions" if is_redrawn else "method.luck_once", values)
    rests = say("method.luck_rests", values)
    luck = (opinions, rests, *say_thinned(teller, "method.thinned"))
    return [luck if name == "luck" else () for name in _PARTS]


def _values(teller: Teller) -> dict[str, Value]:
    """Return what the texts of the method may name."""
    say, study = teller.wording.say, teller.study
    bands = [
        say("method.band", {"n": f"{o.smallest_difference:g}", "outcome": mid_sentence(o.label)})
        for o in study.log.codebook.outcomes
        if any(part.outcome.name == o.name for part in study.outcomes)
    ]
    glaze = study.log.codebook.glaze
    return {
        "resamples": f"{study.options.resamples:,}".replace(",", "\u202f"),
        "clusters_n": study.firings,
        "confidence": describe_confidence(teller),
        "bands": join_words(bands),
        "adjustment": say(f"method.adjust_{study.options.false_discovery.lower()}"),
        "group": mid_sentence(teller.label(glaze)) if glaze else say("method.no_group"),
        **{key: str(word) for word, key in WORD_KEYS.items()},
    }


def _tables(teller: Teller) -> tuple[Depth, ...]:
    tables = (build_run(teller, list_run(teller)), _build_fits(teller))
    return tuple(
        Depth(key=make_key(f"more-{table.key}"), summary=table.caption, blocks=(table,))
        for table in tables
        if table.rows
    )


def list_run(teller: Teller) -> tuple[tuple[str, str], ...]:
    """Return what, with the files, determines every byte of the result, version first."""
    say, study = teller.wording.say, teller.study
    return (
        (say("method.version"), study.version),
        (say("method.format"), FORMAT),
        (say("method.seed"), str(study.options.seed)),
        (say("method.resamples"), str(study.options.resamples)),
        (say("method.confidence"), f"{describe_confidence(teller)} %"),
        (say("method.unit"), study.cluster or say("method.each_piece")),
        *((say("method.sum", {"file": file.name}), file.sha256) for file in study.log.files),
    )


def build_run(teller: Teller, rows: tuple[tuple[str, str], ...]) -> Table:
    """Return the table of a run."""
    say = teller.wording.say
    return Table(
        key="run",
        caption=say("method.run_title"),
        columns=(Column(heading=say("method.what")), Column(heading=say("columns.value"))),
        rows=rows,
    )


def _build_fits(teller: Teller) -> Table:
    say = teller.wording.say
    rows = tuple(
        (
            part.outcome.label,
            str(part.fit.status),
            _describe_gradient(part.fit.largest_gradient, teller),
            str(part.fit.iterations),
            str(len(part.fit.slopes)),
            str(part.unusual_replicates),
        )
        for part in teller.study.outcomes
        if part.fit is not None
    )
    return Table(
        key="fits",
        caption=say("method.fits_title"),
        columns=(
            Column(heading=say("columns.outcome")),
            Column(heading=say("method.fit_status")),
            Column(heading=say("method.fit_gradient"), numeric=True),
            Column(heading=say("method.fit_steps"), numeric=True),
            Column(heading=say("method.fit_columns"), numeric=True),
            Column(heading=say("method.fit_unusual"), numeric=True),
        ),
        rows=rows,
        note=say("method.fit_note"),
    )


def _describe_gradient(gradient: float, teller: Teller) -> str:
    """Return the gradient; below 1e-8 it is rounding, which no two processors share."""
    bound = bound_gradient(gradient)
    if bound > gradient:
        return teller.wording.say("method.fit_under", {"n": f"{bound:.0e}"})
    return f"{gradient:.1e}"


def _build_references(teller: Teller) -> Depth:
    references = teller.wording.say_all("method.references")
    if teller.study.options.false_discovery == "BY":
        references = tuple(sorted((*references, teller.wording.say("method.references_by"))))
    title = teller.wording.say("method.references_title")
    return Depth(key="more-references", summary=title, blocks=(ItemList(items=references),))
