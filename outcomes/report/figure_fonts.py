"""matplotlib with the two fonts it brings along, and nothing looked for on the machine.

At its first import matplotlib asks ``fc-list`` and opens every font of the machine, which takes
seconds on some, and keeps the list in the user's cache folder. Our texts stay texts, set by the
browser; its own font, which measures their room and stands in the PDFs, is all we use. So it is
handed an empty list, in a folder for temporary files that is gone at once, and the fonts are
added by `FontManager.addfont`. A matplotlib that would not take the list makes its own, there.

Only the command line does this: in a notebook the list belongs to the user's own pictures.
"""

import ast
import json
import os
import re
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from importlib.util import find_spec
from pathlib import Path

_FONTS = ("DejaVuSans.ttf", "DejaVuSans-Bold.ttf")
_FAMILY = "DejaVu Sans"
_FOLDER = "MPLCONFIGDIR"  # where matplotlib keeps its things
_VERSION = re.compile(r"^class FontManager\b.*?^    __version__ = ([^\n#]+)", re.M | re.S)


def load_own_fonts() -> None:
    """Import matplotlib with its own fonts, unless it is there already."""
    if "matplotlib.font_manager" in sys.modules:
        return
    with _empty_list():
        import matplotlib as mpl
        from matplotlib import font_manager
    try:
        for name in _FONTS:
            font_manager.fontManager.addfont(Path(mpl.get_data_path(), "fonts", "ttf", name))
        font_manager.fontManager.findfont(_FAMILY, fallback_to_default=False)
    except (AttributeError, OSError, ValueError):  # another matplotlib: as it would be without us
        font_manager.fontManager = font_manager.FontManager()
        font_manager.findfont = font_manager.fontManager.findfont


@contextmanager
def _empty_list() -> Iterator[None]:
    """Let matplotlib keep its things in a folder of its own, an empty list of fonts in it."""
    before = os.environ.get(_FOLDER)
    with tempfile.TemporaryDirectory(prefix="outcomes-", ignore_cleanup_errors=True) as folder:
        os.environ[_FOLDER] = folder
        written = _write_empty_list(Path(folder))
        try:
            yield
        finally:
            written.unlink(missing_ok=True)
            del os.environ[_FOLDER]
            if before is not None:
                os.environ[_FOLDER] = before


def _write_empty_list(folder: Path) -> Path:
    """Write what matplotlib writes for a machine without fonts; return where."""
    spec = find_spec("matplotlib.font_manager")
    source = Path(spec.origin).read_text(encoding="utf-8") if spec and spec.origin else ""
    found = _VERSION.search(source)
    # Not found: a list that no matplotlib takes for its own.
    version = ast.literal_eval(found[1].strip()) if found else None
    empty: dict[str, object] = {
        "__class__": "FontManager",
        "_version": version,
        "_FontManager__default_weight": "normal",
        "default_size": None,
        "defaultFamily": {"ttf": _FAMILY, "afm": "Helvetica"},
        "afmlist": [],
        "ttflist": [],
    }
    written = folder / f"fontlist-v{version}.json"
    written.write_text(json.dumps(empty), encoding="utf-8")
    return written
