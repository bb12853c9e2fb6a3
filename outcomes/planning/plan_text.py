"""A plan as the TOML text a person reads, edits and keeps."""

import json
from collections.abc import Sequence

from outcomes.planning.plan import FORMAT, Hypothesis, Plan, PlannedFactor, Value

_HEAD = """\
# A plan: what will be fired and what is claimed, stated before anybody looks.
# Written by `outcomes declare`; read by `outcomes test`. Comments do not count for the seal.
"""
_SEAL = """\
# The seal is the SHA-256 of everything above (comments and spacing left out). Keep a copy of it
# elsewhere before the first firing. A change made later is not forbidden; it is found and said.
"""
_NO_SEAL = """\
# Not sealed yet: edit this file, add tables [[hypotheses]] as you need, then seal it with
#   outcomes declare THIS-FILE --to plan.toml
"""


def render_plan(plan: Plan) -> str:
    """Return the TOML text of a plan, commented; the same plan gives the same text."""
    blocks = [f"{_key(column)} = {_show(values)}" for column, values in plan.blocks]
    parts = [
        _HEAD,
        *_render_head(plan),
        *(["\n[blocks]", *blocks] if blocks else []),
        *(line for factor in plan.factors for line in _render_factor(factor)),
        *(line for each in plan.hypotheses for line in _render_hypothesis(each)),
        "",
        f'{_SEAL}[seal]\nsha256 = "{plan.seal}"' if plan.seal else _NO_SEAL.rstrip("\n"),
    ]
    return "\n".join(parts) + "\n"


def _render_head(plan: Plan) -> list[str]:
    return [
        f'format = "{FORMAT}"',
        f"title = {_show(plan.title)}",
        f"declared_on = {plan.declared_on.isoformat()}",
        f"counts_from = {plan.counts_from.isoformat()}"
        "    # pieces fired before this day do not count",
        f"level = {_show(plan.level)}"
        "    # chance allowed of any false claim, shared by all hypotheses (Holm)",
        f"firings = {plan.firings}",
        f"pieces = {plan.pieces}    # in each firing",
        f"randomised = {'true' if plan.randomised else 'false'}"
        "    # true: values drawn by lot, from the seed below",
        f"adjust_for = {_show(plan.adjust_for)}"
        "    # factors known before the assignment that the estimate allows for",
        f"stopping = {_show(plan.stopping)}",
        f"seed = {plan.seed}",
    ]


def _render_factor(factor: PlannedFactor) -> list[str]:
    return [
        "\n[[factors]]",
        f"name = {_show(factor.name)}",
        f"values = {_show(factor.values)}    # in the codebook's base unit",
        f'assigned_to = "{factor.assigned_to}"',
        f"blocks = {_show(factor.blocks)}    # columns within which the lot is drawn"
        + (", beside each firing" if factor.assigned_to == "piece" else ""),
    ]


def _render_hypothesis(hypothesis: Hypothesis) -> list[str]:
    lines = [
        "\n[[hypotheses]]",
        f"name = {_show(hypothesis.name)}",
        f"outcome = {_show(hypothesis.outcome)}",
        f"factor = {_show(hypothesis.factor)}",
        f"from = {_show(hypothesis.from_value)}",
        f"to = {_show(hypothesis.to_value)}",
        f'claim = "{hypothesis.claim}"    # "difference" or "equivalence"',
        f'direction = "{hypothesis.direction}"    # pieces at the aim: "either", "more" or "fewer"',
    ]
    if hypothesis.margin is not None:
        lines.append(
            f"margin = {_show(hypothesis.margin)}    # pieces per 100: smaller does not matter"
        )
    if hypothesis.margin_grade is not None:
        lines.append(
            f"margin_grade = {_show(hypothesis.margin_grade)}"
            "    # on the mean grade: smaller does not matter"
        )
    return lines


def _key(name: str) -> str:
    """Return a bare key, or a quoted one where TOML asks for it."""
    bare = name.isascii() and name.replace("_", "").replace("-", "").isalnum()
    return name if bare else _show(name)


def _show(value: Value | Sequence[Value]) -> str:
    """Return a TOML value.

    >>> _show(4.0), _show("a"), _show((2.0, 0.5))
    ('4', '"a"', '[2, 0.5]')
    """
    if isinstance(value, str):
        # A JSON string without surrogates is a TOML basic string; DEL alone needs help.
        return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007F")
    if isinstance(value, int | float):
        return str(int(value)) if float(value).is_integer() else repr(float(value))
    return f"[{', '.join(_show(each) for each in value)}]"
