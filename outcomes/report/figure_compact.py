"""The same picture in fewer bytes: short paths, shapes where they are used, looks said once."""

import re
import xml.etree.ElementTree as ET
from collections import Counter
from collections.abc import Iterable

SVG = "http://www.w3.org/2000/svg"
_PATH, _TEXT, _USE, _GROUP, _DEFS = (
    f"{{{SVG}}}{name}" for name in ("path", "text", "use", "g", "defs")
)
_LINES = re.compile(r"(?<=[\d.]) *L ?")
_POINTS = re.compile(r"-?[\d.]+(?: -?[\d.]+)+")
_PLACE = ("x", "y", "href")


def compact_picture(root: ET.Element) -> None:
    """Shorten a picture in place; what it shows stays the same."""
    for element in root.iter():
        if "d" in element.attrib:
            element.set("d", shorten_path(element.attrib["d"]))
        if element.attrib.get("text-anchor") == "start":
            del element.attrib["text-anchor"]
    _inline_shapes(root)
    for parent in list(root.iter()):
        if parent.tag != _DEFS:
            parent[:] = _join_lines(parent)
            parent[:] = _group(parent, _USE)
    texts = [child for child in root if child.tag == _TEXT]
    texts.sort(key=lambda text: sorted(_looks(text).items()))
    holder = ET.Element(_GROUP)
    holder[:] = texts
    root[:] = [child for child in root if child.tag != _TEXT] + _group(holder, _TEXT)


def shorten_path(path: str) -> str:
    """Return a path with every L after the first left out, as SVG 1.1 §8.3.2 and §8.3.4 allow.

    >>> shorten_path("M 1 2  L 3 4.5  L 3 4.5  L 5 -6  z")
    'M1 2 3 4.5 5 -6z'
    >>> shorten_path("M 1 2  L 3 2  L 3 5")
    'M1 2 3 2 3 5'
    """
    spaced = " ".join(path.split())
    if "C" not in path and "Q" not in path:
        spaced = _POINTS.sub(_drop_repeats, _LINES.sub(" ", spaced))
    return re.sub(r" ?([A-Za-z]) ?", r"\1", spaced)


def _drop_repeats(found: re.Match[str]) -> str:
    """Return a row of points without those that repeat the one before."""
    numbers = found[0].split(" ")
    points = list(zip(numbers[::2], numbers[1::2], strict=True))
    kept = [p for slot, p in enumerate(points) if slot == 0 or p != points[slot - 1]]
    return " ".join(f"{x} {y}" for x, y in kept)


def _inline_shapes(root: ET.Element) -> None:
    """Draw a shape that is used once where it is used."""
    used = Counter(e.attrib["href"][1:] for e in root.iter() if "href" in e.attrib)
    shapes = {e.attrib["id"]: e for e in root.iter() if used[e.attrib.get("id", "")] == 1}
    for parent in list(root.iter()):
        for slot, child in enumerate(list(parent)):
            name = child.attrib.get("href", "#")[1:]
            if name in shapes:
                parent[slot] = _place_shape(shapes[name], child)
    for parent in list(root.iter()):
        for child in list(parent):
            if child.tag == _DEFS:
                child[:] = [e for e in child if e.attrib.get("id", "") not in shapes]
                if not len(child):
                    parent.remove(child)


def _place_shape(shape: ET.Element, use: ET.Element) -> ET.Element:
    """Return the shape itself with the looks of its use, moved to its place."""
    placed = ET.Element(shape.tag, {"d": shape.attrib["d"], **_looks(use)})
    x, y = use.attrib.get("x", "0"), use.attrib.get("y", "0")
    if (x, y) != ("0", "0"):
        placed.set("transform", f"translate({x} {y})")
    return placed


def _join_lines(children: Iterable[ET.Element]) -> list[ET.Element]:
    """Draw lines that follow one another and look alike as one path."""
    kept: list[ET.Element] = []
    for child in children:
        last = kept[-1] if kept else None
        is_line = child.tag == _PATH and child.attrib.get("fill") == "none"
        if is_line and last is not None and _is_alike(last, child):
            last.set("d", last.attrib["d"] + child.attrib["d"])
        else:
            kept.append(child)
    return kept


def _is_alike(one: ET.Element, other: ET.Element) -> bool:
    looks = [{n: v for n, v in e.attrib.items() if n != "d"} for e in (one, other)]
    return one.tag == other.tag and looks[0] == looks[1]


def _looks(element: ET.Element) -> dict[str, str]:
    return {name: value for name, value in element.attrib.items() if name not in _PLACE}


def _group(children: Iterable[ET.Element], tag: str) -> list[ET.Element]:
    """Say the looks of elements that follow one another once, in a group around them."""
    kept: list[ET.Element] = []
    run: list[ET.Element] = []
    for child in children:
        if run and (child.tag != tag or _looks(run[0]) != _looks(child)):
            kept += _close(run)
            run = []
        if child.tag == tag:
            run.append(child)
        else:
            kept.append(child)
    return kept + _close(run)


def _close(run: list[ET.Element]) -> list[ET.Element]:
    """Return a run of elements as a group; a single one as it is."""
    if len(run) < 2:
        return run
    group = ET.Element(_GROUP, _looks(run[0]))
    for element in run:
        for name in _looks(element):
            del element.attrib[name]
        group.append(element)
    return [group]
