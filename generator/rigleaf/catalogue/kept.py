"""Files that were read before: an unchanged one that was sound by itself is not parsed and checked again.

Only what depends on a file's bytes and nothing else is kept. What it says of other files (its names, a second use of an
id, things promised twice) is judged anew in every reading, since the other file may be the one that was edited.
"""

import hashlib
import time
from dataclasses import replace
from pathlib import Path
from typing import Any

from rigleaf.catalogue.document import Document, read_document
from rigleaf.catalogue.files import read_bytes
from rigleaf.catalogue.held import Held

_COARSE_NS = 2_000_000_000


class KeptFiles:
    """The sound files of one guide, by name; for a process that reads it again and again."""

    def __init__(self) -> None:
        self._sound: dict[str, Document] = {}
        self._marks: dict[str, tuple[int, ...]] = {}
        self.made: dict[tuple[object, ...], tuple[str, Any]] = {}
        """What somebody has made of one entry of a file, with the digest of that file."""
        self.held = Held()
        """What has been found of the entries of all files beside each other."""

    def read(self, file: str, path: Path) -> Document:
        """Return the document of a file, which is not opened where the system says that it was not touched since.

        Raises:
            OSError: when the file cannot be read.
        """
        mark = _mark(path)
        kept = self._sound.get(file)
        if kept is not None and mark is not None and self._marks.get(file) == mark:
            return replace(kept, faults=[], marred=set())
        self._marks.pop(file, None)
        now = time.time_ns()
        document = self.document(file, read_bytes(path))
        # The clock of a disk may be so coarse that what is written right after this bears the same time.
        if mark is not None and now - max(mark[:2]) > _COARSE_NS:
            self._marks[file] = mark
        return document

    def document(self, file: str, raw: bytes) -> Document:
        """Return what ``read_document`` would, with the models that its entries have been found to be."""
        kept = self._sound.get(file)
        if kept is not None and kept.digest == hashlib.sha256(raw).hexdigest():
            return replace(kept, faults=[], marred=set())
        return read_document(file, raw)

    def keep(self, document: Document) -> None:
        """Keep a file whose entries have been checked, one by one and not yet against each other."""
        if document.whole and not document.faults:
            self._sound[document.file] = document
        else:
            self._sound.pop(document.file, None)

    def only(self, files: list[str]) -> None:
        """Forget the files that the guide has no longer."""
        self._sound = {file: self._sound[file] for file in files if file in self._sound}


def _mark(path: Path) -> tuple[int, ...] | None:
    """Return when a file was written and touched last, how large it is, and its number on the disk."""
    try:
        state = path.stat()
    except OSError:  # which is told when it is opened
        return None
    return state.st_mtime_ns, state.st_ctime_ns, state.st_size, state.st_ino
