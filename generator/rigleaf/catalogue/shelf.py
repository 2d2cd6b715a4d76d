"""What has been read so far, before references between the entries are checked."""

from pathlib import Path as FilePath
from typing import Any, Literal, NamedTuple, get_args

from rigleaf.catalogue.document import Document, Path
from rigleaf.catalogue.faults import Fault
from rigleaf.catalogue.models.fields import Entry, nearest_id
from rigleaf.catalogue.models.guide import Guide
from rigleaf.catalogue.validation import validate
from rigleaf.quantities import short

Sort = Literal["part", "rig", "place", "target", "carrier", "rule", "trip"]
SORTS: tuple[Sort, ...] = get_args(Sort)


class Given(NamedTuple):
    """One entry as it stands in the YAML, sound or not."""

    sort: Sort
    data: dict[str, Any]
    document: Document
    path: Path


class Origin(NamedTuple):
    """Where an entry stands: in which document, at which place of its data, and in which line."""

    document: Document
    path: Path
    line: int


class Noted(NamedTuple):
    """One entry of the desk's book as it stands in the YAML; ``entry`` is None where it has faults."""

    key: str
    data: dict[str, Any]
    document: Document
    path: Path
    entry: Entry | None
    line: int


class Shelf:
    """What has been read so far: entries by id, and the document and path that each came from."""

    def __init__(self, root: FilePath) -> None:
        self.root = root
        self.faults: list[Fault] = []
        self.documents: list[Document] = []
        self.guide: Guide | None = None
        self.guide_document: Document | None = None
        self.entries: dict[Sort, dict[str, Any]] = {sort: {} for sort in SORTS}
        self.origins: dict[tuple[str, str], Origin] = {}
        self.given: list[Given] = []
        self.noted: list[Noted] = []
        self.home = ""
        """Where every entry must stand, for the cure of an unknown id; "" where each sort has its own file."""
        self.spoiled: dict[Sort, set[str]] = {sort: set() for sort in self.entries}
        """Ids of entries that have faults of their own, so that a reference to one is no second fault."""
        self.incomplete: set[Sort] = set()
        """Sorts of which some entries could not be read, so that an unknown id may belong to one of those."""

    def add(
        self, sort: Sort, data: dict[str, Any], model: type[Entry], document: Document, path: Path, what: str
    ) -> None:
        """Check one entry and keep it; its faults go to the document, a second use of an id too."""
        self._keep(Given(sort, data, document, path), validate(model, data, document, path, what))

    def add_spoiled(self, sort: Sort, data: dict[str, Any], model: type[Entry], document: Document, path: Path) -> None:
        """Check what can be checked of an entry that is at fault already."""
        validate(model, data, document, path, sort)
        self._keep(Given(sort, data, document, path), None)

    def _keep(self, given: Given, entry: Entry | None) -> None:
        self.given.append(given)
        sort, data, document, path = given
        id_ = data.get("id")
        if not isinstance(id_, str):
            self.incomplete.add(sort)
        elif (sort, id_) in self.origins:
            first = self.origins[sort, id_]
            line = first.document.mark((*first.path, "id")).line
            message = f"the id '{short(id_)}' is given twice; the first is in {first.document.file}:{line}"
            document.report((*path, "id"), "duplicate-id", message)
        else:
            self.origins[sort, id_] = Origin(document, path, document.line(path))
            if entry is None:
                self.spoiled[sort] |= {id_, nearest_id(id_)}
            else:
                self.entries[sort][id_] = entry
