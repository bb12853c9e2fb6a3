"""One awkward file: how to write it, and what a right answer to it says."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

FINE = "fine"  # nothing a maker must look at
FINDINGS = "fine with findings"
REFUSED = "refused"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Case:
    """One awkward input and its truth.

    Parameters
    ----------
    name
        What is awkward about it.
    write
        Folder -> the paths to hand over, in that order.
    expect
        The class of the answer; several where more than one is right.
    rows, used
        Rows read and rows used, where the answer is no refusal; None where it is open.
    cells
        (row, header as typed, text as written): each must be named.
    says
        Further words the answer must hold.
    values
        (row, header in the exported table, text): what the cell must read back as; "" is blank.
    keeps
        Texts that must come back unchanged somewhere in the exported table.
    """

    name: str
    write: Callable[[Path], Sequence[Path]]
    expect: tuple[str, ...]
    rows: int | None = None
    used: int | None = None
    cells: tuple[tuple[int, str, str], ...] = ()
    says: tuple[str, ...] = ()
    values: tuple[tuple[int, str, str], ...] = ()
    keeps: tuple[str, ...] = ()


def one_file(content: str | bytes, name: str = "log.csv") -> Callable[[Path], Sequence[Path]]:
    """Return a writer of one file."""
    data = content.encode("utf-8") if isinstance(content, str) else content

    def write(folder: Path) -> Sequence[Path]:
        (folder / name).write_bytes(data)
        return [folder / name]

    return write


def files(contents: Mapping[str, str | bytes]) -> Callable[[Path], Sequence[Path]]:
    """Return a writer of several files, handed over in this order."""

    def write(folder: Path) -> Sequence[Path]:
        return [one_file(content, name)(folder)[0] for name, content in contents.items()]

    return write
