"""How long whole commands take and how much memory, on the demo log and on large ones.

Run by hand::

    python tests/benchmarks/bench_commands.py

Clock time, processor time and the largest memory that all processes of a command held together
(proportional set size, read ten times a second; Linux). Bare Python and pandas' reader stand
beside as peers: only the ratios travel.
"""

import contextlib
import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from big_logs import CODEBOOK, ROOT, write_big_log

from outcomes.__main__ import ONE_THREAD

LOG = str(ROOT / "data_demo" / "hollowmere_yard.csv")
BOOK = ["--codebook", str(CODEBOOK)]
RUN = ["-m", "outcomes"]
# What the starting process loads before the work begins, and all that any process loads.
FIRST_IMPORTS = "import outcomes.cli, outcomes.api, outcomes.study.analysis"
IMPORTS = (
    "import outcomes.api, outcomes.study.analysis, outcomes.report.results,"
    "outcomes.report.figures, matplotlib.figure, sklearn.ensemble"
)
LOOK_EVERY_S = 0.1
# As on most machines: what Python compiled stays for the next run.
ENVIRONMENT = {key: each for key, each in os.environ.items() if key != "PYTHONDONTWRITEBYTECODE"}
ENVIRONMENT |= dict.fromkeys(ONE_THREAD, "1")  # as the command line starts


@dataclass(frozen=True, slots=True, kw_only=True)
class Cost:
    """What one process took: seconds by the clock, of processors, and MB at its peak."""

    clock: float
    processor: float
    megabytes: float


def measure(words: Sequence[str], *, repeats: int = 1) -> Cost:
    """Return the cost of a Python process; of several runs the quickest."""
    return min((_run(words) for _ in range(repeats)), key=lambda cost: cost.clock)


def _run(words: Sequence[str]) -> Cost:
    start = time.perf_counter()
    process = subprocess.Popen(
        [sys.executable, *words],
        stdout=subprocess.DEVNULL,
        env=ENVIRONMENT,
        start_new_session=True,
    )
    peak = 0.0
    while True:
        peak = max(peak, _megabytes_of_group(process.pid))
        done, status, usage = os.wait4(process.pid, os.WNOHANG)
        if done:
            break
        time.sleep(min(LOOK_EVERY_S, 0.02 + (time.perf_counter() - start) / 50))
    clock = time.perf_counter() - start
    process.returncode = os.waitstatus_to_exitcode(status)
    if process.returncode:
        raise SystemExit(f"{words} ended with status {process.returncode}")
    # The kernel's own record begins with the parent's memory at the fork: only a last resort.
    return Cost(
        clock=clock,
        processor=usage.ru_utime + usage.ru_stime,
        megabytes=peak or usage.ru_maxrss / 1024,
    )


def _megabytes_of_group(leader: int) -> float:
    """Return what all processes of a group hold, shared pages counted once; 0 where unknown."""
    total = 0
    for entry in Path("/proc").glob("[0-9]*"):
        with contextlib.suppress(OSError, IndexError, ValueError):
            stat = (entry / "stat").read_text().rpartition(")")[2].split()
            if int(stat[2]) != leader:
                continue
            for line in (entry / "smaps_rollup").read_text().splitlines():
                if line.startswith("Pss:"):
                    total += int(line.split()[1])
    return total / 1024


def measure_demo(folder: Path) -> dict[str, Cost]:
    """Return the costs on the demo log."""
    return {
        "bare Python": measure(["-c", ""], repeats=5),
        "`outcomes --help`": measure([*RUN, "--help"], repeats=5),
        "`outcomes check`, demo log": measure([*RUN, "check", LOG, *BOOK], repeats=3),
        "imports before a report's work begins": measure(["-c", FIRST_IMPORTS], repeats=5),
        "imports of a report, all in one process": measure(["-c", IMPORTS], repeats=5),
        "`outcomes demo`, 2 000 redraws": measure(
            [*RUN, "demo", "--out", str(folder / "demo"), "--quiet"], repeats=2
        ),
    }


def measure_large(folder: Path) -> dict[str, Cost]:
    """Return the costs on large logs in the same hand."""
    million, large, many = (folder / f"{name}.csv" for name in ("million", "large", "many"))
    write_big_log(million, pieces=1_000_000, firings=20_000)
    write_big_log(large, pieces=100_000, firings=2000)
    write_big_log(many, pieces=8000, firings=2000)
    read = "import sys, pandas; pandas.read_csv(sys.argv[1], dtype=str)"
    return {
        "pandas reads 1 000 000 pieces as text": measure(["-c", read, str(million)]),
        "`outcomes check`, 1 000 000 pieces": measure([*RUN, "check", str(million), *BOOK]),
        "`outcomes report`, 100 000 pieces in 2 000 firings": _report(large, folder / "a"),
        "`outcomes report`, 8 000 pieces in 2 000 firings": _report(many, folder / "b"),
    }


def _report(log: Path, out: Path) -> Cost:
    return measure([*RUN, "report", str(log), *BOOK, "--out", str(out), "--quiet"])


def main() -> None:
    """Print the table."""
    with tempfile.TemporaryDirectory() as name:
        costs = {**measure_demo(Path(name)), **measure_large(Path(name))}
    sys.stdout.write(f"{'whole process':52}{'clock s':>9}{'processor s':>13}{'MB':>7}\n")
    for what, cost in costs.items():
        sys.stdout.write(f"{what:52}{cost.clock:9.2f}{cost.processor:13.2f}{cost.megabytes:7.0f}\n")


if __name__ == "__main__":
    main()
