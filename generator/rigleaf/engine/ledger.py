"""What is known of the pages and files of a site in a folder: of what each was made, and what its links ask for.

By it a build finds them again in the site of the last one. It is plain data under a digest, in a file beside the
guide; without that every page is framed and written anew.
"""

import hashlib
import json
import os
import sys
from collections.abc import Iterator, MutableMapping
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path
from typing import BinaryIO, NamedTuple

from rigleaf.engine.inline import is_of_moved
from rigleaf.site.leaves.store import Store
from rigleaf.site.links import Mark

FORM = 3
"""Of the bytes of a ledger."""

_DIGEST = hashlib.sha256().digest_size
_AT_ONCE = 1 << 20


class Written(NamedTuple):
    """A page, or a file of the guide's, in a site folder.

    Attributes:
        key: a digest of all that it was made of.
        mark: of its file; another one when anybody has written it since.
        moved: the files into which went what was inline in its frame.
    """

    key: str
    mark: Mark
    moved: tuple[str, ...]


@dataclass
class Ledger:
    """Of one site.

    Attributes:
        pages: its pages and files by their paths.
        moved: the contents of all files in ``moved``.
        facts: by path, what links ask for, packed; not of those that have none.
    """

    pages: dict[str, Written] = field(default_factory=dict)
    moved: dict[str, bytes] = field(default_factory=dict)
    facts: MutableMapping[str, bytes] = field(default_factory=dict)

    def encoded(self) -> Iterator[bytes]:
        """Yield it as bytes, which end with their own digest."""
        digest = hashlib.sha256()
        for part in self._parts():
            digest.update(part)
            yield part
        yield digest.digest()

    def _parts(self) -> Iterator[bytes]:
        """Yield a line about all, then for each page and file a line, with what links ask for behind it."""
        used = {name for page in self.pages.values() for name in page.moved}
        moved = {name: self.moved[name].decode("utf-8") for name in sorted(used)}
        yield _line({"form": FORM, "moved": moved, "pages": len(self.pages)})
        for path, page in self.pages.items():
            facts = self.facts.get(path, b"")
            yield _line([path, page.key, page.mark, page.moved, len(facts)]) + facts

    @classmethod
    def decoded(cls, file: BinaryIO, facts: MutableMapping[str, bytes] | None = None) -> "Ledger":
        """Return what was encoded; an empty one where the bytes are damaged or of another form.

        Args:
            file: has the bytes, and nothing else.
            facts: takes what links ask for; in memory where nobody says.
        """
        found = cls(facts={} if facts is None else facts)
        if not _holds(file):
            return found
        try:
            head = json.loads(file.readline())
            if head["form"] != FORM:
                return found
            moved = {str(name): text.encode("utf-8") for name, text in head["moved"].items()}
            pages = {}
            for _ in range(head["pages"]):
                path, key, mark, names, size = json.loads(file.readline())
                pages[path] = Written(str(key), tuple(mark), tuple(map(sys.intern, names)))
                if size:
                    found.facts[path] = file.read(size)
            # These are written where they say, which must not be just anywhere.
            known = all(map(is_of_moved, moved)) and all(moved.keys() >= {*one.moved} for one in pages.values())
        except (ValueError, TypeError, KeyError, AttributeError, OverflowError, RecursionError, MemoryError):
            return cls(facts=found.facts)
        if known:
            found.pages, found.moved = pages, moved
        return found


def _line(data: object) -> bytes:
    return json.dumps(data, separators=(",", ":")).encode("utf-8") + b"\n"


def _holds(file: BinaryIO) -> bool:
    """Say whether bytes end with their own digest; stand at their beginning again."""
    left = file.seek(0, os.SEEK_END) - _DIGEST
    file.seek(0)
    digest = hashlib.sha256()
    while left > 0:
        part = file.read(min(left, _AT_ONCE))
        digest.update(part)
        left -= len(part)
    holds = left == 0 and file.read() == digest.digest()
    file.seek(0)
    return holds


def read_ledger(store: Store | None, site: Path, facts: MutableMapping[str, bytes] | None = None) -> Ledger:
    """Return what is known of a site, or an empty ledger."""
    if store:
        with suppress(OSError), store.path(_name(site)).open("rb") as file:
            return Ledger.decoded(file, facts)
    return Ledger(facts={} if facts is None else facts)


def write_ledger(store: Store | None, site: Path, ledger: Ledger) -> None:
    """Keep what is known of a site."""
    if store:
        store.write(_name(site), ledger.encoded())
        store.tidy([_name(site)])


def _name(site: Path) -> str:
    return hashlib.sha256(str(site.resolve()).encode("utf-8", "surrogateescape")).hexdigest()
