"""The trade's terms: a page of them, and the links that lead there from where a page first uses one."""

import re
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files

import yaml

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.site.record import PageRecord, SearchEntry
from rigleaf.site.typeset.addresses import GLOSSARY_ADDRESS, Addresses
from rigleaf.site.typeset.templating import Writer
from rigleaf.words import tr


@dataclass(frozen=True, slots=True)
class Term:
    """One term: what it means, the other forms in which pages use it, and the method that computes it."""

    term: str
    means: str
    also: tuple[str, ...] = ()
    method: str = ""

    @property
    def anchor(self) -> str:
        """Its anchor on the page of terms."""
        return self.term.replace(" ", "-")


@lru_cache(maxsize=1)
def terms() -> tuple[Term, ...]:
    """Return every term in the order of the alphabet."""
    text = (files("rigleaf.site") / "texts" / "glossary.yml").read_text(encoding="utf-8")
    found = [Term(**{**entry, "also": tuple(entry.get("also", ()))}) for entry in yaml.safe_load(text)]
    return tuple(sorted(found, key=lambda term: term.term))


class Linker:
    """Links each term where a page uses it first; one for each page.

    Words inside other words, and other words that a term begins or ends with a hyphen, are left alone.
    """

    def __init__(self) -> None:
        self._done: set[str] = set()

    def split(self, text: str) -> list[tuple[str, str]]:
        """Return the text in pieces, each with the anchor of the term that it is, or with none."""
        pieces, begun = [], 0
        for found in pattern().finditer(text):
            anchor = anchors()[found.group().casefold()]
            if anchor not in self._done:
                self._done.add(anchor)
                pieces += [(text[begun : found.start()], ""), (found.group(), anchor)]
                begun = found.end()
        return [piece for piece in (*pieces, (text[begun:], "")) if piece[0]]


@lru_cache(maxsize=1)
def anchors() -> dict[str, str]:
    """Return the anchor of every form of every term, in small letters."""
    return {form: term.anchor for term in terms() for form in (term.term, *term.also)}


@lru_cache(maxsize=1)
def pattern() -> re.Pattern[str]:
    """Return a pattern that finds any form of any term as whole words, the longest first."""
    forms = sorted(anchors(), key=lambda form: (-len(form), form))
    return re.compile(rf"(?<![\w-])(?:{'|'.join(map(re.escape, forms))})(?![\w-])", re.IGNORECASE)


def glossary_page(catalogue: Catalogue, addresses: Addresses) -> PageRecord:
    """Return the page of terms."""
    writer = Writer(GLOSSARY_ADDRESS, addresses, catalogue.guide.units)
    html = writer.render("glossary.html", terms=sorted(terms(), key=lambda term: tr(term.term)))
    names = ", ".join(form for term in terms() for form in map(tr, (term.term, *term.also)))
    words = tr("The trade's terms in plain words.")
    return PageRecord(GLOSSARY_ADDRESS, tr("Terms"), html, words, SearchEntry(f"{words} {names}"))
