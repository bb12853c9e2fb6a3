"""What the plan's page says first: what the firings decide, pull apart and narrow."""

from collections.abc import Iterable, Sequence
from statistics import median

from outcomes.planning.next_expected import Foretold
from outcomes.planning.next_plan import NextFirings
from outcomes.planning.next_questions import Open
from outcomes.report.teller import Teller
from outcomes.report.wording import Value, join_words, mid_sentence


def describe_plan(plan: NextFirings, teller: Teller) -> tuple[str, ...]:
    """Return the first sentences, the most important first."""
    say = teller.wording.say
    counts = {"n": len(plan.firings), "m": plan.request.pieces or 0}
    if plan.confirms:
        return (say("plan.confirm", counts), *describe_gain(plan, teller))
    decided = [one for one in plan.foretold if one.decides]
    apart = [one for one in plan.foretold if one.pulls_apart]
    lines = [say("plan.fire", counts)]
    if apart:
        lines.append(say("plan.apart", {"pairs": _list_pairs(apart, teller)}))
    if decided:
        asked = join_words(list_questions(decided, teller))
        lines.append(say("plan.decide", {"questions": asked}))
    if len(decided) < len(plan.foretold):
        lines.append(say("plan.no_more_decided" if decided else "plan.none_decided"))
        lines += _nearest(plan.foretold, teller)
    return (" ".join(lines), *describe_gain(plan, teller))


def describe_gain(plan: NextFirings, teller: Teller) -> tuple[str, ...]:
    """Return how much shorter the intervals become, and what a planned piece is worth.

    Of questions with an interval today: a tangled setting has none that means anything.
    """
    say = teller.wording.say
    told = [one for one in plan.foretold if one.left is not None]
    if not told:
        return ()
    shares = [_shorter(one.left or 1.0) for one in told]
    before = [_shorter((one.width_as_before or 0.0) / (one.width_now or 1.0)) for one in told]
    times = [one.times for one in told]
    values: dict[str, Value] = {
        "k": len(told),
        "planned": round(median(shares)),
        "from": min(shares),
        "to": max(shares),
        "before": round(median(before)),
        "times": round_times(median(times)),
        "least": round_times(min(times)),
        "most": round_times(max(times)),
    }
    lines = [say("plan.gain_one" if len(told) == 1 else "plan.gain", values)]
    if median(times) <= 1.0:
        lines.append(say("plan.no_better"))
    return (" ".join(lines),)


def list_questions(told: Iterable[Foretold], teller: Teller) -> list[str]:
    """Return each setting once with its outcomes: "what lid delay does to luster"."""
    by_factor: dict[str, list[str]] = {}
    for one in told:
        by_factor.setdefault(one.question.factor, []).append(one.question.outcome)
    return [
        teller.wording.say(
            "plan.question",
            {
                "label": mid_sentence(teller.label(factor)),
                "outcomes": name_outcomes(outcomes, teller),
            },
        )
        for factor, outcomes in by_factor.items()
    ]


def name_outcomes(names: Sequence[str], teller: Teller) -> str:
    """Return outcomes as they stand inside a sentence."""
    return join_words([mid_sentence(teller.label(name)) for name in names])


def group_tangles(told: Iterable[Foretold]) -> dict[tuple[str, ...], list[Foretold]]:
    """Return tangles by the set of settings in them, each set once."""
    groups: dict[tuple[str, ...], list[Foretold]] = {}
    seen: dict[frozenset[str], tuple[str, ...]] = {}
    for one in told:
        if one.question.open is Open.TANGLED:
            members = (one.question.factor, *one.question.with_factors)
            key = seen.setdefault(frozenset(members), members)
            groups.setdefault(key, []).append(one)
    return groups


def round_times(times: float) -> str:
    """Return a ratio of pieces as it is read aloud.

    >>> round_times(1.94), round_times(12.4), round_times(100.0)
    ('1.9', '12', '100 or more')
    """
    if times >= 100.0:
        return "100 or more"
    return f"{times:.1f}".removesuffix(".0") if times < 9.95 else f"{times:.0f}"


def _list_pairs(apart: Iterable[Foretold], teller: Teller) -> str:
    return join_words(
        [
            teller.wording.say(
                "plan.pair",
                {
                    "label": mid_sentence(teller.label(members[0])),
                    "others": join_words([mid_sentence(teller.label(n)) for n in members[1:]]),
                    "outcomes": name_outcomes(
                        list(dict.fromkeys(one.question.outcome for one in group)), teller
                    ),
                },
            )
            for members, group in group_tangles(apart).items()
        ]
    )


def _nearest(told: Sequence[Foretold], teller: Teller) -> list[str]:
    """Return the sentence on the question that planned firings would decide soonest."""
    able = [one for one in told if one.firings_planned is not None and not one.decides]
    if not able:
        return []
    one = min(able, key=lambda each: each.firings_planned or 0)
    habit = ""
    if one.firings_as_before is not None:
        habit = teller.wording.say("plan.nearest_habit", {"n": one.firings_as_before})
    values: dict[str, Value] = {
        "question": list_questions([one], teller)[0],
        "n": one.firings_planned or 0,
        "habit": habit,
    }
    return [teller.wording.say("plan.nearest", values)]


def _shorter(share: float) -> int:
    """Return by how many per cent a share below one is shorter; never below 0."""
    return max(0, round(100.0 * (1.0 - share)))
