"""Styles, fonts and scripts that travel with every guide."""

from collections.abc import Mapping
from functools import cache
from importlib.resources import files
from pathlib import Path

from rigleaf.site.delivery.lean import lean
from rigleaf.site.sheets.label_sheets import label_sheets

STATIC = str(files("rigleaf.site") / "static")
"""Folder whose contents go into the site: scripts and style sheets lean, all else as it is."""

SHEETS = ("fonts", "tokens", "standalone", "components", "controls", "plates", "pages")
"""Style sheets of a page that has no theme around it, in the order in which they count."""

_LABELS = "assets/rigleaf/labels.css"
"""The one sheet of which a part is written here: the measures of the sheets of labels."""

_OURS = "assets/rigleaf/"
JOINED: Mapping[str, tuple[str, ...]] = {
    f"{_OURS}rigleaf.js": tuple(
        f"{_OURS}{name}.js" for name in ("rigleaf", "ask", "filter", "frame", "labels", "lending", "returns", "ticks")
    ),
    f"{_OURS}beside.js": (f"{_OURS}differs.js", f"{_OURS}beside.js"),
}
"""Scripts that are delivered as one, in the order in which they run: what one page or another needs comes with the
first page, once and for all, and is smaller together than apart."""

_WITHIN = frozenset(part for whole, parts in JOINED.items() for part in parts if part != whole)


def static_files() -> list[str]:
    """Return the path of every file that is delivered from below STATIC, relative to it, in a stable order.

    Notes for the developer stay behind: a generator would make a page of a Markdown file.
    """
    root = Path(STATIC)
    found = (path.relative_to(root).as_posix() for path in root.rglob("*") if path.is_file() and path.suffix != ".md")
    return sorted(path for path in found if path not in _WITHIN)


@cache
def static_content(path: str) -> bytes:
    """Return what a file that is delivered from below STATIC holds."""
    return b"".join(lean(part, _written(part)) for part in JOINED.get(path, (path,)))


def _written(path: str) -> bytes:
    content = (Path(STATIC) / path).read_bytes()
    if path == _LABELS:
        content += "".join(sheet.rule for sheet in label_sheets().values()).encode("utf-8")
    return content
