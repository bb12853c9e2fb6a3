"""Runs stopped at random moments, by hand: `python tests/stopped_runs.py 50 1`.

A report is written over an older one and stopped with each signal at that many moments. The
first number is how many, the second the seed. What must hold stands in `complain`; how long an
ending takes is only printed, as it depends on what else the machine does.
"""

import importlib.util
import os
import random
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

HERE = Path(__file__).parent
ASKED = {"SIGINT": 130, "SIGTERM": 143, "SIGHUP": 129}
SENTENCE = "Interrupted; nothing is half written.\n"
# What makes the older results differ from the new ones.
OLDER = {"report": ("--seed", "2"), "agree": ("--confidence", "0.9")}


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Workshop:
    """Where runs are stopped: a folder that holds an old report, and what a new one holds."""

    words: tuple[str, ...]
    out: Path
    old: dict[str, str]
    new: dict[str, str]
    seconds: float
    digests: Callable[[Path], dict[str, str]]
    keep: Path


@dataclass(frozen=True, slots=True, kw_only=True)
class Ended:
    """How a stopped run ended."""

    name: str
    status: int
    said: str
    seconds: float


def load_list():
    spec = importlib.util.spec_from_file_location("every_command", HERE / "every_command.py")
    module = importlib.util.module_from_spec(spec)
    sys.modules["every_command"] = module
    spec.loader.exec_module(module)
    return module


def prepare(folder: Path, command: str = "report") -> Workshop:
    """Write old results and, elsewhere, the new ones; take the time of it."""
    every = load_list()
    for name in ("inputs", "old", "new", "work"):
        (folder / name).mkdir()
    every.prepare_inputs(folder / "inputs")
    words = {name: ["-m", "outcomes", *every.words_of(command, folder / "inputs", folder / name)]
             for name in ("old", "new", "work")}  # fmt: skip
    _run([*words["old"], *OLDER[command]])
    began = time.monotonic()
    _run(words["new"])
    seconds = time.monotonic() - began
    old, new = (every.digests(folder / name) for name in ("old", "new"))
    return Workshop(words=tuple(words["work"]), out=folder / "work", old=old, new=new,
                    seconds=seconds, digests=every.digests, keep=folder / "old")  # fmt: skip


def _run(words: list[str]) -> None:
    subprocess.run([sys.executable, *words], check=True, capture_output=True)


def stop(shop: Workshop, name: str, *, after: float, writing: bool = False) -> Ended:
    """Put the old report back, start a run and send a signal.

    ``after`` counts seconds from the start, or from the first file of the new report.
    """
    shutil.rmtree(shop.out)
    shutil.copytree(shop.keep, shop.out)
    process = subprocess.Popen([sys.executable, *shop.words], stdout=subprocess.PIPE,
                               stderr=subprocess.PIPE, text=True)  # fmt: skip
    while writing and process.poll() is None and not list(shop.out.glob(".*")):
        time.sleep(0.001)
    time.sleep(after)
    began = time.monotonic()
    process.send_signal(getattr(signal, name))
    said, errors = process.communicate(timeout=120)
    return Ended(name=name, status=process.returncode, said=errors if errors else said,
                 seconds=time.monotonic() - began)  # fmt: skip


def hear_signals() -> None:
    """Let runs have the usual signals: who starts us in the background may have ignored some."""
    for name in ASKED:
        signal.signal(getattr(signal, name), signal.SIG_DFL)


def complain(shop: Workshop, ended: Ended) -> list[str]:
    """Return what is wrong after a stopped run."""
    left = shop.digests(shop.out)
    whole = {name: digest for name, digest in left.items() if not name.startswith(".")}
    wrong = [] if whole in (shop.old, shop.new) else ["neither the old nor the new results"]
    if ended.name == "SIGKILL":
        _run(list(shop.words))
        after = shop.digests(shop.out)
        tidied = after == shop.new and not list(shop.out.glob(".*"))
        return wrong + ([] if tidied else ["the next run does not tidy up"])
    wrong += [] if not list(shop.out.glob(".*")) else ["something is left aside"]
    if not (is_done(ended) or is_before_us(ended)):
        right = (ended.status, ended.said) == (ASKED[ended.name], SENTENCE)
        wrong += [] if right else [f"status {ended.status}, said {ended.said!r}"]
    return wrong


def is_done(ended: Ended) -> bool:
    """Whether the signal came when all was said."""
    return ended.status == 0 and ended.said.count("\n") == 1


def is_before_us(ended: Ended) -> bool:
    """Whether the signal came while Python itself was starting, before any line of ours."""
    ours = f"outcomes{os.sep}__main__.py"
    statuses = (-getattr(signal, ended.name), 1)
    return ended.name in ASKED and ended.status in statuses and ours not in ended.said


def moments(shop: Workshop, number: int, draw: random.Random) -> list[tuple[float, bool]]:
    """Return moments: half over the whole run, half within the writing."""
    early = [(draw.uniform(0, shop.seconds), False) for _ in range(number - number // 2)]
    return early + [(draw.uniform(0, 0.02), True) for _ in range(number // 2)]


def main(number: int, seed: int, command: str) -> int:
    """Stop runs, print what is wrong."""
    draw, faults = random.Random(seed), 0
    hear_signals()
    with tempfile.TemporaryDirectory() as name:
        shop = prepare(Path(name), command)
        print(f"a run takes {shop.seconds:.1f} s, {len(shop.new)} files", flush=True)
        for sign in ("SIGKILL", *ASKED):
            endings, slowest = {}, 0.0
            for after, writing in moments(shop, number, draw):
                ended = stop(shop, sign, after=after, writing=writing)
                wrong = complain(shop, ended)
                early = " before us" if is_before_us(ended) else ""
                key = f"{ended.status}{early}"
                endings[key] = endings.get(key, 0) + 1
                slowest = max(slowest, ended.seconds)
                faults += bool(wrong)
                if wrong:
                    print(f"{sign} after {after:.3f} s, writing {writing}:", *wrong, sep="\n  ")
            print(f"{sign}: {endings}, slowest {slowest:.1f} s", flush=True)
    print(f"{faults} at fault")
    return int(faults > 0)


if __name__ == "__main__":
    os.environ["OMP_NUM_THREADS"] = "1"
    _, number, seed, command = [*sys.argv, *("50", "1", "report")[len(sys.argv) - 1 :]]
    sys.exit(main(int(number), int(seed), command))
