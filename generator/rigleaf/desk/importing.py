"""What `rigleaf import` does: parts from a list into a guide, where only what is missing is added."""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from rigleaf.catalogue import files
from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.catalogue.models.fields import nearest_id
from rigleaf.catalogue.models.kinds import KINDS
from rigleaf.catalogue.models.part import Part
from rigleaf.desk.bundle import Originals
from rigleaf.desk.drafts import free_name, modeline, read_or_begin, write_drafts
from rigleaf.desk.errors import DeskError
from rigleaf.desk.list_mapping import Meant, read_mapping
from rigleaf.desk.list_rows import Listed, ListedPart, Problem, read_rows
from rigleaf.desk.splice import SpliceError, add_fields, append_entries
from rigleaf.desk.spreadsheet import Sheet, column_name, read_sheet
from rigleaf.desk.taking_in import alike
from rigleaf.desk.yaml_text import comment, write_list, write_mapping
from rigleaf.quantities import Reading, short

_MOST_TOLD = 5
"""Problems of one column that are told one by one; the others are counted."""


@dataclass
class Import:
    """What an import would do: new parts, fields to add to parts that are there, and the files to write."""

    new: list[ListedPart] = field(default_factory=list)
    merged: dict[str, dict[str, Any]] = field(default_factory=dict)
    same: int = 0
    problems: list[Problem] = field(default_factory=list)
    drafts: dict[str, bytes] = field(default_factory=dict)


def import_list(path: Path, folder: Path, mapping: Path | None = None, *, dry_run: bool = False) -> str:
    """Import the list at ``path`` into the guide in ``folder``; return what was done and what could not be used.

    Raises:
        CatalogueError: with every fault of the guide, of the list or of the mapping; nothing is written then.
        DeskError: when nothing in the list can be used.
        FileNotFoundError: when there is no such folder or file.
    """
    guide = read_or_begin(folder)
    sheet = read_sheet(path)
    meant = read_mapping(mapping, sheet) if mapping is not None else Meant()
    listed = read_rows(sheet, meant)
    if not listed.parts:
        told = "\n".join(_told(sheet, listed.problems))
        raise DeskError(f"nothing in '{path}' can be used\n{told}")
    found = plan_import(guide, sheet, listed)
    said = "\n".join([*_summary(sheet, listed, found), *_told(sheet, found.problems)]) + "\n"
    if not found.drafts:
        return said + "\nNothing to write: the guide says all of this already.\n"
    if dry_run:
        return said + "\n" + "\n".join(_shown(guide, found)) + "\nNothing was written: this was a trial.\n"
    write_drafts(guide.root, found.drafts)
    return said + f"\nWritten: {', '.join(found.drafts)}. Judge the guide with: rigleaf check {folder}\n"


def plan_import(guide: Catalogue, sheet: Sheet, listed: Listed) -> Import:
    """Return what to write so that the guide says what the list does, where it said nothing before."""
    found = Import(problems=list(listed.problems))
    there = _There(guide)
    for part in listed.parts:
        mine = there.find(part.data)
        if mine is None:
            found.new.append(part)
        elif mine.kind != part.data["kind"]:
            column = part.columns.get(("kind",), 0)
            ours, theirs = KINDS[mine.kind].phrase, KINDS[part.data["kind"]].phrase
            why = f"'{mine.id}' is {ours} in your guide, not {theirs}; nothing of the row was used"
            found.problems.append(Problem(part.row, column, why))
        else:
            more = _missing(part, mine, there.originals.entry("part", mine.id), found.problems)
            if more:
                found.merged[mine.id] = more
            else:
                found.same += 1
    _draft(guide, sheet, found)
    return found


class _There:
    """The parts of a guide, found by id, by asset tag, or by kind and name."""

    def __init__(self, guide: Catalogue) -> None:
        self.parts = guide.parts
        self.originals = Originals(guide, whole=True)
        by_tag = Counter(part.asset for part in guide.parts.values() if part.asset)
        self.tags = {part.asset: part for part in guide.parts.values() if part.asset and by_tag[part.asset] == 1}
        names = Counter((part.kind, part.name.casefold()) for part in guide.parts.values())
        self.names = {
            key: part for part in guide.parts.values() if names[key := (part.kind, part.name.casefold())] == 1
        }

    def find(self, data: dict[str, Any]) -> Part | None:
        """Return the part of the guide that a row means, or None."""
        if data["id"] in self.parts:
            return self.parts[data["id"]]
        tag = data.get("asset")
        return (self.tags.get(tag) if tag else None) or self.names.get((data["kind"], data["name"].casefold()))


def _missing(part: ListedPart, mine: Part, stated: dict[str, Any], problems: list[Problem]) -> dict[str, Any]:
    """Return what the row says and the guide does not; where both speak and differ, the guide's word stays."""
    theirs = KINDS[mine.kind].model.model_validate(part.data)
    more: dict[str, Any] = {}
    for path, column in part.columns.items():
        if path[0] in ("id", "kind", "name"):
            continue
        value = _at(part.data, path)
        if (missing := _gap(stated, path)) is not None:
            _put(more, missing, value)
        elif not _agrees(mine, theirs, path, stated, value):
            why = f"'{mine.id}' says {_say(stated, path)} already; '{short(value)}' was not used"
            problems.append(Problem(part.row, column, why))
    return more


def _at(data: dict[str, Any], path: tuple[str, ...]) -> Any:
    for key in path:
        data = data[key]
    return data


def _gap(stated: dict[str, Any], path: tuple[str, ...]) -> tuple[str, ...] | None:
    """Return the path where a value can be put, or None where something stands there or in its way."""
    here: Any = stated
    for key in path:
        if not isinstance(here, dict):
            return None
        if here.get(key) is None:
            return path
        here = here[key]
    return None


def _put(more: dict[str, Any], path: tuple[str, ...], value: Any) -> None:
    for key in path[:-1]:
        more = more.setdefault(key, {})
    more[path[-1]] = value


def _agrees(mine: Part, theirs: Part, path: tuple[str, ...], stated: dict[str, Any], value: Any) -> bool:
    """Say whether the guide says the same as the list, however it is written."""
    ours: Any = mine
    listed: Any = theirs
    for key in path:
        if isinstance(ours, Reading) or isinstance(listed, Reading):
            break
        ours, listed = getattr(ours, key, None), getattr(listed, key, None)
    if isinstance(ours, Reading) and isinstance(listed, Reading):
        said = [reading for reading in (ours, ours.stated) if reading is not None]
        wanted = listed.stated if path[-1] == "stated" and listed.stated is not None else listed
        return any(alike(reading.value, wanted.value) for reading in said)
    return alike(ours, listed) or _get(stated, path) == value


def _get(stated: dict[str, Any], path: tuple[str, ...]) -> Any:
    here: Any = stated
    for key in path:
        here = here.get(key) if isinstance(here, dict) else here
    return here


def _say(stated: dict[str, Any], path: tuple[str, ...]) -> str:
    """Return what the guide says there, for a sentence."""
    here = _get(stated, path)
    if isinstance(here, dict):
        here = here.get("measured", here.get("stated", "something else"))
    return f"'{short(here)}'"


def _draft(guide: Catalogue, sheet: Sheet, found: Import) -> None:
    """Fill in the files to write; what cannot be put into a file as it is laid out becomes a problem."""
    by_file: dict[str, dict[int, dict[str, Any]]] = {}
    for id_, more in found.merged.items():
        file = guide.source("part", id_).file
        entries = Originals(guide, whole=True).file(file)
        index = next(index for index, entry in enumerate(entries) if entry.get("id") == id_)
        by_file.setdefault(file, {})[index] = more
    for file, more_by_index in by_file.items():
        content = (guide.root / file).read_bytes()
        try:
            found.drafts[file] = add_fields(content, more_by_index)
        except SpliceError as error:
            lines = [f"{file}: nothing can be put in here: {error}; write it by hand:"]
            for index, more in more_by_index.items():
                id_ = Originals(guide, whole=True).file(file)[index]["id"]
                lines.append(f"{id_}: {' '.join(write_mapping(more).split())}")
                found.merged.pop(id_)
            found.problems.append(Problem(0, 0, "\n    ".join(lines)))
    if found.new:
        _draft_new(guide, sheet, found)


def _draft_new(guide: Catalogue, sheet: Sheet, found: Import) -> None:
    entries = [part.data for part in found.new]
    name = f"{files.PARTS}/{nearest_id(Path(sheet.file).stem)}.yml"
    there = found.drafts.get(name) or ((guide.root / name).read_bytes() if (guide.root / name).is_file() else None)
    if there is not None:
        try:
            found.drafts[name] = append_entries(there, entries)
            return
        except SpliceError:
            name = free_name(guide.root, name, found.drafts)
    head = comment([f"Imported from the list '{Path(sheet.file).name}'."])
    found.drafts[name] = (modeline(guide.root, name, "parts.json") + head + "\n" + write_list(entries)).encode()


def _summary(sheet: Sheet, listed: Listed, found: Import) -> Iterator[str]:
    for note in sheet.notes:
        yield f"{sheet.file}: {note}"
    asked = {column: key for key, column in listed.asked.items()}
    for index, header in enumerate(sheet.header.cells):
        if index in asked:
            yield f"  column {column_name(index)} '{short(header)}' -> {asked[index]}"
        if fields := listed.used.get(index):
            cells = ", ".join(f"{name} ({count})" for name, count in fields.items())
            yield f"  column {column_name(index)} '{short(header)}' -> {cells}"
    filled = {name for fields in listed.used.values() for name in fields}
    if "notes" in filled:
        yield "  notes are shown on public pages; map the column to 'private.remarks' if they should not be"
    yield f"{len(found.new)} new, {len(found.merged)} with more fields, {found.same} as they are"


def _told(sheet: Sheet, problems: list[Problem]) -> Iterator[str]:
    """Yield what could not be used, by column; the first few of each, and how many more there are."""
    if problems:
        yield "Not used:"
    by_column: dict[int, list[Problem]] = {}
    for problem in problems:
        by_column.setdefault(problem.column, []).append(problem)
    for column, found in sorted(by_column.items()):
        header = sheet.header.cells[column] if column < len(sheet.header.cells) else ""
        for problem in found[:_MOST_TOLD]:
            where = f"row {problem.row}, column {column_name(column)} '{short(header)}': " if problem.row else ""
            yield f"  {where}{problem.why}"
        if len(found) > _MOST_TOLD:
            yield f"  ... and {len(found) - _MOST_TOLD} more in column {column_name(column)}"


def _shown(guide: Catalogue, found: Import) -> Iterator[str]:
    """Yield what would be written, as lines that are new."""
    for name, content in found.drafts.items():
        path = guide.root / name
        yield f"--- {name}"
        old = iter(path.read_text(encoding="utf-8").splitlines() if path.is_file() else [])
        waiting = next(old, None)
        for line in content.decode("utf-8").splitlines():
            if line == waiting:
                waiting = next(old, None)
            else:
                yield f"+ {line}"
