"""Whatever is written into any field of a guide stays words: on pages, in calendars, lists, bundles and data."""

import csv
import io
import json
import re
from pathlib import Path

import pytest
import vobject
from lxml import html

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.catalogue.document import read_document
from rigleaf.catalogue.reading import read_catalogue
from rigleaf.site.book import Book, make_book
from rigleaf.site.typeset.addresses import Addresses
from tests.hostile.attack import TELLTALE
from tests.hostile.attacked_guide import write_attacked
from tests.hostile.schemas import fields, read_guide

FIND = "rigs/index.html#answer"
"""Where the one form with an aim leads: from the home page to the answers of Find a rig."""

_LEADS_ASTRAY = re.compile(r"\s*(?:javascript|data|vbscript):", re.IGNORECASE)


@pytest.fixture(scope="module")
def catalogue(tmp_path_factory: pytest.TempPathFactory) -> Catalogue:
    return read_catalogue(write_attacked(tmp_path_factory.mktemp("attacked")))


@pytest.fixture(scope="module")
def book(catalogue: Catalogue) -> Book:
    return make_book(catalogue, Addresses(False))


def test_every_text_that_anybody_may_read_is_attacked(catalogue: Catalogue) -> None:
    texts = [field for field in fields(read_guide(catalogue.root)) if field.is_text and "private" not in field.path]
    assert len({str(field.key) for field in texts}) > 30
    assert [field.path for field in texts if not field.stated or not re.search(r" \d+$", field.owner[field.key])] == []


def _strange(source: str) -> list[str]:
    """What of a page's markup no template of ours would write."""
    tree = html.fromstring(source)
    odd = tree.xpath(
        "//script[not(@src)] | //iframe | //base | //object | //embed | //style"
        f" | //form[@action and @action != '{FIND}']"
    )
    found = [html.tostring(one)[:80].decode() for one in odd]
    for element in tree.iter():
        for name, value in element.attrib.items():
            if (
                name.startswith("on")
                or (name in ("href", "src", "action", "srcset", "style") and TELLTALE in value)
                or (name in ("href", "src", "action") and _LEADS_ASTRAY.match(value))
            ):
                found.append(f"{element.tag!s} {name}={value[:60]!s}")
    return found


def test_no_page_has_markup_that_a_field_wrote(book: Book) -> None:
    assert {page.address: odd for page in book.pages if (odd := _strange(f"<main>{page.html}</main>"))} == {}


def test_words_come_through_once_escaped_and_no_template_runs(book: Book) -> None:
    (rig,) = (page for page in book.pages if page.address == "rigs/curlew-twin")
    shown = " ".join(html.fromstring(rig.html).text_content().split())
    assert rig.title in shown
    assert "{{49}}" not in shown
    assert "&amp;lt;" not in html.tostring(html.fromstring(f"<p>{rig.title}</p>")).decode().replace("&lt;", "")


def test_copies_to_send_run_nothing_and_ask_for_nothing(book: Book) -> None:
    copies = {path: text.decode() for path, text in book.files.items() if path.endswith(".html")}
    assert copies
    for path, text in copies.items():
        odd = [one for one in _strange(text) if not one.startswith(("<style", "link href=data:", "img src=data:"))]
        assert odd == [], path


def test_calendars_are_read_back_word_for_word(book: Book, catalogue: Catalogue) -> None:
    calendars = {path: text.decode() for path, text in book.files.items() if path.endswith(".ics")}
    assert len(calendars) > len(catalogue.rigs)
    for rig in catalogue.rigs.values():
        (text,) = (text for path, text in calendars.items() if Path(path).stem == rig.id)
        calendar = vobject.readOne(text)
        assert calendar.contents["name"][0].value.replace("\\;", ";").replace("\\,", ",") == rig.name
    for text in calendars.values():
        unfolded = text.replace("\r\n ", "").split("\r\n")
        assert all(re.match(r"[A-Z-]+[;:]", line) for line in unfolded if line)


@pytest.mark.parametrize("name", ["NAME", "X-WR-CALNAME", "SUMMARY"])
def test_names_in_calendars_are_escaped_as_rfc_5545_asks(book: Book, name: str) -> None:
    """RFC 5545, 3.3.11 (from memory): in a text, backslash, semicolon and comma stand behind a backslash."""
    for path, raw in book.files.items():
        if path.endswith(".ics"):
            for line in raw.decode().replace("\r\n ", "").split("\r\n"):
                if line.startswith(f"{name}:"):
                    plain = re.sub(r"\\[\\;,nN]", "", line.partition(":")[2])
                    assert not re.search(r"[\\;,]", plain), line


def test_no_cell_of_a_list_is_a_formula(book: Book) -> None:
    lists = [text.decode("utf-8-sig") for path, text in book.files.items() if path.endswith(".csv")]
    assert lists
    for text in lists:
        for row in csv.reader(io.StringIO(text)):
            for cell in row:
                assert not cell.startswith(("=", "@", "\t", "\r")), row
                assert not re.match(r"[-+](?![\d.:]+$)", cell), row


def test_bundles_are_read_back(book: Book) -> None:
    bundles = {path: raw for path, raw in book.files.items() if path.endswith(".yml")}
    assert bundles
    for path, raw in bundles.items():
        assert read_document(path, raw).faults == [], path


def test_scripts_of_data_hold_no_end_of_a_script(book: Book) -> None:
    scripts = {path: raw.decode() for path, raw in book.files.items() if path.endswith((".js", ".json"))}
    assert scripts
    for path, text in scripts.items():
        assert not re.search(r"</script|<!--|[\u2028\u2029]", text, re.IGNORECASE), path
        found = re.match(r"rigleaf\w+\((.*)\);?\s*$", text, re.DOTALL)
        if found and '"' in found[1]:
            json.loads(f"[{found[1]}]")  # JSON and nothing else
