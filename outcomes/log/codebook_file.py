"""A codebook file, TOML text on disk, read into the frozen records of `codebook`."""

import re
import tomllib
from importlib.resources import files
from pathlib import Path
from typing import Any

from outcomes.errors import CodebookError
from outcomes.log.codebook import (
    Codebook,
    Direction,
    Factor,
    Kind,
    Level,
    Outcome,
    Range,
    Role,
    Shape,
)
from outcomes.log.codebook_entries import CodebookEntry, FactorEntry, OutcomeEntry, parse_entries
from outcomes.log.codebook_extends import build_extended, check_extends
from outcomes.log.codebook_headers import has_glaze, special_name
from outcomes.log.codebook_problems import Problem, describe_problems
from outcomes.log.codebook_rules import check_rules

# A codebook is written by hand; the default one has about 25 kB.
LARGEST_FILE_BYTES = 500_000
_SPECIAL = ("firing", "date", "piece", "loaded", "notes")


def read_codebook(path: str | Path | None = None) -> Codebook:
    """Return the codebook in a TOML file, or the default one.

    Parameters
    ----------
    path
        A studio's own file. With ``extends = "default"`` it adds to the default codebook or
        changes single keys of it; without, it stands alone. None for the default codebook.

    Raises
    ------
    CodebookError
        When the file cannot be read or used: names the file, the key (or the line, when the
        text is not TOML), what was found, what was expected and what to do.
    """
    if path is None:
        return read_default_codebook()
    found = Path(path)
    return parse_codebook(_read_text(found), file=found.name)


def find_codebook(given: str | Path | Codebook | None) -> Codebook:
    """Return a codebook given as such, by its path, or not at all (the default one)."""
    if isinstance(given, Codebook):
        return given
    return read_codebook(given)


def read_default_codebook() -> Codebook:
    """Return the codebook for post-firing reduction that ships with the package."""
    return parse_codebook(read_default_text(), file="raku.toml")


def read_default_text() -> str:
    """Return the default codebook as it is written, comments and sources included."""
    return files("outcomes.log").joinpath("raku.toml").read_text(encoding="utf-8")


def parse_codebook(text: str, *, file: str) -> Codebook:
    """Return the codebook written in TOML text; ``file`` is its name in messages.

    Raises
    ------
    CodebookError
        As for `read_codebook`.
    """
    own = _parse_toml(text, file=file)
    extends = "extends" in own or "remove" in own
    default = _parse_toml(read_default_text(), file="raku.toml") if extends else {}
    _refuse(check_extends(own, default), file=file)
    table = build_extended(own, default) if extends else own
    entry = parse_entries(table)
    if isinstance(entry, tuple):
        _refuse(entry, file=file)
        raise AssertionError("a refused file goes no further")
    _refuse(check_rules(entry), file=file)
    return _build_codebook(entry)


def _read_text(path: Path) -> str:
    """Return the text of a codebook file, guarded against what is no codebook."""
    try:
        with path.open("rb") as stream:
            content = stream.read(LARGEST_FILE_BYTES + 1)
    except OSError as error:
        reason = error.strerror or str(error)
        raise CodebookError(
            f"{path}: the codebook could not be opened ({reason}). Expected a TOML file. "
            "Check the name after --codebook, or leave it out to use the default codebook."
        ) from error
    if len(content) > LARGEST_FILE_BYTES:
        raise CodebookError(
            f"{path}: the file has more than {LARGEST_FILE_BYTES:,} bytes. Expected a codebook "
            "of a few pages of text. Check that the log was not given as the codebook."
        )
    return _decode(content, path)


def _decode(content: bytes, path: Path) -> str:
    try:
        # utf-8-sig: the mark that Windows Notepad puts first is no part of the text.
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = content[: error.start].count(b"\n") + 1
        raise CodebookError(
            f"{path} line {line}: found the byte {content[error.start]:#04x}, which is not UTF-8. "
            "Expected a TOML file in UTF-8. Save it again with the encoding UTF-8."
        ) from error


def _parse_toml(text: str, *, file: str) -> dict[str, Any]:
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise CodebookError(_describe_syntax(str(error), text, file=file)) from error
    except RecursionError as error:
        raise CodebookError(
            f"{file}: found brackets nested too deeply to be a codebook. Expected tables and "
            "lists at most three deep. Remove the extra brackets."
        ) from error


def _describe_syntax(message: str, text: str, *, file: str) -> str:
    """Say which line is not TOML, and show it."""
    place = re.search(r" \(at (?:line (\d+), column \d+|end of document)\)$", message)
    lines = text.splitlines() or [""]
    number = int(place[1]) if place and place[1] else len(lines)
    reason = message[: place.start()] if place else message
    written = lines[min(number, len(lines)) - 1].strip()[:80]
    return (
        f"{file} line {number}: found {written!r}, which is not TOML ({reason}). Expected "
        "key = value, with text in quotes, or a table such as [factors.pull_temp_c]. "
        "Correct this line or the one before it."
    )


def _refuse(problems: tuple[Problem, ...], *, file: str) -> None:
    """Raise when there is anything wrong."""
    if problems:
        raise CodebookError(describe_problems(problems, file=file))


def _build_codebook(entry: CodebookEntry) -> Codebook:
    glaze = (entry.columns.glaze or "glaze") if has_glaze(entry) else ""
    return Codebook(
        title=entry.title,
        factors=tuple(_build_factor(name, each) for name, each in entry.factors.items()),
        outcomes=tuple(_build_outcome(name, each) for name, each in entry.outcomes.items()),
        firing=entry.columns.firing,
        date=entry.columns.date,
        piece=entry.columns.piece,
        glaze=glaze,
        loaded=entry.columns.loaded,
        notes=entry.columns.notes,
        cluster_word=entry.cluster_word,
        piece_word=entry.piece_word,
        special_aliases=tuple(
            (special_name(entry, each), tuple(getattr(entry.column_aliases, each)))
            for each in _SPECIAL
            if special_name(entry, each)
        ),
        date_order=entry.date_order,
        handles_hot_ware=entry.handles_hot_ware,
        how_to_grade=tuple(entry.how_to_grade),
    )


def _build_factor(name: str, entry: FactorEntry) -> Factor:
    default_shape = "straight" if entry.kind == "number" else "levels"
    return Factor(
        name=name,
        label=entry.label or _label_from(name),
        role=Role(entry.role),
        kind=Kind(entry.kind),
        shape=Shape(entry.shape or default_shape),
        unit=entry.unit,
        accepted_units=tuple(entry.accepted_units) or ((entry.unit,) if entry.unit else ()),
        measures=tuple(entry.measures.items()),
        possible=_build_range(entry.possible),
        plausible=_build_range(entry.plausible),
        step=entry.step,
        levels=tuple(entry.levels),
        level_words=tuple(entry.words.items()),
        aliases=tuple(entry.aliases),
        hard_to_change=entry.hard_to_change,
        hot=Direction(entry.hot),
        safety_note=entry.safety_note,
        feasible=_build_range(entry.feasible),
        unstated_unit=entry.unstated_unit,
    )


def _build_range(pair: list[float] | None) -> Range | None:
    return None if pair is None else Range(low=pair[0], high=pair[1])


def _build_outcome(name: str, entry: OutcomeEntry) -> Outcome:
    names = [level.name for level in entry.levels]
    return Outcome(
        name=name,
        label=entry.label or _label_from(name),
        levels=tuple(Level(name=each.name, wording=each.wording) for each in entry.levels),
        aim=names.index(entry.aim),
        wanted=Direction(entry.wanted),
        phrase=entry.phrase or _phrase_from(entry.aim, is_top=entry.aim == names[-1]),
        applies_to=tuple(entry.applies_to),
        smallest_difference=entry.smallest_difference,
        level_words=tuple(entry.words.items()),
        aliases=tuple(entry.aliases),
        how_to_grade=entry.how_to_grade,
    )


def _label_from(name: str) -> str:
    """Return a name as words: "time_in_can_min" becomes "Time in can min"."""
    return name.replace("_", " ").capitalize()


def _phrase_from(aim: str, *, is_top: bool) -> str:
    return f"are graded {aim}" if is_top else f"are graded {aim} or above"
