"""The page that hosts show in place of an address that leads nowhere."""

from urllib.parse import urlsplit

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.site.book import Book
from rigleaf.site.record import PageRecord, SearchEntry
from rigleaf.site.typeset.addresses import Addresses
from rigleaf.site.typeset.templating import Writer
from rigleaf.words import speaking, tr

MISSING = "404"
"""Address of the page, and its name, by which hosts know it."""


def base_of(site: str) -> str:
    """Return where a site begins on its host, from its address: "/rigs/"; "/" where the address is unknown."""
    return urlsplit(site).path.rstrip("/") + "/"


def missing_page(catalogue: Catalogue, book: Book, addresses: Addresses, *, searches: bool) -> PageRecord:
    """Return the page, whose links count from where the site begins, since it is shown at any depth of address.

    Args:
        catalogue: what was read.
        book: the pages of the guide.
        addresses: how addresses become paths.
        searches: whether the first page opens a search for what its address has behind ``?q=``.
    """
    writer = Writer("index", addresses, catalogue.guide.units)
    with speaking(book.language):
        html = writer.render("missing.html", base=base_of(addresses.site), sections=book.sections, searches=searches)
        title, words = tr("This page is not here"), tr("Nothing of this guide stands at that address.")
    return PageRecord(MISSING, title, html, words, SearchEntry(""), sought=False)
