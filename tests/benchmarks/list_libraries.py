"""What every run-time library weighs: installed megabytes and seconds to import.

Run by hand::

    python tests/benchmarks/list_libraries.py

prints the rows that DEVELOPERS.md holds. Megabytes are those of the library's own files, what it
depends on left out; seconds are of a processor, the shortest of three fresh processes, bare Python
taken off. What one library loads of another is in both of their times.
"""

import os
import subprocess
import sys
import tomllib
from importlib.metadata import files
from pathlib import Path

from packaging.requirements import Requirement

PROJECT = Path(__file__).parents[2] / "pyproject.toml"
MODULES = {
    "scipy": "scipy.stats",
    "scikit-learn": "sklearn.ensemble",
    "matplotlib": "matplotlib.figure",
    "pyarrow": "pyarrow.parquet",
}


def list_names() -> list[str]:
    """Return the names of the libraries that the package needs at run time."""
    project = tomllib.loads(PROJECT.read_text())["project"]
    needed = [*project["dependencies"], *project["optional-dependencies"]["parquet"]]
    return [Requirement(line).name for line in needed]


def megabytes_of(name: str) -> float:
    """Return the size of a library's installed files."""
    listed = files(name) or []
    paths = [Path(str(file.locate())) for file in listed]
    return sum(path.stat().st_size for path in paths if path.is_file()) / 1e6


def seconds_of(code: str) -> float:
    """Return the least processor time of a fresh process that runs this."""
    times = []
    for _ in range(3):
        before = os.times()
        subprocess.run([sys.executable, "-c", code], check=True)
        after = os.times()
        own = after.children_user - before.children_user
        times.append(own + after.children_system - before.children_system)
    return min(times)


def main() -> None:
    """Print one row a library, the heaviest first."""
    bare = seconds_of("")
    rows = [
        (megabytes_of(name), seconds_of(f"import {MODULES.get(name, name)}") - bare, name)
        for name in list_names()
    ]
    for megabytes, seconds, name in sorted(rows, reverse=True):
        module = MODULES.get(name, name)
        print(f"| {name} (`{module}`) | {megabytes:.1f} | {max(0.0, seconds):.2f} |")


if __name__ == "__main__":
    main()
