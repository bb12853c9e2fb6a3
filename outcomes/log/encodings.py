"""Bytes of a text file -> text, by fixed rules: no statistics, and every guess is said."""

import re
from dataclasses import dataclass

from outcomes.errors import LogError
from outcomes.finding import Finding, Severity
from outcomes.log.quoting import quote_text

_MARKS: tuple[tuple[bytes, str], ...] = (
    (b"\xff\xfe\x00\x00", "utf-32"),
    (b"\x00\x00\xfe\xff", "utf-32"),
    (b"\xff\xfe", "utf-16"),
    (b"\xfe\xff", "utf-16"),
)
_LINE = re.compile(rb"\r\n|\r|\n")
_WORD = re.compile(r"[^\s,;|\t\"]*[^\x00-\x7f][^\s,;|\t\"]*")
_SAMPLE = 4096
_CONTROL = bytes(set(range(32)) - {9, 10, 11, 12, 13, 26, 27})  # 26 ends old DOS files


@dataclass(frozen=True, slots=True, kw_only=True)
class Decoded:
    """A text file's text, what it was decoded from, and what there is to say about it."""

    text: str
    encoding: str
    findings: tuple[Finding, ...] = ()


def decode_text(data: bytes, name: str) -> Decoded:
    r"""Decode strictly: UTF-8, UTF-16/32 by mark, UTF-16 by its zeros, else Windows-1252.

    Raises
    ------
    LogError
        When the bytes are no text: zero bytes, control characters, or letters that exist in
        none of the encodings.

    Examples
    --------
    >>> decode_text(b"\xef\xbb\xbfglaze\n", "log.csv").text
    'glaze\n'
    """
    for mark, encoding in _MARKS:
        if data.startswith(mark):
            return Decoded(text=_decode_wide(data, encoding, name), encoding=encoding)
    if b"\x00" in data:
        return _decode_unmarked_wide(data, name)
    _refuse_control_bytes(data, name)
    try:
        return Decoded(text=data.decode("utf-8-sig"), encoding="utf-8")
    except UnicodeDecodeError:
        return _decode_by_line(data, name)


def _decode_wide(data: bytes, encoding: str, name: str) -> str:
    try:
        text = data.decode(encoding)
    except UnicodeDecodeError as error:
        raise LogError(
            f"{name} begins like {encoding.upper()} text but breaks off at byte {error.start:,}; "
            "it is damaged or half downloaded. Export it again as CSV (UTF-8)."
        ) from error
    _refuse_zero_characters(text, name)
    return text


def _decode_unmarked_wide(data: bytes, name: str) -> Decoded:
    """Read UTF-16 without its mark: Latin text then has a zero at every second byte."""
    sample = data[:_SAMPLE]
    half = max(len(sample) // 2, 1)
    even, odd = sample[0::2].count(0) / half, sample[1::2].count(0) / half
    if max(even, odd) < 0.6 or min(even, odd) > 0.1:
        line = 1 + sum(1 for _ in _LINE.finditer(data, 0, data.index(0)))
        raise LogError(
            f"{name} line {line} holds a zero byte, which no text file does: it is a binary file "
            "or was damaged in copying. Open it where it was made and save it as CSV (UTF-8)."
        )
    encoding = "utf-16-le" if odd > even else "utf-16-be"
    text = _decode_wide(data, encoding, name)
    finding = Finding(
        code="encoding_guessed",
        severity=Severity.NOTE,
        message=f"{name} is UTF-16 text without the mark that says so; it was read as {encoding}.",
        advice="Look whether names with accents are right; saving as CSV (UTF-8) avoids the guess.",
        file=name,
    )
    return Decoded(text=text, encoding=encoding, findings=(finding,))


def _refuse_zero_characters(text: str, name: str) -> None:
    at = text.find("\x00")
    if at >= 0:
        line = 1 + len(re.findall(r"\r\n|\r|\n", text[:at]))
        raise LogError(
            f"{name} line {line} holds a zero character, which no text file does: it was damaged "
            "in copying. Export it again as CSV (UTF-8)."
        )


def _refuse_control_bytes(data: bytes, name: str) -> None:
    sample = data[:65_536]
    controls = len(sample) - len(sample.translate(None, _CONTROL))
    if controls > 0.02 * len(sample):
        raise LogError(
            f"{name} is a binary file, not text ({controls} control characters in its first "
            f"{len(sample):,} bytes), expected a table as CSV, TSV, XLSX or Parquet. Open it "
            "where it was made and save it as CSV (UTF-8)."
        )


def _decode_by_line(data: bytes, name: str) -> Decoded:
    """Decode each line as UTF-8 where it is valid, else as Windows-1252, and say where."""
    lines, odd_lines, wide_lines = [], [], 0
    for number, line in enumerate(data.removeprefix(b"\xef\xbb\xbf").split(b"\n"), start=1):
        try:
            lines.append(line.decode("utf-8"))
            wide_lines += not line.isascii()
        except UnicodeDecodeError:
            lines.append(_decode_cp1252(line, name, number))
            odd_lines.append(number)
    words = [w for n in odd_lines[:200] for w in _WORD.findall(lines[n - 1])]
    encoding = "utf-8 and cp1252" if wide_lines else "cp1252"
    finding = Finding(
        code="encoding_guessed",
        severity=Severity.WARNING,
        message=(
            f"{name} is not UTF-8; {len(odd_lines)} of its lines, the first being line "
            f"{odd_lines[0]}, were read as Windows-1252, which may give wrong letters. Read so: "
            + ", ".join(quote_text(word) for word in dict.fromkeys(words[:500]) if word)[:300]
            + "."
        ),
        advice="Look whether these words are right. If not, save the log as CSV (UTF-8).",
        file=name,
    )
    return Decoded(text="\n".join(lines), encoding=encoding, findings=(finding,))


def _decode_cp1252(line: bytes, name: str, number: int) -> str:
    try:
        return line.decode("cp1252")
    except UnicodeDecodeError as error:
        raise LogError(
            f"{name} line {number} holds the byte {line[error.start]:#04x}, which is a letter "
            "neither in UTF-8 nor in Windows-1252. Open the log where it was made and save it "
            "as CSV (UTF-8)."
        ) from error
