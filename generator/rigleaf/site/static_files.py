"""Styles, fonts and scripts that travel with every guide."""

from functools import cache
from importlib.resources import files
from pathlib import Path

from rigleaf.site.label_sheets import label_sheets
from rigleaf.site.lean import lean

STATIC = str(files("rigleaf.site") / "static")
"""Folder whose contents go into the site: scripts and style sheets lean, all else as it is."""

SHEETS = ("fonts", "tokens", "standalone", "components", "controls", "plates", "pages")
"""Style sheets of a page that has no theme around it, in the order in which they count."""

_LABELS = "assets/rigleaf/labels.css"
"""The one sheet of which a part is written here: the measures of the sheets of labels."""


def static_files() -> list[str]:
    """Return the path of every file below STATIC, relative to it, in a stable order.

    Notes for the developer stay behind: a generator would make a page of a Markdown file.
    """
    root = Path(STATIC)
    return sorted(
        path.relative_to(root).as_posix() for path in root.rglob("*") if path.is_file() and path.suffix != ".md"
    )


@cache
def static_content(path: str) -> bytes:
    """Return what a file below STATIC holds once it is delivered."""
    content = (Path(STATIC) / path).read_bytes()
    if path == _LABELS:
        content += "".join(sheet.rule for sheet in label_sheets().values()).encode("utf-8")
    return lean(path, content)
