"""The tables of a trial's page: the plan as declared, the numbers, the grades."""

from outcomes.planning.plan import Claim, Plan, PlannedFactor, SealState
from outcomes.planning.trial import Answered, Trial
from outcomes.report.amounts import whole_per_100
from outcomes.report.document import Column, Section, Table, make_key
from outcomes.report.trial_words import ANSWER_KEYS, Speaker, percent, show_count, show_p
from outcomes.report.wording import Value, join_words

_SEALS = {
    SealState.WHOLE: "declared.seal_whole",
    SealState.BROKEN: "declared.seal_broken",
    SealState.MISSING: "declared.seal_missing",
}


def build_declared(trial: Trial, speaker: Speaker) -> Section:
    """Return what was declared, beside what came."""
    say, plan = speaker.wording.say, trial.plan
    size = {
        "planned": plan.firings,
        "each": plan.pieces,
        "n": trial.pieces,
        "got": trial.firings,
    }
    level: dict[str, Value] = {"n": percent(plan.level), "k": len(plan.hypotheses)}
    rows = (
        (say("declared.seal"), say(_SEALS[trial.seal], {"seal": plan.seal})),
        (say("declared.on"), plan.declared_on.isoformat()),
        (say("declared.counts"), plan.counts_from.isoformat()),
        *(_factor_row(plan, factor, speaker) for factor in plan.factors),
        (say("declared.randomised"), describe_lot(plan, speaker)),
        (say("declared.adjust"), _adjusted(plan, speaker)),
        (say("declared.level"), say("declared.level_value", level)),
        (say("declared.size"), say("declared.size_value", size)),
        (say("declared.stopping"), plan.stopping),
    )
    table = Table(
        key="declared-table",
        caption=say("declared.caption"),
        columns=(Column(heading=say("declared.what")), Column(heading=say("declared.value"))),
        rows=rows,
    )
    return Section(key="declared", title=say("declared.title"), blocks=(table,))


def describe_lot(plan: Plan, speaker: Speaker) -> str:
    """Return whether the values are drawn by lot, and from which seed."""
    say = speaker.wording.say
    return say("declared.yes", {"seed": plan.seed}) if plan.randomised else say("declared.no")


def _factor_row(plan: Plan, factor: PlannedFactor, speaker: Speaker) -> tuple[str, str]:
    say = speaker.wording.say
    label = speaker.factor(factor.name).label
    codebook = speaker.codebook
    unit = codebook.piece_word if factor.assigned_to == "piece" else codebook.cluster_word
    blocks = say("reach.within", {"names": join_words(factor.blocks)}) if factor.blocks else ""
    values = {
        "values": join_words([speaker.amount(value, factor.name) for value in factor.values]),
        "unit": unit,
        "blocks": blocks.removeprefix(" and"),
    }
    return say("declared.factor", {"label": label}), say("declared.factor_value", values)


def _adjusted(plan: Plan, speaker: Speaker) -> str:
    labels = [speaker.factor(name).label.lower() for name in plan.adjust_for]
    return join_words(labels) or speaker.wording.say("declared.nothing")


def build_numbers(trial: Trial, speaker: Speaker) -> Section:
    """Return every hypothesis' numbers in one table."""
    say = speaker.wording.say
    level = trial.plan.level
    headings = [
        ("name", {}),
        ("comparison", {}),
        ("answer", {}),
        ("change", {}),
        ("interval", {"confidence": percent(1 - level)}),
        ("interval_small", {"confidence": percent(1 - 2 * level)}),
        ("grade", {}),
        ("p", {}),
        ("p_holm", {}),
        ("p_margin", {}),
        ("arrangements", {}),
    ]
    exact = show_count(trial.options.exact_up_to)
    table = Table(
        key="numbers-table",
        caption=say("numbers_table.caption"),
        columns=tuple(
            Column(heading=say(f"numbers_table.{key}", values), numeric=place > 2)
            for place, (key, values) in enumerate(headings)
        ),
        rows=tuple(_number_row(answered, speaker) for answered in trial.answers),
        note=say("numbers_table.note", {"exact": exact}),
    )
    return Section(key="numbers", title=say("numbers_table.title"), blocks=(table,))


def _number_row(answered: Answered, speaker: Speaker) -> tuple[str, ...]:
    tested, say = answered.tested, speaker.wording.say
    none = say("numbers_table.none")
    effect, equivalence = tested.effect, tested.equivalence
    interval = None if effect is None else effect.interval
    small = None if equivalence is None else equivalence.interval
    return (
        tested.hypothesis.name,
        short_comparison(answered, speaker),
        say(ANSWER_KEYS[answered.answer]),
        none if effect is None else signed(effect.change),
        none if interval is None else f"{signed(interval.low)} … {signed(interval.high)}",
        none if small is None else f"{signed(small.low)} … {signed(small.high)}",
        none if effect is None else f"{effect.mean_grade_change:+.2f}".replace("-", "−"),
        show_p(answered.p_value),
        show_p(answered.p_adjusted),
        none if answered.p_equivalent is None else show_p(answered.p_equivalent),
        none
        if tested.hypothesis.claim is Claim.EQUIVALENCE
        else show_count(tested.permutation.arrangements),
    )


def short_comparison(answered: Answered, speaker: Speaker) -> str:
    """Return "4 min → 16 min"."""
    hypothesis = answered.tested.hypothesis
    return speaker.wording.say(
        "contrast.short",
        {
            "from": speaker.amount(hypothesis.from_value, hypothesis.factor),
            "to": speaker.amount(hypothesis.to_value, hypothesis.factor),
        },
    )


def signed(change: float) -> str:
    """Return a change in whole pieces per 100 with its sign.

    >>> signed(0.412), signed(-0.02), signed(0.0)
    ('+41', '−2', '0')
    """
    number = whole_per_100(change)
    return "0" if number == 0 else f"{number:+d}".replace("-", "−")


def build_grades(trial: Trial, speaker: Speaker) -> Section:
    """Return the pieces at each grade, at both values of every hypothesis."""
    title = speaker.wording.say("grades_table.title")
    tables = tuple(
        _grade_table(answered, speaker, number=number)
        for number, answered in enumerate(trial.answers, start=1)
    )
    return Section(key="grades", title=title, blocks=tables)


def _grade_table(answered: Answered, speaker: Speaker, *, number: int) -> Table:
    say, tested = speaker.wording.say, answered.tested
    hypothesis = tested.hypothesis
    outcome = speaker.outcome(hypothesis.outcome)
    label = speaker.factor(hypothesis.factor).label
    heads = [level.name for level in outcome.levels]
    return Table(
        key=make_key(f"grades-{number}"),
        caption=say(
            "grades_table.caption", {"name": hypothesis.name, "label": outcome.label.lower()}
        ),
        columns=(
            Column(heading=say("grades_table.value", {"label": label})),
            *(Column(heading=head, numeric=True) for head in heads),
            Column(heading=say("grades_table.total"), numeric=True),
        ),
        rows=tuple(
            (
                speaker.amount(value, hypothesis.factor),
                *(str(count) for count in counts),
                str(sum(counts)),
            )
            for value, counts in (
                (hypothesis.from_value, tested.counts_from),
                (hypothesis.to_value, tested.counts_to),
            )
        ),
    )
