"""A page that MkDocs frames but does not render: its article is finished already."""

import posixpath
from html import escape
from pathlib import Path
from typing import Any

from mkdocs.config.defaults import MkDocsConfig
from mkdocs.structure.files import File, Files, InclusionLevel
from mkdocs.structure.pages import Page
from mkdocs.structure.toc import get_toc

from rigleaf.site.record import PageRecord


class GuidePage(Page):
    """One page record in MkDocs' clothes; skips Python-Markdown.

    Themes set titles and descriptions into their templates as they are, so they are handed over as HTML.
    """

    def __init__(self, record: PageRecord, file: File, config: MkDocsConfig, indexed: bool) -> None:
        super().__init__(escape(record.title), file, config)
        self.record = record
        self._indexed = indexed

    def read_source(self, config: MkDocsConfig) -> None:
        """Set what front matter would have set; ``indexed`` says that search has its own entry already."""
        self.markdown = ""
        hidden = ["navigation"] if self.record.contents else ["navigation", "toc"]
        self.meta: dict[str, Any] = {"description": escape(self.record.description), "hide": hidden}
        if self._indexed or not self.record.sought:
            self.meta["search"] = {"exclude": True}

    def render(self, config: MkDocsConfig, files: Files) -> None:
        """Take the finished article and its headings."""
        headings = self.record.contents
        self.content = self.record.html
        self.toc = get_toc(
            [{"level": h.level, "id": h.anchor, "name": escape(h.title), "children": []} for h in headings]
        )
        self.present_anchor_ids = {heading.anchor for heading in headings}
        self.links_to_anchors = {}


def add_page(record: PageRecord, config: MkDocsConfig, root: Path, *, in_nav: bool, indexed: bool) -> GuidePage:
    """Return the page of one record, on a generated file of its own.

    Args:
        root: the guide's folder, from which the record's source is counted.
        in_nav: whether the page stands in the navigation itself.
        indexed: whether search gets its entry by other means.
    """
    level = InclusionLevel.INCLUDED if in_nav else InclusionLevel.NOT_IN_NAV
    file = File.generated(config, f"{record.address}.md", content="", inclusion=level)
    if record.source:
        source = (root / record.source.rpartition(":")[0]).resolve().as_posix()
        # The edit link is counted from the docs folder; it must be known before the page is made.
        file.edit_uri = posixpath.relpath(source, Path(config.docs_dir).resolve().as_posix())
    else:
        file.edit_uri = None
    return GuidePage(record, file, config, indexed)
