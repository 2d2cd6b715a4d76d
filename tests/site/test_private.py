"""What is private in the YAML reaches no page, no search record, no export and no report."""

import base64
import hashlib
import html
import json
import re
from collections.abc import Callable, Iterator
from datetime import date
from pathlib import Path
from typing import Any
from urllib.parse import quote, quote_plus

import pytest
import yaml

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.chapters.study import study_rig
from rigleaf.lending.availability import phases_of
from rigleaf.lending.calendars import calendar_of
from rigleaf.site.book import Book
from rigleaf.site.commands.reports import check_json, check_text, figures_json, figures_text
from rigleaf.site.export import Form


def private_values(data: Any, inside: bool = False) -> Iterator[str]:
    if isinstance(data, dict):
        for key, value in data.items():
            yield from private_values(value, inside or key == "private")
    elif isinstance(data, list):
        for value in data:
            yield from private_values(value, inside)
    elif inside:
        yield str(data).strip()


class Disguises:
    """Private values in every form in which a site might show them without meaning to.

    Small letters, quoted for an address, with entities of HTML, with escapes of JSON, as base64 at any of its three
    offsets, as a name of an anchor, and hashed. Words are looked for in small letters and with single spaces, so that
    neither capitals nor lines that were broken hide one.
    """

    def __init__(self, values: set[str]) -> None:
        forms = {(form.casefold(), value) for value in values for form in self._forms(value)}
        self.forms = [(form, value) for form, value in forms if len(form) >= SHORTEST]
        self.exact = [(raw, value) for value in values for raw in self._bytes(value)]
        self.hashes = {hashed: value for value in values for hashed in self._hashes(value)}

    @staticmethod
    def _forms(value: str) -> Iterator[str]:
        plain = " ".join(value.split())
        yield plain
        yield quote(plain)
        yield quote(plain, safe="")
        yield quote_plus(plain)
        yield html.escape(plain)
        yield html.escape(plain).replace("&#x27;", "&#39;")
        yield json.dumps(plain)[1:-1]
        yield re.sub(r"[^a-z0-9]+", "-", plain.casefold()).strip("-")
        yield re.sub(r"[^a-z0-9]+", "_", plain.casefold()).strip("_")
        yield plain.encode().hex()

    @staticmethod
    def _hashes(value: str) -> Iterator[str]:
        for way in ("md5", "sha1", "sha256", "blake2b"):
            yield hashlib.new(way, value.encode()).hexdigest()[:SHORTEST_HASH]

    @staticmethod
    def _bytes(value: str) -> Iterator[bytes]:
        """Yield what base64 makes of a value, wherever it begins in the text around it."""
        for offset in range(3):
            coded = base64.b64encode(b"\0" * offset + value.encode())
            inside = coded[(0, 2, 3)[offset] :].rstrip(b"=")[:-1]
            if len(inside) >= SHORTEST:
                yield inside
                yield inside.translate(bytes.maketrans(b"+/", b"-_"))

    def found_in(self, content: bytes) -> list[str]:
        """Return the private values that stand in a file in any form."""
        # Calendars break long lines and begin the rest with a space.
        text = " ".join(content.replace(b"\r\n ", b"").decode("utf-8", "ignore").split())
        folded = text.casefold()
        hits = {value for form, value in self.forms if form in folded}
        hits |= {value for raw, value in self.exact if raw in content}
        for run in HEX.findall(folded):
            starts = (run[begin : begin + SHORTEST_HASH] for begin in range(len(run) - SHORTEST_HASH + 1))
            hits |= {self.hashes[start] for start in starts if start in self.hashes}
        return sorted(hits)


SHORTEST = 7
"""Characters from which a form is told from chance."""
SHORTEST_HASH = 12
"""Of a hash as many characters as a short id might keep."""
HEX = re.compile(rf"[0-9a-f]{{{SHORTEST_HASH},}}")


@pytest.fixture(scope="module")
def secrets(demo: Catalogue) -> set[str]:
    found = {
        value for path in demo.root.rglob("*.yml") for value in private_values(yaml.safe_load(path.read_text("utf-8")))
    }
    assert len(found) > 10
    return found | {word for value in found for word in value.replace(",", " ").split() if word.startswith("SN-")}


def test_no_page_holds_a_private_value(demo_book: Book, secrets: set[str]) -> None:
    for path, content in demo_book.files.items():
        assert [value for value in secrets if value.encode() in content] == [], path
    for page in demo_book.pages:
        everything = "\n".join((page.html, page.title, page.description, page.search.text, *page.search.tags))
        assert [value for value in secrets if value in everything] == [], page.address


@pytest.mark.parametrize("form", ["html", "markdown"])
def test_no_exported_file_holds_a_private_value(
    exported_as: Callable[[Form], Path], secrets: set[str], form: Form
) -> None:
    files = [path for path in exported_as(form).rglob("*") if path.is_file()]
    assert len(files) > 200
    for path in files:
        content = path.read_bytes()
        assert [value for value in secrets if value.encode() in content] == [], path.name


def test_no_file_of_the_built_site_holds_a_private_value(demo_site: Path, secrets: set[str]) -> None:
    looked = Disguises(secrets)
    kinds = set()
    for path in demo_site.rglob("*"):
        if path.is_file():
            kinds.add(path.suffix)
            assert looked.found_in(path.read_bytes()) == [], path.name
    # Pages, the search index, calendars, bundles, lists and scripts were all among them.
    assert kinds >= {".html", ".json", ".js", ".ics", ".yml", ".csv", ".css", ".svg"}


def test_every_disguise_would_be_found() -> None:
    value = "Müller's lamp & co"
    looked = Disguises({value})
    for shown in (
        value, value.upper(), quote(value), quote_plus(value), html.escape(value), json.dumps(value),
        "#m-ller-s-lamp-co", "Müller's\r\n  lamp & co", "Müller's lamp\n      & co",
        value.encode().hex(), hashlib.sha256(value.encode()).hexdigest(),
        *(base64.b64encode(b"x" * before + value.encode() + b" and more").decode() for before in range(4)),
    ):  # fmt: skip
        assert looked.found_in(f"<p>{shown}</p>".encode()) == [value], shown
    assert looked.found_in(b"<p>another lamp & co</p>") == []


def test_the_book_of_the_demo_has_people_to_keep_to_itself(demo: Catalogue, secrets: set[str]) -> None:
    loans = [one.entry.private for one in demo.desk.loans]
    assert sum(known is not None and known.contact is not None for known in loans) > 3
    assert {known.borrower for known in loans if known is not None and known.borrower} <= secrets


def test_what_the_book_says_of_a_rig_names_nobody(demo: Catalogue, secrets: set[str]) -> None:
    said = [
        phase.sentence
        for rig in demo.rigs
        for on in (date(2026, 10, 1), date(2026, 11, 26), date(2027, 2, 1))
        for phase in phases_of(demo, rig, on, on)
    ]
    calendars = [calendar_of(demo, rig, date(2026, 11, 26)) for rig in (None, *demo.rigs)]
    looked = Disguises(secrets)
    assert [text for text in said if looked.found_in(text.encode())] == []
    assert [found for one in calendars if (found := looked.found_in(one))] == []


def test_of_yaml_only_the_bundles_are_in_the_site(demo_site: Path) -> None:
    found = [path for path in demo_site.rglob("*") if path.suffix in {".yml", ".yaml"}]
    assert {path.parent.relative_to(demo_site).as_posix() for path in found} == {"assets/bundles"}


def test_no_report_holds_a_private_value(demo: Catalogue, secrets: set[str]) -> None:
    studies = [study_rig(demo, rig) for rig in demo.rigs.values()]
    reports = [
        json.dumps(check_json(demo, studies), ensure_ascii=False),
        json.dumps(figures_json(studies), ensure_ascii=False),
    ]
    reports += [check_text(demo, studies, everything=True), figures_text(demo, studies)]
    assert [value for value in secrets for report in reports if value in report] == []
