"""The seal of a plan: SHA-256 over its content, whatever the file looks like.

Comments, order of keys and spacing do not count; every value does. A seal shows that the content
is the one that was sealed, not who sealed it or when: whoever needs that keeps the 64 letters
somewhere else too, before the first firing.

References
----------
NIST FIPS 180-4 (2015), Secure Hash Standard.
"""

import hashlib
import json
from dataclasses import asdict, replace
from datetime import date

from outcomes.planning.plan import FORMAT, Plan, SealState


def compute_seal(plan: Plan) -> str:
    """Return the SHA-256 of a plan's content, 64 hexadecimal letters."""
    return hashlib.sha256(canonical_form(plan).encode("ascii")).hexdigest()


def canonical_form(plan: Plan) -> str:
    """Return a plan's content as one line of ASCII JSON, keys sorted, the seal left out."""
    content = {**asdict(plan), "format": FORMAT}
    del content["seal"]
    return json.dumps(_plain(content), sort_keys=True, separators=(",", ":"), allow_nan=False)


def seal_plan(plan: Plan) -> Plan:
    """Return the plan with its seal."""
    return replace(plan, seal=compute_seal(plan))


def check_seal(plan: Plan) -> SealState:
    """Return what a plan's seal says about its content."""
    if not plan.seal:
        return SealState.MISSING
    return SealState.WHOLE if plan.seal == compute_seal(plan) else SealState.BROKEN


def _plain(value: object) -> object:
    """Return a value as JSON writes it in one way only: 10 and 10.0 are the same number.

    >>> _plain({"margin": 10.0, "values": ("a", 0.5)})
    {'margin': 10, 'values': ['a', 0.5]}
    """
    if isinstance(value, dict):
        return {key: _plain(each) for key, each in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(each) for each in value]
    if isinstance(value, float) and value.is_integer():
        return int(value)
    return value.isoformat() if isinstance(value, date) else value
