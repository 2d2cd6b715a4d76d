"""Writes the finished pages to a folder without MkDocs, for any other generator or for a browser as they are."""

import json
from pathlib import Path
from typing import Literal

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.site.book import Book, make_book
from rigleaf.site.commands.writing import refuse_unless_empty, write
from rigleaf.site.delivery.inventory import write_inventory
from rigleaf.site.delivery.policy import write_headers
from rigleaf.site.delivery.publishing import Draft
from rigleaf.site.delivery.static_files import SHEETS, static_content, static_files
from rigleaf.site.leaves.store import leaf_store
from rigleaf.site.missing_page import MISSING, base_of, missing_page
from rigleaf.site.offline_files import write_copy_of
from rigleaf.site.previews.tags import as_html, page_tags
from rigleaf.site.record import PageRecord
from rigleaf.site.shelf.photos import Darkroom
from rigleaf.site.spool import Spool
from rigleaf.site.typeset.addresses import Addresses
from rigleaf.site.typeset.templating import Writer
from rigleaf.words import speaking

Form = Literal["html", "markdown"]


def export(catalogue: Catalogue, target: Path, form: Form = "html", site: str = "") -> int:
    """Write every page of the guide below ``target``, all or nothing; return how many.

    Args:
        form: "html" writes pages that open in a browser by themselves, with styles and fonts beside them;
            "markdown" writes each article as raw HTML in a .md file with front matter, for a generator that frames it.
        site: the address at which the pages will stand, where that is known.

    Raises:
        FileExistsError: when the folder holds anything already.
        CatalogueError: when a photo cannot be shown.
        PublishingError: when ``target`` cannot be replaced, or another export to it is running.
    """
    refuse_unless_empty(target)
    draft = Draft(target)
    try:
        draft.open(patience=0)
        refuse_unless_empty(target)  # by whoever had the lock before
        count = _write_all(catalogue, draft, form, site)
        draft.publish()
    finally:
        draft.close()
    return count


def _write_all(catalogue: Catalogue, draft: Draft, form: Form, site: str) -> int:
    target = draft.folder
    addresses = Addresses(folders=False, site=site)
    pictures = Darkroom(draft.work).develop(catalogue)  # before anything is written: a broken photo is a fault
    spool = Spool(draft.work)
    book = make_book(catalogue, addresses, field_copy=form == "html", store=leaf_store(catalogue), spool=spool)
    for page in book.pages:
        with speaking(book.language):
            ending, text = _markdown(page) if form == "markdown" else _html(catalogue, book, page, addresses)
        write(target / f"{page.address}.{ending}", text.encode("utf-8"))
    if form == "html":
        missing = missing_page(catalogue, book, addresses, searches=False)
        text = _html(catalogue, book, missing, addresses, base_of(site))[1]
        write(target / f"{MISSING}.html", text.encode("utf-8"))
    for path, content in book.files.items():
        write(target / path, content)
    for path, picture in pictures.items():
        write(target / path, picture.read_bytes())
    for name in static_files():
        write(target / name, static_content(name))
    write_inventory(target)
    if form == "html":  # last, as it lists the digests of all that has been written
        write_headers(target, address=site)
        write_copy_of(book, addresses, target)
    return len(book.pages)


def _markdown(page: PageRecord) -> tuple[str, str]:
    """Return the article as Markdown that is all HTML. JSON strings are YAML strings, so front matter is safe."""
    front = {"title": page.title, "description": page.description}
    head = "".join(f"{key}: {json.dumps(value, ensure_ascii=False)}\n" for key, value in front.items())
    # Links stay as they are: every page keeps its place, and raw HTML is not rewritten by other generators.
    # An empty line would end a raw HTML block in Markdown.
    body = "\n".join(line for line in page.html.splitlines() if line.strip())
    return "md", f"---\n{head}---\n\n{body}\n"


def _html(catalogue: Catalogue, book: Book, page: PageRecord, addresses: Addresses, base: str = "") -> tuple[str, str]:
    writer = Writer(page.address, addresses, catalogue.guide.units)
    previews = "" if base else as_html(page_tags(page, addresses, catalogue.guide.name, book.picture))
    text = writer.render(
        "standalone.html",
        page=page,
        base=base,
        guide=catalogue.guide,
        sections=book.sections,
        sheets=SHEETS,
        previews=previews,
    )
    return "html", text + "\n"
