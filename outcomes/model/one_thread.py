"""Linear algebra held to one thread: on matrices this small more are several times slower."""

from contextlib import AbstractContextManager
from functools import cache
from typing import Any

import numpy as np  # noqa: F401 - brings the library that is held
from scipy import linalg  # noqa: F401 - brings a second one
from threadpoolctl import ThreadpoolController


def hold_one_thread() -> AbstractContextManager[Any]:
    """Return a context in which BLAS uses one thread; before and after it is as it was."""
    return _find_libraries().limit(limits=1)  # type: ignore[no-any-return]


@cache
def _find_libraries() -> ThreadpoolController:
    """Return BLAS as this process has loaded it: looking for it takes 2 ms, the limit 0.02."""
    return ThreadpoolController().select(user_api="blas")
