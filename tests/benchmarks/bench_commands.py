"""How long the commands take as whole processes, and how much of that is importing.

Run by hand::

    python tests/benchmarks/bench_commands.py

Clock time, minimum of repeats, in one run; bare Python stands beside as the peer.
"""

import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).parents[2]
LOG = str(ROOT / "data_demo" / "hollowmere_yard.csv")
CODEBOOK = str(ROOT / "data_demo" / "hollowmere_codebook.toml")
IMPORTS = (
    "import outcomes.api, outcomes.study.analysis, outcomes.report.results,"
    "outcomes.report.figures, matplotlib.figure, sklearn.ensemble"
)


def measure(words: list[str], repeats: int) -> float:
    """Return the least clock time of a process, seconds."""
    times = []
    for _ in range(repeats):
        start = time.perf_counter()
        subprocess.run([sys.executable, *words], check=True, capture_output=True)
        times.append(time.perf_counter() - start)
    return min(times)


def main() -> None:
    """Print the table."""
    with tempfile.TemporaryDirectory() as folder:
        out = str(Path(folder) / "report")
        run = ["-m", "outcomes"]
        rows = {
            "bare Python": measure(["-c", ""], 5),
            "outcomes --help": measure([*run, "--help"], 5),
            "outcomes check, demo log": measure([*run, "check", LOG, "--codebook", CODEBOOK], 3),
            "imports of a report": measure(["-c", IMPORTS], 3),
            "outcomes demo, 2 000 redraws": measure([*run, "demo", "--out", out], 3),
        }
    whole = rows["outcomes demo, 2 000 redraws"]
    sys.stdout.write(f"{'whole process':32}{'seconds':>9}{'/ demo':>9}\n")
    for name, seconds in rows.items():
        sys.stdout.write(f"{name:32}{seconds:9.2f}{seconds / whole:9.2f}\n")


if __name__ == "__main__":
    main()
