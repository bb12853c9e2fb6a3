"""A methods paragraph ready to paste, filled with this study's own numbers."""

from collections import Counter

from outcomes.effects.shares import Shares
from outcomes.model.fit import Penalty
from outcomes.report.document import Block, Paragraph, Section, Tone
from outcomes.report.maker_strip import describe_confidence
from outcomes.report.teller import Teller
from outcomes.report.thinned import say_thinned
from outcomes.report.wording import Value, join_words, mid_sentence
from outcomes.study.record import OutcomeStudy


def build_methods(teller: Teller) -> Section:
    """Return the section: how to use the text, then the text in paragraphs."""
    say = teller.wording.say
    blocks: list[Block] = [Paragraph(text=say("research.methods_lead"), tone=Tone.FINE)]
    blocks += [Paragraph(text=text) for text in describe_methods(teller)]
    return Section(key="methods", title=say("research.methods"), blocks=tuple(blocks))


def describe_methods(teller: Teller) -> tuple[str, ...]:
    """Return the methods of this study in paragraphs, every number its own."""
    usable = [part for part in teller.study.outcomes if part.fit is not None]
    if not usable:
        return (teller.wording.say("research_methods.nothing"),)
    return (
        " ".join(_describe_data(usable, teller)),
        " ".join(_describe_model(usable, teller)),
        " ".join(_describe_effects(usable, teller)),
        " ".join(_describe_checks(usable, teller)),
        " ".join(_describe_run(teller)),
    )


def _describe_data(usable: list[OutcomeStudy], teller: Teller) -> list[str]:
    say, study = teller.wording.say, teller.study
    account = study.log.account
    outcomes = [
        say(
            "research_methods.outcome",
            {
                "outcome": mid_sentence(part.outcome.label),
                "grades": len(part.outcome.levels),
                "n": part.pieces,
                "clusters_n": part.firings,
            },
        )
        for part in usable
    ]
    lines = [
        say(
            "research_methods.data",
            {
                "read": account.rows_read,
                "used": account.rows_used,
                "aside": len(account.set_aside),
                "clusters_n": study.firings,
            },
        ),
        say("research_methods.outcomes", {"outcomes": join_words(outcomes)}),
        say("research_methods.complete"),
    ]
    if any(part.imputed is not None for part in usable):
        lines.append(say("research_methods.imputed"))
    return lines


def _describe_model(usable: list[OutcomeStudy], teller: Teller) -> list[str]:
    say = teller.wording.say
    fit = usable[0].fit
    assert fit is not None  # noqa: S101
    columns = [
        say(
            "research_methods.columns",
            {
                "outcome": mid_sentence(part.outcome.label),
                "n": 0 if part.fit is None else len(part.fit.slopes),
            },
        )
        for part in usable
    ]
    values: dict[str, Value] = {
        "link": str(fit.options.link),
        "columns": join_words(columns),
        "m": f"{fit.options.strength:g}",
    }
    penalised = fit.options.penalty is not Penalty.NONE
    key = "research_methods.penalised" if penalised else "research_methods.plain"
    return [say("research_methods.model", values), say(key, values)]


def _describe_effects(usable: list[OutcomeStudy], teller: Teller) -> list[str]:
    say, options = teller.wording.say, teller.study.options
    effects = [effect for part in usable for effect in part.effects]
    methods = Counter(e.interval.method for e in effects if e.interval is not None)
    values: dict[str, Value] = {
        "confidence": describe_confidence(teller),
        "resamples": f"{options.resamples:,}".replace(",", "\u202f"),
        "seed": options.seed,
        "n": sum(effect.p_adjusted is not None for effect in effects),
        "adjustment": say(f"method.adjust_{options.false_discovery.lower()}"),
        "bands": join_words(
            [
                say(
                    "method.band",
                    {
                        "n": f"{part.outcome.smallest_difference:g}",
                        "outcome": mid_sentence(part.outcome.label),
                    },
                )
                for part in usable
            ]
        ),
    }
    lines = [say("research_methods.effect", values)]
    if methods:
        told = [_describe_interval(name, n, teller) for name, n in sorted(methods.items())]
        lines.append(say("research_methods.intervals", {**values, "methods": "; ".join(told)}))
    else:
        lines.append(say("research_methods.no_intervals"))
    lines += say_thinned(teller, "research_methods.thinned")
    if any(effect.interval_90 is not None for effect in effects):
        lines.append(say("research_methods.tests", values))
    if any(effect.contrast.comparisons > 1 for effect in effects):
        lines.append(say("research_methods.looks"))
    return [*lines, say("research_methods.ranks")]


def _describe_interval(method: str, n: int, teller: Teller) -> str:
    """Return what an interval of that name is; the bare name where the wording has none."""
    name = method.lower().replace(" ", "_").replace("-", "_")
    key = f"research_methods.interval_{name}"
    if key not in teller.wording.texts:
        key = "research_methods.interval_other"
    return teller.wording.say(key, {"n": n, "method": method})


def _describe_checks(usable: list[OutcomeStudy], teller: Teller) -> list[str]:
    say = teller.wording.say
    lines = []
    if any(part.skill is not None for part in usable):
        one_by_one = all(part.skill is None or part.skill.one_by_one for part in usable)
        key = "research_methods.skill_each" if one_by_one else "research_methods.skill_heaps"
        lines.append(say(key))
    if any(part.second_opinion is not None for part in usable):
        lines.append(say("research_methods.trees"))
    if any(part.grade_effects for part in usable):
        lines.append(say("research_methods.parallel"))
    if any(isinstance(part.shares, Shares) for part in usable):
        lines.append(say("research_methods.shares"))
    if any(part.split is not None for part in usable):
        lines.append(say("research_methods.split"))
    if any(one.gain is not None for part in usable for one in part.explanations):
        lines.append(say("research_methods.computed"))
    return lines or [say("research_methods.no_checks")]


def _describe_run(teller: Teller) -> list[str]:
    say, study = teller.wording.say, teller.study
    software = [f"{name} {version}" for name, version in study.software]
    values: dict[str, Value] = {
        "version": study.version,
        "seed": study.options.seed,
        "software": join_words(software),
    }
    run = [say("research_methods.run", values)]
    if software:
        run.append(say("research_methods.software", values))
    return [*run, say("research_methods.observational")]
