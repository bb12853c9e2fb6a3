"""Which software a study was computed with: a value to be passed in, never looked up by a page."""

import platform
from collections.abc import Iterable
from importlib.metadata import PackageNotFoundError, version

# What the numbers and pictures of a page depend on.
NAMES = ("numpy", "scipy", "pandas", "scikit-learn", "matplotlib")


def read_software() -> tuple[tuple[str, str], ...]:
    """Return (name, version) of Python and of the libraries that compute, as installed here."""
    found = [("Python", platform.python_version())]
    for name in NAMES:
        try:
            found.append((name, version(name)))
        except PackageNotFoundError:  # pragma: no cover - all are required
            continue
    return tuple(found)


def parse_lock(lines: Iterable[str]) -> tuple[tuple[str, str], ...]:
    """Return the same from a list of pinned versions, without Python's.

    >>> parse_lock(["numpy==2.4.1", "click==8.1", "scipy==1.17.0  # pinned"])
    (('numpy', '2.4.1'), ('scipy', '1.17.0'))
    """
    pinned = dict(line.partition("#")[0].strip().split("==", 1) for line in lines if "==" in line)
    return tuple((name, pinned[name]) for name in NAMES if name in pinned)
