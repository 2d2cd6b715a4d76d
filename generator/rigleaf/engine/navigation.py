"""Navigation: section pages only, with parents and neighbours set for all the others."""

from itertools import pairwise
from posixpath import dirname
from typing import Any

from mkdocs.config.defaults import MkDocsConfig
from mkdocs.structure.files import Files
from mkdocs.structure.nav import Navigation
from mkdocs.structure.pages import Page

from rigleaf.engine.guide_page import GuidePage
from rigleaf.site.book import Book
from rigleaf.words import speaking, tr

AFTER = "shelf/index"
"""Hand-written pages stand in the navigation behind this section."""

HANDBOOK = "Handbook"


def section_nav(files: Files, book: Book) -> list[Any]:
    """Return the navigation for a mkdocs.yml without one: our sections, with the hand-written pages among them."""
    pages, sections = files.documentation_pages(), book.sections
    # A page of the user's may stand in for one of ours under another name: README.md is an index too.
    sources = {file.dest_uri: file.src_uri for file in pages}
    chosen = {section.address: sources[f"{section.address}.html"] for section in sections}
    by_hand = [
        file.src_uri for file in pages if not isinstance(file.page, GuidePage) and file.src_uri not in chosen.values()
    ]
    nav: list[Any] = []
    for section in sections:
        nav.append({section.title: chosen[section.address]})
        if section.address == AFTER and by_hand:
            with speaking(book.language):
                nav.append({tr(HANDBOOK): by_hand})
    return nav


def join_pages(nav: Navigation, files: Files, config: MkDocsConfig) -> None:
    """Give every generated page its parent and its neighbours within its section."""
    by_address = {page.record.address: page for file in files if isinstance(page := file.page, GuidePage)}
    siblings: dict[str, list[Page]] = {}
    for page in by_address.values():
        if not page.record.section:
            continue
        above = by_address.get(page.record.section)
        if page.parent is None and above is not None:
            # A page in the place of a Section: a parent is asked for a title, an address and whether it is active.
            # A Section of a single page would open as an empty list in the drawer of a telephone.
            page.parent = above  # type: ignore[assignment]
        siblings.setdefault(f"{page.record.section}:{dirname(page.record.address)}", []).append(page)
    for group in siblings.values():
        for before, after in pairwise(group):
            before.next_page, after.previous_page = after, before
