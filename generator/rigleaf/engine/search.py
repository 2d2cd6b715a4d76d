"""Search gets one curated record a page, in place of every word on it.

The theme's search plugin keeps its records in a list that is not part of its public interface, and writes them in a
form that is not, either. When that list is there, our records are added to what it has written, one after the other,
since those of a large guide take much room; when a later version hides it, pages offer the same words through the
public way: the plugin reads them from the page's content, which is restored afterwards.
"""

import json
from collections.abc import Iterable, Iterator
from html import escape
from pathlib import Path
from typing import Any, BinaryIO

from markupsafe import Markup
from mkdocs.config.defaults import MkDocsConfig
from mkdocs.exceptions import PluginError

from rigleaf.engine.guide_page import GuidePage
from rigleaf.site.record import PageRecord

_FILE = "search/search_index.json"


def searches(config: MkDocsConfig) -> bool:
    """Say whether a plugin searches the site; one that comes with a theme has the theme's name before its own."""
    return any(name.rpartition("/")[2] == "search" for name in config.plugins)


def record_list(config: MkDocsConfig) -> list[dict[str, Any]] | None:
    """Return the list of records that the search plugin will write, or None where there is none to be had."""
    plugin = config.plugins.get("material/search")
    entries = getattr(getattr(plugin, "search_index", None), "entries", None)
    return entries if isinstance(entries, list) else None


def entry(record: PageRecord, url: str) -> dict[str, Any]:
    """Return the record of one page as the search plugin writes it.

    The theme's script sets titles and texts into the page as HTML, so they are escaped as the plugin's own are.
    """
    found: dict[str, Any] = {
        "location": url,
        "title": _escaped(record.title),
        "text": _escaped(record.search.text),
    }
    if record.search.tags:
        found["tags"] = [_escaped(tag) for tag in record.search.tags]
    if record.search.boost != 1.0:
        found["boost"] = record.search.boost
    return found


def records_of(pages: Iterable[GuidePage]) -> Iterator[dict[str, Any]]:
    """Yield the records of all pages that search lists."""
    return (entry(page.record, page.url) for page in pages if page.record.sought)


def searches_first(config: MkDocsConfig) -> bool:
    """Say whether the theme's search plugin has its turn before ours, where both come at the usual time."""
    names = list(config.plugins)
    return names.index("material/search") < names.index("rigleaf")


class Index:
    """The index as it lies in a site."""

    def __init__(self) -> None:
        self._theirs: bytes | None = None

    def complete(self, config: MkDocsConfig, pages: Iterable[GuidePage]) -> None:
        """Add our records behind those that the theme's plugin has just written."""
        path = Path(config.site_dir) / _FILE
        self._theirs = path.read_bytes() if path.is_file() else None
        self._write(path, pages)

    def renew(self, config: MkDocsConfig, pages: Iterable[GuidePage]) -> None:
        """Write the index anew, with our records as they are now; after a build that has completed it."""
        self._write(Path(config.site_dir) / _FILE, pages)
        if "material/offline" in config.plugins:  # it makes a script of the index
            config.plugins["material/offline"].on_post_build(config=config)

    def _write(self, path: Path, pages: Iterable[GuidePage]) -> None:
        if self._theirs is None:
            return
        draft = path.with_name(f"{path.name}.draft")
        try:
            with draft.open("wb") as file:
                _add(file, self._theirs, records_of(pages))
            draft.replace(path)
        finally:
            draft.unlink(missing_ok=True)


def _add(file: BinaryIO, theirs: bytes, records: Iterable[dict[str, Any]]) -> None:
    """Write an index that ends with the list of its records, and ours in that list."""
    head = theirs.rstrip()
    for sign in (b"}", b"]"):
        if not head.endswith(sign):
            raise PluginError(f"search: the index ends with {theirs[-40:]!r} and not with the list of its records")
        head = head[:-1].rstrip()
    file.write(head)
    comma = b"" if head.endswith(b"[") else b","
    for record in records:
        file.write(comma + json.dumps(record, separators=(",", ":")).encode("ascii"))
        comma = b","
    file.write(b"]}")


def _escaped(text: str) -> str:
    return escape(text, quote=False)


def as_content(record: PageRecord) -> str:
    """Return the record's words as the content of a page, for search plugins that read the page itself."""
    return str(Markup("<h1>{}</h1><p>{}</p>").format(record.title, " ".join((record.search.text, *record.search.tags))))
