"""A studio's own codebook laid over the default one, key by key."""

from collections.abc import Iterator, Mapping
from typing import Any

from outcomes.log.codebook_headers import fold_header
from outcomes.log.codebook_problems import Problem, quote, suggest

_Table = Mapping[str, Any]
_REMOVABLE = ("factors", "outcomes")


def check_extends(own: _Table, default: _Table) -> tuple[Problem, ...]:
    """Return what is wrong with the keys ``extends`` and ``remove`` of a studio's file."""
    return (*_check_extends(own), *_check_remove(own, default))


def build_extended(own: _Table, default: _Table) -> dict[str, Any]:
    """Return the default table with a studio's own laid over it.

    Tables are merged key by key and other values replaced, except that ``aliases`` are added
    to the default ones. A name or spelling which the studio's file gives to a column is
    taken away from the aliases of every other column: the studio's word wins. Columns in
    ``remove`` go first, so a removed column may be written anew.

    >>> build_extended({"title": "Ours", "remove": ["b"]}, {"factors": {"a": {}, "b": {}}})
    {'factors': {'a': {}}, 'title': 'Ours'}
    """
    kept = _without(default, tuple(own.get("remove", ())))
    claimed = {fold_header(spelling): column for column, spelling in _spellings(own)}
    freed = _free_aliases(kept, claimed, ())
    return _laid_over({key: own[key] for key in own if key not in ("extends", "remove")}, freed)


def _check_extends(own: _Table) -> Iterator[Problem]:
    if own.get("extends", "default") != "default":
        yield Problem(
            key="extends",
            found=quote(own["extends"]),
            expected="'default', the only codebook that can be extended",
            remedy='Write extends = "default", or remove the key and describe every column.',
        )


def _check_remove(own: _Table, default: _Table) -> Iterator[Problem]:
    removed = own.get("remove", [])
    if not isinstance(removed, list):
        yield Problem(
            key="remove",
            found=quote(removed),
            expected="a list of column names in square brackets",
            remedy='Write remove = ["…"].',
        )
        return
    if removed and "extends" not in own:
        yield Problem(
            key="remove",
            found=quote(removed),
            expected='this key only together with extends = "default"',
            remedy='Add extends = "default" at the top, or remove the key.',
        )
    known = [name for table in _REMOVABLE for name in default.get(table, {})]
    for name in removed:
        if name not in known:
            yield Problem(
                key="remove",
                found=quote(name),
                expected="the name of a factor or an outcome of the default codebook",
                remedy=f"{suggest(name, known)}Correct it or take it out of the list.",
            )


def _without(default: _Table, removed: tuple[str, ...]) -> dict[str, Any]:
    """Return the default table without the removed columns."""
    kept = dict(default)
    for table in _REMOVABLE:
        if table in kept:
            kept[table] = {n: value for n, value in kept[table].items() if n not in removed}
    columns = kept.get("columns", {})
    if columns.get("glaze") in removed:
        kept["columns"] = {key: name for key, name in columns.items() if key != "glaze"}
    return kept


def _spellings(own: _Table) -> Iterator[tuple[str, str]]:
    """Yield (owner, spelling) for every column name and alias in a studio's file."""
    for table in _REMOVABLE:
        for name, member in _members(own, table):
            yield name, name
            yield from ((name, alias) for alias in _texts(member, "aliases"))
    for key, name in _members(own, "columns"):
        if isinstance(name, str):
            yield key, name
    aliases = own.get("column_aliases", {})
    for key in aliases if isinstance(aliases, dict) else ():
        yield from ((key, alias) for alias in _texts(aliases, key))


def _members(own: _Table, table: str) -> Iterator[tuple[str, Any]]:
    members = own.get(table, {})
    yield from members.items() if isinstance(members, dict) else ()


def _texts(table: object, key: str) -> tuple[str, ...]:
    """Return the texts of a list that has not been checked yet."""
    values = table.get(key, ()) if isinstance(table, dict) else ()
    return tuple(v for v in values if isinstance(v, str)) if isinstance(values, list) else ()


def _free_aliases(
    table: _Table, claimed: Mapping[str, str], path: tuple[str, ...]
) -> dict[str, Any]:
    """Return the table without the aliases another column now claims."""
    freed: dict[str, Any] = {}
    for key, value in table.items():
        if isinstance(value, dict):
            freed[key] = _free_aliases(value, claimed, (*path, key))
        elif _holds_aliases((*path, key)):
            owner = key if path[0] == "column_aliases" else path[1]
            freed[key] = [a for a in value if claimed.get(fold_header(a), owner) == owner]
        else:
            freed[key] = value
    return freed


def _holds_aliases(path: tuple[str, ...]) -> bool:
    return path[0] == "column_aliases" or (len(path) == 3 and path[-1] == "aliases")


def _laid_over(own: _Table, default: _Table, path: tuple[str, ...] = ()) -> dict[str, Any]:
    """Return the default with own values over it; neither is changed."""
    merged = dict(default)
    for key, value in own.items():
        below = default.get(key)
        if isinstance(value, dict) and isinstance(below, dict):
            merged[key] = _laid_over(value, below, (*path, key))
        elif isinstance(value, list) and isinstance(below, list) and _holds_aliases((*path, key)):
            merged[key] = [*value, *(each for each in below if each not in value)]
        else:
            merged[key] = value
    return merged
