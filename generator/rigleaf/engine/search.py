"""Search gets one curated record a page, in place of every word on it.

The theme's search plugin keeps its records in a list that is not part of its public interface. When that
list is there, our records are appended to it; when a later version hides it, pages offer the same words
through the public way: the plugin reads them from the page's content, which is restored afterwards.
"""

from collections.abc import Iterable
from html import escape
from typing import Any

from markupsafe import Markup
from mkdocs.config.defaults import MkDocsConfig

from rigleaf.engine.guide_page import GuidePage
from rigleaf.site.record import PageRecord


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


def records_of(pages: Iterable[GuidePage]) -> list[dict[str, Any]]:
    """Return the records of all pages that search lists."""
    return [entry(page.record, page.url) for page in pages if page.record.sought]


def search_again(config: MkDocsConfig, pages: Iterable[GuidePage]) -> None:
    """Write the index anew after a build: ours stand behind all others in the plugin's list."""
    entries, ours = record_list(config), records_of(pages)
    if entries is not None:
        entries[len(entries) - len(ours) :] = ours
        for name in ("material/search", "material/offline"):
            if name in config.plugins:
                config.plugins[name].on_post_build(config=config)


def _escaped(text: str) -> str:
    return escape(text, quote=False)


def as_content(record: PageRecord) -> str:
    """Return the record's words as the content of a page, for search plugins that read the page itself."""
    return str(Markup("<h1>{}</h1><p>{}</p>").format(record.title, " ".join((record.search.text, *record.search.tags))))
