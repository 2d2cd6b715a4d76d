"""The plain record of one finished page."""

import zlib
from dataclasses import dataclass, replace
from typing import Self

from rigleaf.site.packed import Packed
from rigleaf.site.spool import Spool

_MANY = 200
"""Letters of words to search for above which packing them makes room."""


@dataclass(frozen=True, slots=True)
class Heading:
    """One entry of a page's list of contents."""

    title: str
    anchor: str
    level: int = 2


@dataclass(frozen=True, slots=True)
class SearchEntry:
    """What search knows about a page.

    Attributes:
        words: what a person would type; they may lie packed, and then equal only others that are packed.
        tags: more of these, each of which counts for more.
        boost: how much all of them count.
    """

    words: str | bytes
    tags: tuple[str, ...] = ()
    boost: float = 1.0

    @property
    def text(self) -> str:
        """The words."""
        return self.words if isinstance(self.words, str) else zlib.decompress(self.words).decode("utf-8")

    def packed(self) -> Self:
        """Return the same with its words packed, if they are many."""
        if not isinstance(self.words, str) or len(self.words) < _MANY:
            return self
        return replace(self, words=zlib.compress(self.words.encode("utf-8"), 1))


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
