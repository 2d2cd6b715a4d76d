"""What is known of the pages and files of a site in a folder: of what each was made, and what its links ask for.

By it a build finds them again in the site of the last one. It is plain data under a digest, in a file beside the
guide; without that every page is framed and written anew.
"""

import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import NamedTuple

from rigleaf.engine.inline import is_of_moved
from rigleaf.site.leaves.store import Store
from rigleaf.site.links import Mark

FORM = 1
"""Of the bytes of a ledger."""

_DIGEST = hashlib.sha256().digest_size


class Written(NamedTuple):
    """A page, or a file of the guide's, in a site folder.

    Attributes:
        key: a digest of all that it was made of.
        mark: of its file; another one when anybody has written it since.
        moved: the files into which went what was inline in its frame.
        facts: what its links ask for, packed; nothing where it has none.
    """

    key: str
    mark: Mark
    moved: tuple[str, ...]
    facts: bytes


@dataclass
class Ledger:
    """Of one site: its pages and files by their paths, and the contents of all files in ``moved``."""

    pages: dict[str, Written] = field(default_factory=dict)
    moved: dict[str, bytes] = field(default_factory=dict)

    def encoded(self) -> bytes:
        """Return it as bytes, which begin with their own digest."""
        used = {name for page in self.pages.values() for name in page.moved}
        moved = {name: self.moved[name].decode("utf-8") for name in sorted(used)}
        rows = [[path, page.key, page.mark, page.moved, len(page.facts)] for path, page in self.pages.items()]
        head = json.dumps({"form": FORM, "moved": moved, "pages": rows}, separators=(",", ":")).encode("utf-8")
        facts = (page.facts for page in self.pages.values())
        body = b"".join((len(head).to_bytes(8, "big"), head, *facts))
        return hashlib.sha256(body).digest() + body

    @classmethod
    def decoded(cls, data: bytes) -> "Ledger":
        """Return what was encoded; an empty one where the bytes are damaged or of another form."""
        if len(data) < _DIGEST + 8 or hashlib.sha256(memoryview(data)[_DIGEST:]).digest() != data[:_DIGEST]:
            return cls()
        end = _DIGEST + 8 + int.from_bytes(data[_DIGEST : _DIGEST + 8], "big")
        try:
            head = json.loads(data[_DIGEST + 8 : end])
            if head["form"] != FORM:
                return cls()
            files = {str(name): text.encode("utf-8") for name, text in head["moved"].items()}
            pages = {}
            for path, key, mark, moved, size in head["pages"]:
                pages[path] = Written(str(key), tuple(mark), tuple(moved), data[end : end + size])
                end += size
            # These are written where they say, which must not be just anywhere.
            known = all(map(is_of_moved, files)) and all(files.keys() >= {*one.moved} for one in pages.values())
        except (ValueError, TypeError, KeyError, AttributeError, RecursionError):
            return cls()
        return cls(pages, files) if known else cls()


def read_ledger(store: Store | None, site: Path) -> Ledger:
    """Return what is known of a site, or an empty ledger."""
    data = store.read(_name(site)) if store else None
    return Ledger() if data is None else Ledger.decoded(data)


def write_ledger(store: Store | None, site: Path, ledger: Ledger) -> None:
    """Keep what is known of a site."""
    if store:
        store.write(_name(site), ledger.encoded())
        store.tidy([_name(site)])


def facts_in(pages: Mapping[str, Written], marks: Mapping[str, Mark]) -> dict[str, bytes]:
    """Return by page what its links ask for, where nobody has written it since."""
    return {path: page.facts for path, page in pages.items() if page.facts and marks.get(path) == page.mark}


def _name(site: Path) -> str:
    return hashlib.sha256(str(site.resolve()).encode("utf-8", "surrogateescape")).hexdigest()
