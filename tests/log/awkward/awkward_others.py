"""What is no table at all, what is no file, and what is very large."""

import gzip
import io
import os
from collections.abc import Sequence
from pathlib import Path

import pandas as pd
from awkward_case import FINDINGS, FINE, REFUSED, Case, one_file
from awkward_log import N_ROWS, clean_rows, csv_lines, csv_text, join_lines


def _refused(name: str, data: str | bytes, *says: str, file: str = "log.csv") -> Case:
    return Case(name=name, write=one_file(data, file), expect=(REFUSED,), says=(file, *says))


def _parquet() -> bytes:
    stored = io.BytesIO()
    pd.DataFrame(clean_rows()).to_parquet(stored)
    return stored.getvalue()


def _folder(folder: Path) -> Sequence[Path]:
    (folder / "logs").mkdir()
    return [folder / "logs"]


def _pipe(folder: Path) -> Sequence[Path]:
    os.mkfifo(folder / "pipe.csv")
    return [folder / "pipe.csv"]


def _link(target: str) -> object:
    def write(folder: Path) -> Sequence[Path]:
        (folder / "real.csv").write_text(csv_text())
        (folder / "log.csv").symlink_to(folder / target)
        return [folder / "log.csv"]

    return write


def _circle(folder: Path) -> Sequence[Path]:
    (folder / "a.csv").symlink_to(folder / "b.csv")
    (folder / "b.csv").symlink_to(folder / "a.csv")
    return [folder / "a.csv"]


def _large(megabytes: int) -> str:
    """Firings without end, every row as long as a usual one."""
    lines = csv_lines()
    body = join_lines(lines[1:])
    times = megabytes * 1_000_000 // len(body)
    return lines[0] + "\n" + "".join(body.replace("V", f"W{n}x") for n in range(times))


LARGE = _large(int(os.environ.get("AWKWARD_MEGABYTES", "2")))
PARQUET = _parquet()

CASES = (
    _refused("nothing at all", b"", "empty"),
    _refused("spaces and line ends only", b" \n\r\n\t\n", "empty"),
    _refused("a mark and nothing else", b"\xef\xbb\xbf", "empty"),
    _refused("zeros only", b"\x00" * 4096, "empty"),
    _refused(
        "a sign-in page",
        "<!DOCTYPE html>\n<html><head><title>Sign in</title></head></html>",
        "web page",
    ),
    _refused(
        "a page behind blank lines",
        "\n\n  <html><body><table><tr><td>luster</td></tr></table>",
        "web page",
    ),
    _refused("a JSON file", '[{"luster": 3, "glaze": "x"}]', "JSON"),
    _refused("an XML file", '<?xml version="1.0"?><log><luster>3</luster></log>', "XML"),
    _refused("a PDF", b"%PDF-1.7\n%\xe2\xe3\xcf\xd3\n", "PDF"),
    _refused("a photograph", b"\xff\xd8\xff\xe0\x00\x10JFIF" + os.urandom(64), "picture"),
    _refused("a compressed log", gzip.compress(csv_text().encode(), mtime=0), "gzip"),
    _refused("a database", b"SQLite format 3\x00" + b"\x00" * 100, "SQLite"),
    _refused("noise", bytes((i * i * 7 + i) % 256 for i in range(9000)), "UTF-8"),
    _refused(
        "a letter to the editor",
        "Dear all,\nlast week we fired.\nIt went well, mostly.\n",
        "header",
    ),
    _refused("one long line without an end", "glaze " * 200_000, "header"),
    _refused("half a parquet file", PARQUET[: len(PARQUET) // 2], file="log.parquet"),
    _refused("a parquet file in name only", b"PAR1" + b"\x01" * 64 + b"PAR1", file="log.parquet"),
    Case(
        name="a parquet file",
        write=one_file(PARQUET, "log.parquet"),
        expect=(FINE,),
        rows=N_ROWS,
        used=N_ROWS,
        values=((2, "firing_id", "V1"), (2, "pull_temp_f", clean_rows()[0]["pull_temp_f"])),
    ),
    Case(name="a folder", write=_folder, expect=(REFUSED,), says=("logs", "folder")),
    Case(
        name="a named pipe", write=_pipe, expect=(REFUSED,), says=("pipe.csv", "not a plain file")
    ),
    Case(
        name="no such file",
        write=lambda folder: [folder / "gone.csv"],
        expect=(REFUSED,),
        says=("gone.csv", "no such file"),
    ),
    Case(name="a link to nothing", write=_link("gone.csv"), expect=(REFUSED,), says=("log.csv",)),
    Case(name="a link to itself", write=_circle, expect=(REFUSED,), says=("a.csv",)),
    Case(name="a link to a log", write=_link("real.csv"), expect=(FINE,), rows=N_ROWS, used=N_ROWS),
    Case(
        name="a device without end",
        write=lambda _: [Path("/dev/zero")],
        expect=(REFUSED,),
        says=("not a plain file",),
    ),
    Case(
        name="a name of 255 letters",
        write=lambda folder: [folder / ("x" * 255)],
        expect=(REFUSED,),
        says=("no such file",),
    ),
    Case(
        name="a name too long for any disk",
        write=lambda folder: [folder / ("x" * 300)],
        expect=(REFUSED,),
        says=("xxx",),
    ),
    Case(
        name="megabytes of firings",
        write=one_file(LARGE),
        expect=(FINE, FINDINGS),
        rows=LARGE.count("\n") - 1,
    ),
)
