"""Many thousands of damaged files, by hand: `python tests/log/awkward/fuzz_files.py 20000`.

Every file of the collection beside this script is damaged at random and read as `outcomes
check` and `outcomes export` do. Each must be answered or refused in words, without a
traceback, a lost row or a changed input. The first number is how many files, the second the seed.
"""

import collections
import io
import os
import random
import sys
import tempfile
import time
import traceback
import zipfile
import zlib
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))

import conftest
from awkward_judge import ACCOUNT, FORBIDDEN, REFUSED, _is_raw, answer

from outcomes.log.codebook import Codebook
from outcomes.log.codebook_file import read_default_codebook

LARGEST = 40_000  # bytes of a file worth damaging ten thousand times
TEXTS = (b",", b'"', b"\n", b"\r", b"\x00", b"\xff", b"\xef\xbb\xbf", b"1e309", b"=1+1", b";",
         b"\t", b"nan", b"-", b"<", b"&", b"]]>", b"\xe2\x80\xae", b"#REF!", b"'", b"0x1F", b"~",
         b"12:30", b"firing_id", b"luster", b"\x1b[2J", b"9" * 400, b"1/2", b"\xc2\xbd",
         b"\xed\xa0\x80")  # fmt: skip


def collect(folder: Path) -> list[tuple[str, bytes]]:
    """Name and bytes of every small single file of the collection."""
    found = []
    for place, case in enumerate(c for n in conftest.LISTS for c in conftest.load_beside(n).CASES):
        here = folder / str(place)
        here.mkdir()
        for path in case.write(here):
            if _is_small(path):
                found.append((path.suffix[:8] or ".csv", path.read_bytes()))
    return found


def _is_small(path: Path) -> bool:
    return os.path.isfile(path) and os.path.getsize(path) <= LARGEST


def damage(  # noqa: PLR0911 - an accident each
    data: bytes, other: bytes, draw: random.Random
) -> bytes:
    """Return the bytes after one small accident."""
    start = draw.randrange(len(data) + 1)
    end = min(len(data), start + draw.choice((1, 2, 8, 40, 400)))
    kind = draw.randrange(8)
    if kind == 0:
        return data[:start] + data[end:]
    if kind == 1:
        return data[:start] + draw.choice(TEXTS) + data[start:]
    if kind == 2:
        return data[:end] + data[start:end] * draw.choice((1, 2, 30)) + data[end:]
    if kind == 3:
        return data[:start] + bytes(draw.randrange(256) for _ in range(end - start)) + data[end:]
    if kind == 4:
        return data[:start]
    if kind == 5:
        return data[:start] + other[draw.randrange(len(other) + 1) :][:2000] + data[start:]
    if kind == 6:
        sign, new = draw.choice(TEXTS[:10]), draw.choice(TEXTS[:10])
        return data.replace(sign, new)
    return _exchange_cells(data, draw)


def _exchange_cells(data: bytes, draw: random.Random) -> bytes:
    lines = data.split(b"\n")
    one, two = draw.randrange(len(lines)), draw.randrange(len(lines))
    cells, others = lines[one].split(b","), lines[two].split(b",")
    at, to = draw.randrange(len(cells)), draw.randrange(len(others))
    cells[at], others[to] = others[to], cells[at]
    lines[one], lines[two] = b",".join(cells), b",".join(others)
    return b"\n".join(lines)


def damage_inside(data: bytes, other: bytes, draw: random.Random) -> bytes:
    """Damage a part of a workbook and pack it again; other files are damaged as they are."""
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as book:
            parts = {name: book.read(name) for name in book.namelist()}
    except (zipfile.BadZipFile, zlib.error, OSError, RuntimeError, ValueError, EOFError):
        return damage(data, other, draw)
    name = draw.choice(sorted(parts) or ["nothing"])
    parts[name] = damage(parts.get(name, b""), other, draw)
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as book:
        for part, content in parts.items():
            book.writestr(part, content)
    return packed.getvalue()


def judge(path: Path, codebook: Codebook) -> tuple[str, list[str]]:
    """Class of the answer, and what is wrong with it."""
    before = path.read_bytes()
    told = answer([path], codebook)
    wrong = [f"it says {word!r}" for word in FORBIDDEN if word in told.text]
    wrong += ["a raw control character"] if any(_is_raw(sign) for sign in told.text) else []
    wrong += [] if told.text.strip() else ["no word"]
    wrong += [] if path.read_bytes() == before else ["the file has changed"]
    found = ACCOUNT.search(told.text.splitlines()[0]) if told.table is not None else None
    if found:
        read, used, aside = (int(number.replace(",", "")) for number in found.groups())
        wrong += [] if read == used + aside else ["the account does not add up"]
        wrong += [] if used == len(told.table) else ["the table has other rows than the account"]
    elif told.kind != REFUSED:
        wrong.append("no row account")
    return told.kind, wrong


def main(number: int, seed: int) -> int:
    """Damage and read; print classes and faults, keep the files at fault."""
    draw, counts, faults = random.Random(seed), collections.Counter(), 0
    codebook, kinds = read_default_codebook(), collections.Counter()
    slowest, began = 0.0, time.monotonic()
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        corpus = collect(folder)
        for place in range(number):
            suffix, data = draw.choice(corpus)
            other = draw.choice(corpus)[1]
            for _ in range(draw.randrange(1, 5)):
                inside = draw.random() < 0.7
                data = (damage_inside if inside else damage)(data, other, draw)
            path = folder / f"log{suffix}"
            path.write_bytes(data)
            at = time.monotonic()
            try:
                kind, wrong = judge(path, codebook)
            except Exception:
                kind, wrong = "traceback", [traceback.format_exc()]
            slowest = max(slowest, time.monotonic() - at)
            counts[kind] += 1
            kinds[suffix] += 1
            if wrong:
                faults += 1
                kept = Path(f"fault_{seed}_{place}{suffix}")
                kept.write_bytes(data)
                print(kept, *wrong, sep="\n  ", flush=True)
            if place % 1000 == 999:
                print(place + 1, dict(counts), flush=True)
    print(f"{number} files, seed {seed}: {dict(counts)}; {dict(kinds)}; {faults} at fault; "
          f"slowest {slowest:.1f} s; {time.monotonic() - began:.0f} s in all")  # fmt: skip
    return int(faults > 0)


if __name__ == "__main__":
    given = [int(word) for word in sys.argv[1:]]
    sys.exit(main(given[0] if given else 20_000, given[1] if len(given) > 1 else 1))
