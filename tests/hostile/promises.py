"""What is promised whatever comes in, as functions that raise ``AssertionError`` where it is not kept."""

import re
from collections.abc import Iterable, Mapping

from lxml import html

from rigleaf.catalogue.faults import Fault
from rigleaf.site.book import Book
from rigleaf.site.link_facts import facts_of
from rigleaf.site.packed import digest_of

MOST_WORDS = 3000
"""Letters of one message."""

_NO_NUMBER = re.compile(r"(?<![\w-])(?:nan|inf|-inf|None|Reading\(|<class)(?![\w-])")
"""What a page says where something came out of a sum that is no number, or was forgotten."""

_SEEN: set[str] = set()
"""Digests of pages that are well: most stay as they are from one guide to the next."""


def said_well(words: str) -> None:
    """What is said is one line of visible characters, and not too many."""
    assert words.isprintable(), f"not visible: {words!r}"
    assert 0 < len(words) < MOST_WORDS, f"{len(words)} letters: {words!r:.300}"


def told_well(faults: Iterable[Fault], texts: Mapping[str, bytes]) -> None:
    """Faults are one line of visible characters each, and stand at a place that the file has."""
    found = tuple(faults)
    assert found, "refused without a fault"
    assert list(found) == sorted(found), "faults are out of order"
    for fault in found:
        said_well(fault.message)
        said_well(fault.file)
        if fault.file in texts:
            _stands_there(fault, texts[fault.file])


def _stands_there(fault: Fault, raw: bytes) -> None:
    lines = re.split("\r\n|\r|\n", raw.decode("utf-8-sig", "replace"))
    assert 1 <= fault.line <= len(lines), f"no line {fault.line} among {len(lines)}: {fault}"
    # One behind the last letter is the end of the line; the notice that there are more stands behind a fault.
    most = len(lines[fault.line - 1]) + 1 + (fault.code == "too-many")
    assert 1 <= fault.column <= most, f"no column {fault.column} in line {fault.line} ({most - 1}): {fault}"


def shown_well(book: Book, given: str) -> None:
    """Pages have nothing on them that is wrong by itself, and no number that is none.

    ``given`` is what people wrote: they may have called something so.
    """
    excused = _NO_NUMBER.search(given) is not None
    addresses = [page.address for page in book.pages]
    assert len({*addresses}) == len(addresses), "two pages at one address"
    for page in book.pages:
        digest = digest_of(page.html.encode())
        if digest in _SEEN:
            continue
        facts = facts_of("a/b/page.html", page.html.encode())
        assert facts is not None
        wrong = [one for one in facts.wrong if one[1] != "leads out of the site"]
        assert not wrong, f"{page.address}: {wrong[:3]}"
        if not excused:
            words = " ".join(html.fromstring(f"<main>{page.html}</main>").itertext())
            strange = _NO_NUMBER.search(words)
            assert not strange, f"{page.address}: …{words[max(0, strange.start() - 60) : strange.end() + 40]!r}…"
            _SEEN.add(digest)
