"""A friend's rig into one's own guide: what is new, what is there already, and what only shares its name.

Nothing that stands in the guide is changed. An id that both use for different things is never decided here: whoever
calls says whether the guide's own entry serves, or the bundle's takes another name.
"""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any, Literal

from rigleaf.catalogue import files
from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.catalogue.defaults import ASSUMED, choice, year_of
from rigleaf.catalogue.models.fields import Box, Entry, Offset
from rigleaf.catalogue.models.guide import Guide
from rigleaf.catalogue.shelf import Sort
from rigleaf.desk.bundle import Opened, Taken
from rigleaf.desk.drafts import free_name, modeline
from rigleaf.desk.errors import DeskError
from rigleaf.desk.names import Data, model_of, renamed
from rigleaf.desk.splice import SpliceError, append_entries
from rigleaf.desk.yaml_text import comment, write_list, write_mapping
from rigleaf.quantities import Reading

Fate = Literal["new", "yours", "renamed"]
"""What becomes of an entry: it is written, the guide's own serves, or it is written under another id."""

WORDS = frozenset({"id", "name", "summary", "notes", "photo", "asset", "owned", "private"})
"""What may differ in two entries that are the same thing: words about it, and what is one club's own."""

_FILES: dict[Sort, str] = {"place": files.PLACES, "target": files.TARGETS}
_SCHEMAS: dict[Sort, str] = {"part": "parts.json", "place": "places.json", "target": "targets.json", "rig": "rig.json"}
_MOST_SHOWN = 3


@dataclass(frozen=True)
class Clash:
    """An id under which the guide and the bundle have different things.

    ``differences`` says what differs, the guide's value first; ``other`` is an id that neither of them uses.
    """

    sort: Sort
    id: str
    differences: tuple[str, ...]
    other: str


class UndecidedError(DeskError):
    """Ids clash and nobody says what to do; ``clashes`` holds them all."""

    def __init__(self, clashes: tuple[Clash, ...]) -> None:
        self.clashes = clashes
        lines = [f"{told(clash)}" for clash in clashes]
        cure = "nothing was written; --match lets your own entries serve, --rename takes theirs in under another id"
        super().__init__("\n".join([*lines, cure]))


Decide = Callable[[Clash], Literal["match", "rename"] | None]
"""Says whether the guide's own entry serves or the bundle's gets another id; None leaves it open."""


@dataclass
class Plan:
    """What taking a bundle in would do: the fate and the new id of each entry, and the files to write."""

    fates: list[tuple[Taken, Fate, str]] = field(default_factory=list)
    drafts: dict[str, bytes] = field(default_factory=dict)
    otherwise: list[str] = field(default_factory=list)

    @property
    def rig(self) -> str:
        """Id of the rig in the guide."""
        return self.fates[-1][2]


def told(clash: Clash) -> str:
    """Say what clashes, in a sentence."""
    return (
        f"the {clash.sort} '{clash.id}' stands in your guide with other content ("
        f"{'; '.join(clash.differences[:_MOST_SHOWN])}{'; and more' if len(clash.differences) > _MOST_SHOWN else ''})"
    )


def plan(guide: Catalogue, bundle: Opened, decide: Decide, *, owned: bool = False) -> Plan:
    """Return what to write so that the guide gains the bundle's rig.

    Args:
        guide: what stands there.
        bundle: what is to be taken in.
        decide: asked once for each clash.
        owned: whether the parts are the club's; otherwise they count as none owned, so that no remedy proposes them.

    Raises:
        UndecidedError: with every clash that was left open.
        SpliceError: when a list in the guide cannot take more entries as it is laid out.
    """
    names = _Names(guide, bundle, decide)
    names.settle()
    found = Plan()
    for taken in bundle.entries:
        new = names.now[taken.sort, taken.id]
        fate: Fate = "yours" if names.serves(taken) else "new" if new == taken.id else "renamed"
        found.fates.append((taken, fate, new))
    _draft(guide, bundle, found, names, owned=owned)
    found.otherwise = list(_otherwise(guide, bundle)) if files.GUIDE not in found.drafts else []
    return found


class _Names:
    """Under which id each entry of the bundle will be known in the guide."""

    def __init__(self, guide: Catalogue, bundle: Opened, decide: Decide) -> None:
        self.mine: dict[Sort, Mapping[str, Any]] = {
            "part": guide.parts, "place": guide.places, "target": guide.targets,
            # A bundle's rig says its place aloud, where the guide's own stood in for it.
            "rig": {id_: rig.model_copy(update={"place": rig.place or guide.guide.place})
                    for id_, rig in guide.rigs.items()},
        }  # fmt: skip
        self.bundle = bundle
        self.decide = decide
        self.now = {(taken.sort, taken.id): taken.id for taken in bundle.entries}
        self.decided: dict[tuple[Sort, str], str] = {}
        self.taken_ids = {id_ for _, id_ in self.now}

    def settle(self) -> None:
        """Decide about every entry; a new name for one may make those that name it differ, so until nothing changes."""
        while True:
            before = dict(self.now)
            if clashes := [clash for taken in self.bundle.entries if (clash := self._settled(taken))]:
                raise UndecidedError(tuple(clashes))
            if before == self.now:
                return

    def serves(self, taken: Taken) -> bool:
        """Whether the guide's own entry stands in for this one."""
        return self.now[taken.sort, taken.id] in self.mine[taken.sort]

    def data(self, taken: Taken) -> Data:
        """Return the entry as it will be called, and as it will call others."""
        return renamed(taken.sort, taken.data, self.now)

    def _settled(self, taken: Taken) -> Clash | None:
        key = (taken.sort, taken.id)
        mine = self.mine[taken.sort].get(taken.id)
        if mine is None or key in self.decided:
            return None
        theirs = model_of(taken.sort, taken.data).model_validate(self.data(taken))
        differences = tuple(_differences(mine, theirs))
        if not differences:
            return None
        # What was renamed when the bundle came the first time is there under that name.
        for other in self._others(taken):
            there = self.mine[taken.sort].get(other)
            if there is None:
                break
            if not tuple(_differences(there, theirs)):
                self.decided[key] = self.now[key] = other
                return None
        clash = Clash(taken.sort, taken.id, differences, other)
        decision = self.decide(clash)
        if decision is None:
            return clash
        self.decided[key] = self.now[key] = other if decision == "rename" else taken.id
        return None

    def _others(self, taken: Taken) -> Iterator[str]:
        """Yield other ids for an entry: those that the guide uses first, then one that nobody does."""
        number = 1
        while True:
            number += 1
            other = f"{taken.id[:76]}-{number}"
            if other in self.mine[taken.sort]:
                yield other
            elif other not in self.taken_ids and not any(other in entries for entries in self.mine.values()):
                yield other
                return


def _differences(mine: Entry, theirs: Entry) -> Iterator[str]:
    """Yield what differs between two entries apart from words about them, the guide's value first."""
    for key in type(mine).model_fields:
        if key in WORDS:
            continue
        ours, others = getattr(mine, key), getattr(theirs, key, None)
        if _plain(ours) != _plain(others):
            if _shown(ours) == _shown(others):
                yield f"{key} differs"
            else:
                yield f"{key}: {_shown(ours)} in yours, {_shown(others)} in the bundle"
    if type(mine) is not type(theirs):
        yield f"kind: {getattr(mine, 'kind', '')} in yours, {getattr(theirs, 'kind', '')} in the bundle"


def alike(one: Any, other: Any) -> bool:
    """Say whether two values of a field say the same, however they are written."""
    if isinstance(one, float) and isinstance(other, float):
        return f"{one:.9g}" == f"{other:.9g}"
    return bool(_plain(one) == _plain(other))


def _plain(value: Any) -> Any:
    """Return a value for comparison: quantities by what they say, however they are written."""
    match value:
        case Reading():
            error = None if value.uncertainty is None else float(f"{value.uncertainty:.9g}")
            number = float(f"{value.value:.9g}")
            return number, error, value.basis == "measured", value.date, _plain(value.stated)
        case Entry():
            return {key: _plain(getattr(value, key)) for key in type(value).model_fields}
        case tuple() if not hasattr(value, "_fields"):
            return [_plain(one) for one in value]
    return value


def _shown(value: Any) -> str:
    match value:
        case None | ():
            return "unsaid"
        case Reading():
            return value.text
        case Entry():
            return "as described"
        case bool():
            return str(value).lower()
        case tuple() if not hasattr(value, "_fields"):
            return f"{len(value)} in a list"
        case tuple():
            return " x ".join(f"{one:g}" for one in value) + (" mm" if isinstance(value, (Box, Offset)) else "")
    return str(value)


def _draft(guide: Catalogue, bundle: Opened, found: Plan, names: _Names, *, owned: bool) -> None:
    """Fill in the files to write."""
    new = [(taken, names.data(taken)) for taken, fate, _ in found.fates if fate != "yours"]
    by = {sort: [data for taken, data in new if taken.sort == sort] for sort in _SCHEMAS}
    whence = f"Taken in with the rig '{found.rig}'" + (f" from: {bundle.club}" if bundle.club else "")
    if by["part"]:
        parts = [{**data, **({} if owned else {"owned": 0})} for data in by["part"]]
        note = [] if owned else ["'owned: 0' keeps them out of remedies; say how many there are where you own them."]
        name = free_name(guide.root, f"{files.PARTS}/{found.rig}.yml", found.drafts)
        found.drafts[name] = _new_file(guide, name, "part", [whence, *note], write_list(parts))
    for sort, name in _FILES.items():
        if by[sort]:
            found.drafts[name] = _longer(guide, name, sort, by[sort], whence)
    if by["rig"]:
        wanted = f"{found.rig}.yml" if f"{found.rig}.yml" not in files.OF_THE_GUIDE else f"rig-{found.rig}.yml"
        name = free_name(guide.root, wanted, found.drafts)
        found.drafts[name] = _new_file(guide, name, "rig", [whence], write_mapping(by["rig"][0]))
    if found.drafts and not (guide.root / files.GUIDE).exists():
        head = {"name": guide.guide.name, **bundle.assumed}
        lines = ["The guide as a whole. It assumes what the guide of the rig did, so that the figures are the same."]
        found.drafts[files.GUIDE] = comment(lines).encode() + b"\n" + write_mapping(head).encode()


def _new_file(guide: Catalogue, name: str, sort: Sort, lines: list[str], text: str) -> bytes:
    return (modeline(guide.root, name, _SCHEMAS[sort]) + comment(lines) + "\n" + text).encode()


def _longer(guide: Catalogue, name: str, sort: Sort, entries: list[Data], whence: str) -> bytes:
    """Return a list of the guide with more entries at its end."""
    path = guide.root / name
    if not path.exists():
        return _new_file(guide, name, sort, [whence], write_list(entries))
    try:
        return append_entries(path.read_bytes(), entries)
    except SpliceError as error:
        raise SpliceError(f"nothing can be added to '{name}': {error}; write it so, and try again") from error


def _otherwise(guide: Catalogue, bundle: Opened) -> Iterator[str]:
    """Yield what this guide assumes otherwise than that of the rig, for which figures will differ."""
    theirs = Guide(name="theirs", choices=bundle.assumes.choices)
    for name in ASSUMED:
        mine, other = choice(guide.guide, name), choice(theirs, name)
        if _plain(mine)[:2] != _plain(other)[:2]:
            yield f"{name.replace('_', ' ')}: {mine.text} in your guide, {other.text} in theirs"
    year = bundle.assumes.year
    if year is not None and year != year_of(guide.guide):
        yield f"year: {year_of(guide.guide)} in your guide, {year} in theirs"
    for name in type(guide.guide.steps).model_fields:
        ours, step = getattr(guide.guide.steps, name), getattr(bundle.assumes.steps, name)
        if _plain(ours) != _plain(step):
            yield f"time for {name.replace('_', ' ')}: {_shown(ours)} in your guide, {_shown(step)} in theirs"
