"""Every command that writes, in a workshop of its own: what the tests of trust run on.

``python tests/every_command.py REPORT COMMAND...`` runs one under an audit hook that notes in
REPORT every socket, every other process, every evaluation of text and every path written to.
"""

import csv
import hashlib
import json
import os
import shutil
import sys
from pathlib import Path

DEMO = Path(__file__).parents[1] / "data_demo"
DECLARED = ("--outcome", "luster", "--factor", "time_in_can_min", "--compare", "4", "16",
            "--firings", "12", "--pieces", "4", "--date", "2026-03-02")  # fmt: skip

# What stands for a path: IN the inputs, OUT the folder for results.
COMMANDS: dict[str, tuple[str, ...]] = {
    "report": ("report", "IN/log.csv", "--codebook", "IN/book.toml", "--for", "all", "--out",
               "OUT/here", "--resamples", "200", "--quiet"),
    "plan": ("plan", "IN/log.csv", "--codebook", "IN/book.toml", "--firings", "2", "--pieces", "4",
             "--out", "OUT/here", "--resamples", "200", "--quiet"),
    "export": ("export", "IN/log.csv", "--codebook", "IN/book.toml", "--to", "OUT/clean.csv"),
    "sheet": ("sheet", "--codebook", "IN/book.toml", "--out", "OUT/here"),
    "phone": ("sheet", "--phone", "--codebook", "IN/book.toml", "--out", "OUT/here"),
    "agree": ("agree", "IN/grades.csv", "--out", "OUT/here", "--quiet"),
    "regrade": ("agree", "IN/grades.csv", "--regrade", "36", "--out", "OUT/here"),
    "declare": ("declare", *DECLARED, "--to", "OUT/plan.toml", "--sheet", "OUT/here"),
    "test": ("test", "IN/plan.toml", "IN/trial.csv", "--codebook", "IN/trial.toml", "--out",
             "OUT/here", "--resamples", "200", "--quiet"),
    "power": ("power", "--shares", "10,20,30,25,15", "--effect", "25", "--firings", "8",
              "--pieces", "4", "--runs", "100", "--out", "OUT/here", "--quiet"),
}  # fmt: skip
WRITE_NOTHING = frozenset({"check"})
SHOWS_THE_REPORT = frozenset({"demo"})  # the same code as report, on another log


def prepare_inputs(folder: Path) -> None:
    """Copy a short log, a trial and gradings of the demo."""
    with (DEMO / "hollowmere_clean.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.reader(file))[:61]
    kept = [at for at, name in enumerate(rows[0]) if name not in ("color_shift", "cracked")]
    with (folder / "log.csv").open("w", encoding="utf-8", newline="") as file:
        csv.writer(file).writerows([row[at] for at in kept] for row in rows)
    for name, source in (
        ("book.toml", "hollowmere_codebook.toml"),
        ("grades.csv", "hollowmere_regrades.csv"),
        ("plan.toml", "kestrel_plan.toml"),
        ("trial.csv", "kestrel_bench.csv"),
        ("trial.toml", "kestrel_codebook.toml"),
    ):
        shutil.copy(DEMO / source, folder / name)


def words_of(command: str, inputs: Path, out: Path) -> list[str]:
    """Return the words of a command line with the folders put in."""
    return [
        word.replace("IN/", f"{inputs}/").replace("OUT/", f"{out}/") for word in COMMANDS[command]
    ]


def digests(folder: Path) -> dict[str, str]:
    """Return {relative name: SHA-256} of every file below a folder, hidden ones too."""
    return {
        path.relative_to(folder).as_posix(): hashlib.sha256(path.read_bytes()).hexdigest()
        for path in sorted(folder.rglob("*"))
        if path.is_file()
    }


def watch(report: str) -> None:
    """Note from now on what a program of ours must not do, and which paths it changes.

    A worker is a copy of the process that keeps the hook, so each note is a line of its own,
    written at once. Only `workers.spread` may make copies and read what they send.
    """
    changes = {"os.rename", "os.remove", "os.mkdir", "os.rmdir", "os.link", "os.symlink",
               "os.truncate", "os.chmod", "shutil.rmtree"}  # fmt: skip
    notes = os.open(report, os.O_WRONLY | os.O_CREAT | os.O_APPEND)

    def note(event: str, given: tuple) -> None:
        if event.startswith(("socket.", "subprocess.", "os.system", "os.exec", "os.posix_spawn",
                             "os.fork", "urllib.", "pickle.", "http.")):  # fmt: skip
            if not (event in ("os.fork", "pickle.find_class") and _is_spread()):
                put("forbidden", f"{event} {given!r}"[:200])
        elif event in changes:
            for path in given[:2]:
                if isinstance(path, (str, Path)):
                    put("changed", os.fspath(path))
        elif event == "open" and isinstance(given[0], str) and _writes(given[1], given[2]):
            put("changed", given[0])

    def put(kind: str, text: str) -> None:
        os.write(notes, (json.dumps([kind, text]) + "\n").encode())

    sys.addaudithook(note)


def read_notes(report: Path) -> dict[str, list[str]]:
    """Return what was noted, by kind."""
    lines = [json.loads(line) for line in report.read_text(encoding="utf-8").splitlines()]
    return {kind: [t for k, t in lines if k == kind] for kind in ("forbidden", "changed")}


def _is_spread() -> bool:
    """Say whether the work is being spread over workers here."""
    frame = sys._getframe()
    while frame is not None:
        if frame.f_code.co_filename.endswith(os.path.join("outcomes", "workers.py")):
            return True
        frame = frame.f_back
    return False


def _writes(mode: str | None, flags: int) -> bool:
    if mode is not None:
        return any(sign in mode for sign in "wax+")
    return bool(flags & (os.O_WRONLY | os.O_RDWR | os.O_CREAT))


def main(report: str, words: list[str]) -> None:
    """Run a command line under the hook and leave what it noted."""
    import outcomes.cli

    watch(report)
    sys.argv = ["outcomes", *words]
    outcomes.cli.main()


if __name__ == "__main__":
    main(sys.argv[1], sys.argv[2:])
