"""A page that MkDocs frames but does not render: its article is finished already."""

import posixpath
import sys
from dataclasses import fields, replace
from functools import cached_property
from html import escape
from pathlib import Path
from typing import Any, Self

from mkdocs.config.defaults import MkDocsConfig
from mkdocs.structure.files import File, Files, InclusionLevel
from mkdocs.structure.pages import Page
from mkdocs.structure.toc import get_toc
from mkdocs.utils import write_file

from rigleaf.site.packed import Packed, digest_of
from rigleaf.site.record import Heading, PageRecord

Known = dict[tuple[Heading, ...], tuple[Heading, ...]]
"""Lists of headings by themselves."""


class GuideFile(File):
    """A generated file that may stand in the site already; MkDocs then writes nothing, and makes no page of it."""

    finished = False
    given: bytes | Packed = b""
    """What stands in it; nothing where it is a page's."""

    @classmethod
    def of(cls, config: MkDocsConfig, path: str, content: bytes | Packed, inclusion: InclusionLevel) -> Self:
        """Return the file of a path with a content."""
        file = cls.generated(config, path, content=b"", inclusion=inclusion)
        assert isinstance(file, cls)  # noqa: S101 - MkDocs makes one of its own class, and says it is any
        file.given = content
        # Worked out once, while it says whether it is a page; where both are the same they are held once.
        file.url = file.dest_uri if file.url == file.dest_uri else file.url
        return file

    @property
    def digest(self) -> str:
        """A digest of what stands in it."""
        return self.given.digest if isinstance(self.given, Packed) else digest_of(self.given)

    @property
    def content_bytes(self) -> bytes:
        """What stands in it."""
        return self.given.content if isinstance(self.given, Packed) else self.given

    @content_bytes.setter
    def content_bytes(self, value: bytes) -> None:
        self.given = value

    @property
    def content_string(self) -> str:
        """The same as text."""
        return self.content_bytes.decode("utf-8")

    @content_string.setter
    def content_string(self, value: str) -> None:
        self.given = value.encode("utf-8")

    @property
    def is_page(self) -> bool:
        """Whether it is that of a page, finished or not."""
        return super().is_documentation_page()

    def is_documentation_page(self) -> bool:
        """Say whether MkDocs is to make a page of it."""
        return not self.finished and super().is_documentation_page()

    def copy_file(self, dirty: bool = False) -> None:
        """Write it into the site, unless it is there."""
        if not self.finished:
            write_file(self.content_bytes, self.abs_dest_path)


class GuidePage(Page):
    """One page record in MkDocs' clothes; skips Python-Markdown.

    Themes set titles and descriptions into their templates as they are, so they are handed over as HTML.
    """

    file: GuideFile

    def __init__(self, record: PageRecord, file: GuideFile, config: MkDocsConfig, indexed: bool) -> None:
        super().__init__(escape(record.title), file, config)
        self.record = record
        self._indexed = indexed
        self.meta = self._front_matter()
        self.update_date = sys.intern(self.update_date)

    @cached_property
    def digest(self) -> str:
        """A digest of all that the record says."""
        article = self.record.article
        said = article.digest if isinstance(article, Packed) else digest_of(article.encode("utf-8"))
        rest = [getattr(self.record, one.name) for one in fields(self.record) if one.name != "article"]
        return digest_of(repr((said, rest, self._indexed)).encode("utf-8", "surrogatepass"))

    def tell(self, record: PageRecord) -> None:
        """Tell another article at the same address, of the same source."""
        self.record, self.title = record, escape(record.title)
        self.meta = self._front_matter()
        self.__dict__.pop("digest", None)

    @property
    def present_anchor_ids(self) -> set[str]:  # type: ignore[override]
        """Which headings pages written by hand may link to."""
        return {heading.anchor for heading in self.record.contents}

    def read_source(self, config: MkDocsConfig) -> None:
        """Read nothing: what front matter would have set stands there from the first, for neighbours may look at it."""
        self.markdown = ""

    def _front_matter(self) -> dict[str, Any]:
        """Return it; ``indexed`` says that search has its own entry already."""
        hidden = ["navigation"] if self.record.contents else ["navigation", "toc"]
        meta: dict[str, Any] = {"description": escape(self.record.description), "hide": hidden}
        if self._indexed or not self.record.sought:
            meta["search"] = {"exclude": True}
        return meta

    def render(self, config: MkDocsConfig, files: Files) -> None:
        """Take the finished article and its headings: what is written by hand MkDocs renders here."""
        self.compose()

    def compose(self) -> None:
        """Take the finished article and its headings."""
        headings = self.record.contents
        self.content = self.record.html
        self.toc = get_toc(
            [{"level": h.level, "id": h.anchor, "name": escape(h.title), "children": []} for h in headings]
        )
        self.links_to_anchors = {}

    def discompose(self) -> None:
        """Let them go again."""
        self.content, self.toc = None, get_toc([])


def add_page(
    record: PageRecord, config: MkDocsConfig, root: Path, in_nav: bool, indexed: bool, known: Known
) -> GuidePage:  # fmt: skip
    """Return the page of one record, on a generated file of its own.

    Args:
        root: the guide's folder, from which the record's source is counted.
        in_nav: whether the page stands in the navigation itself.
        indexed: whether search gets its entry by other means.
        known: headings of pages, which many have in common, so that they are held once.
    """
    record = replace(record, contents=known.setdefault(record.contents, record.contents))
    level = InclusionLevel.INCLUDED if in_nav else InclusionLevel.NOT_IN_NAV
    file = GuideFile.of(config, f"{record.address}.md", b"", level)
    if record.source:
        source = (root / record.source.rpartition(":")[0]).resolve().as_posix()
        # The edit link is counted from the docs folder; it must be known before the page is made.
        file.edit_uri = sys.intern(posixpath.relpath(source, Path(config.docs_dir).resolve().as_posix()))
    else:
        file.edit_uri = None
    return GuidePage(record, file, config, indexed)
