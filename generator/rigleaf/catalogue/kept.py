"""Files that were read before: an unchanged one that was sound by itself is not parsed and checked again.

Only what depends on a file's bytes and nothing else is kept. What it says of other files (its names, a second use of an
id, things promised twice) is judged anew in every reading, since the other file may be the one that was edited.
"""

import hashlib
from dataclasses import replace

from rigleaf.catalogue.document import Document, read_document


class KeptFiles:
    """The sound files of one guide, by name; for a process that reads it again and again."""

    def __init__(self) -> None:
        self._sound: dict[str, Document] = {}

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
