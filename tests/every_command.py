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


def watch(noted: dict[str, list[str]]) -> None:
    """Note from now on what a program of ours must not do, and which paths it changes."""
    changes = {"os.rename", "os.remove", "os.mkdir", "os.rmdir", "os.link", "os.symlink",
               "os.truncate", "os.chmod", "shutil.rmtree"}  # fmt: skip

    def note(event: str, given: tuple) -> None:
        if event.startswith(("socket.", "subprocess.", "os.system", "os.exec", "os.posix_spawn",
                             "os.fork", "urllib.", "pickle.", "http.")):  # fmt: skip
            noted["forbidden"].append(f"{event} {given!r}"[:200])
        elif event in changes:
            noted["changed"] += [os.fspath(p) for p in given[:2] if isinstance(p, (str, Path))]
        elif event == "open" and isinstance(given[0], str) and _writes(given[1], given[2]):
            noted["changed"].append(given[0])

    sys.addaudithook(note)


def _writes(mode: str | None, flags: int) -> bool:
    if mode is not None:
        return any(sign in mode for sign in "wax+")
    return bool(flags & (os.O_WRONLY | os.O_RDWR | os.O_CREAT))


def main(report: str, words: list[str]) -> None:
    """Run a command line under the hook and leave what it noted."""
    import outcomes.cli

    noted: dict[str, list[str]] = {"forbidden": [], "changed": []}
    watch(noted)
    sys.argv = ["outcomes", *words]
    try:
        outcomes.cli.main()
    finally:
        text = json.dumps(noted)
        Path(report).write_text(text, encoding="utf-8")


if __name__ == "__main__":
    main(sys.argv[1], sys.argv[2:])
