"""An argument of a wrong type is refused in words that name it."""

import pytest

import outcomes
from outcomes.errors import RequestError

CALLS = (
    (lambda: outcomes.analyse("x.csv"), "log: found a value of type str; .*Call read_log first"),
    (lambda: outcomes.effects_table(None), "study: found None; .*Call analyse first"),
    (lambda: outcomes.write_study("x", "y"), "study: found a value of type str"),
    (lambda: outcomes.declare(None), "asked: found None; expected a Declaration"),
    (lambda: outcomes.power(None), "request: found None; expected a PowerRequest"),
    (lambda: outcomes.run_trial(None, None), "plan: found None; .*Call read_plan or declare"),
    (lambda: outcomes.plan_next_firings("x"), "study: found a value of type str"),
    (lambda: outcomes.read_plan(5), "path: found a value of type int"),
    (lambda: outcomes.compare_graders(7), "paths: found a value of type int"),
    (lambda: outcomes.read_log(None), "source: found None; expected the path of a file"),
    (lambda: outcomes.check(5), "source: found a value of type int"),
    (lambda: outcomes.check({}), "source: found a value of type dict"),
    (lambda: outcomes.read_log(b"x"), "source: found a value of type bytes"),
    (lambda: outcomes.read_log([None]), "source: found None"),
)


@pytest.mark.parametrize(("call", "message"), CALLS)
def test_a_wrong_argument_is_named_with_what_to_do(call, message: str) -> None:
    with pytest.raises(RequestError, match=message):
        call()
