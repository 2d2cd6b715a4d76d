"""Search gets one curated record a page, in place of every word on it.

The theme's search plugin keeps its records in a list that is not part of its public interface. When that
list is there, our records are appended to it; when a later version hides it, pages offer the same words
through the public way: the plugin reads them from the page's content, which is restored afterwards.
"""

from typing import Any

from mkdocs.config.defaults import MkDocsConfig
from markupsafe import Markup

from rigleaf.site.record import PageRecord


def record_list(config: MkDocsConfig) -> list[dict[str, Any]] | None:
    """Return the list of records that the search plugin will write, or None where there is none to be had."""
    plugin = config.plugins.get("material/search")
    entries = getattr(getattr(plugin, "search_index", None), "entries", None)
    return entries if isinstance(entries, list) else None


def entry(record: PageRecord, url: str) -> dict[str, Any]:
    """Return the record of one page as the search plugin writes it."""
    found: dict[str, Any] = {"location": url, "title": record.title, "text": record.search.text}
    if record.search.tags:
        found["tags"] = list(record.search.tags)
    if record.search.boost != 1.0:
        found["boost"] = record.search.boost
    return found


def as_content(record: PageRecord) -> str:
    """Return the record's words as the content of a page, for search plugins that read the page itself."""
    return str(Markup("<h1>{}</h1><p>{}</p>").format(record.title, " ".join((record.search.text, *record.search.tags))))
