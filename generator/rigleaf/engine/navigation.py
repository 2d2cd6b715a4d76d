"""Navigation: section pages only, with parents and neighbours set for all the others."""

from itertools import pairwise
from typing import Any

from mkdocs.config.defaults import MkDocsConfig
from mkdocs.structure.files import Files
from mkdocs.structure.nav import Navigation
from mkdocs.structure.pages import Page

from rigleaf.engine.guide_page import GuidePage
from rigleaf.site.book import SECTIONS

AFTER = "shelf/index"
"""Hand-written pages stand in the navigation behind this section."""

HANDBOOK = "Handbook"


def section_nav(files: Files) -> list[Any]:
    """Return the navigation for a mkdocs.yml without one: our sections, with the hand-written pages among them."""
    by_hand = [
        file.src_uri for file in files.documentation_pages()
        if not isinstance(file.page, GuidePage) and file.src_uri != "index.md"
    ]  # fmt: skip
    nav: list[Any] = []
    for section in SECTIONS:
        nav.append({section.title: f"{section.address}.md"})
        if section.address == AFTER and by_hand:
            nav.append({HANDBOOK: by_hand})
    return nav


def join_pages(nav: Navigation, files: Files, config: MkDocsConfig) -> None:
    """Give every generated page its parent and its neighbours within its section."""
    by_address = {
        page.record.address: page
        for file in files.documentation_pages()
        if isinstance(page := file.page, GuidePage)
    }
    siblings: dict[str, list[Page]] = {}
    for page in by_address.values():
        if not page.record.section:
            continue
        siblings.setdefault(page.record.section + ":" + page.record.address.partition("/")[0], []).append(
            page
        )
    for group in siblings.values():
        for before, after in pairwise(group):
            before.next_page, after.previous_page = after, before
