"""What the command line sets before any library is loaded."""

import os
import subprocess
import sys

import pytest

from outcomes.__main__ import ONE_THREAD

COUNT_THREADS = """
import sys
from contextlib import suppress
from outcomes.__main__ import main
sys.argv = ["outcomes", "--version"]
with suppress(SystemExit):
    main()
import numpy, scipy.linalg, threadpoolctl
print(sorted({each["num_threads"] for each in threadpoolctl.threadpool_info()}))
"""


@pytest.mark.parametrize(
    ("asked", "threads"), [({}, "[1]"), (dict.fromkeys(ONE_THREAD, "2"), "[2]")]
)
def test_linear_algebra_starts_one_thread_unless_told_otherwise(asked, threads) -> None:
    if (os.cpu_count() or 1) < 2:
        threads = "[1]"  # the library starts no more threads than there are cores
    mine = {name: each for name, each in os.environ.items() if "_NUM_THREADS" not in name}
    done = subprocess.run(
        [sys.executable, "-c", COUNT_THREADS], env=mine | asked, text=True, check=True,
        capture_output=True,
    )  # fmt: skip
    assert threads == done.stdout.splitlines()[-1]
