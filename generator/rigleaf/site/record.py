"""The plain record of one finished page."""

from dataclasses import dataclass, replace
from typing import Self

from rigleaf.site.packed import Packed
from rigleaf.site.spool import Spool


@dataclass(frozen=True, slots=True)
class Heading:
    """One entry of a page's list of contents."""

    title: str
    anchor: str
    level: int = 2


@dataclass(frozen=True, slots=True)
class SearchEntry:
    """What search knows about a page: words that a person would type, and how much they count."""

    text: str
    tags: tuple[str, ...] = ()
    boost: float = 1.0


@dataclass(frozen=True, slots=True)
class Picture:
    """A picture that previews of links show: its path in the site, and what it shows in words."""

    path: str
    words: str


@dataclass(frozen=True, slots=True)
class PageRecord:
    """One page, finished but for the frame around it.

    Attributes:
        address: path without ending, such as "rigs/heron-65" or "rigs/index"; unique.
        title: plain text.
        article: its HTML, with links relative to the page; it may lie packed.
        description: a sentence for link previews.
        section: address of the section page that it belongs to; empty for a section page itself.
        contents: headings in order.
        search: its one record in the search index.
        sought: whether search lists it; not so what another page leads to and nobody looks for, such as labels.
        source: file and line in the guide's folder that it was made from, such as "parts/optics.yml:12".
        picture: its own picture for link previews; without one, previews show the guide's.
    """

    address: str
    title: str
    article: str | Packed
    description: str
    search: SearchEntry
    section: str = ""
    contents: tuple[Heading, ...] = ()
    source: str = ""
    picture: Picture | None = None
    sought: bool = True

    @property
    def html(self) -> str:
        """The article's HTML."""
        return self.article if isinstance(self.article, str) else self.article.content.decode("utf-8")

    def packed(self, spool: Spool | None = None) -> Self:
        """Return the same page with its article packed, on a spool where there is one."""
        if not isinstance(self.article, str):
            return self
        return replace(self, article=Packed.of(self.article.encode("utf-8"), spool))
