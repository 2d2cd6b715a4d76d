"""Names that point from one entry to another: each must exist and be of the kind that is wanted."""

from collections.abc import Iterator
from typing import Any

from rigleaf.catalogue import files
from rigleaf.catalogue.catalogue import rig_uses
from rigleaf.catalogue.document import Document, Path
from rigleaf.catalogue.models.fields import Entry
from rigleaf.catalogue.models.kinds import KINDS
from rigleaf.catalogue.models.part import Part
from rigleaf.catalogue.shelf import Shelf, Sort
from rigleaf.nearest import nearest
from rigleaf.quantities import QuantityError, parse_text, short

_ONE_KIND: dict[str, tuple[str, ...]] = {
    "mount": ("mount",),
    "tripod": ("tripod",),
    "counterweights": ("counterweight", "counterweight-bar"),
    "bags": ("bag",),
    "scope": ("guide-scope", "optic"),
    "camera": ("guide-camera", "camera"),
}
_USES: tuple[str, ...] = ("train", "riders", "counterweights", "power", "bags", "carried")
"""The keys of a rig that list parts."""
_TRAIN: tuple[str, ...] = (
    "optic", "front-filter", "corrector", "rotator", "filter-drawer", "filter-wheel", "off-axis-pick-off",
    "adapter", "spacer", "shim", "tilt-plate", "filter", "camera",
)  # fmt: skip


def check_references(shelf: Shelf) -> dict[str, tuple[str, ...]]:
    """Report every name that leads nowhere or to the wrong kind; return which rigs use each part.

    The plain data is looked at rather than the models, so that an entry with another fault still has all
    its names checked in the same run.
    """
    for sort, data, document, path in shelf.given:
        if sort == "rig":
            _check_rig(data, document, path, shelf)
        elif sort == "part":
            _check_part(data, document, path, shelf)
        elif sort == "target":
            _check_target(data, document, path)
    if shelf.guide_document:
        _check_known(shelf.guide_document.data, "place", shelf.guide_document, (), shelf)
    used_by: dict[str, list[str]] = {}
    for id_, rig in shelf.entries["rig"].items():
        for part_id in dict.fromkeys(part_id for _, part_id, _, _ in rig_uses(rig)):
            used_by.setdefault(part_id, []).append(id_)
    return {part_id: tuple(users) for part_id, users in used_by.items()}


def _known(sort: Sort, id_: str, document: Document, path: Path, shelf: Shelf) -> Entry | None:
    """Return the entry with this id; report it when there is none and none can have been overlooked."""
    entry: Entry | None = shelf.entries[sort].get(id_)
    if entry is None and id_ not in shelf.spoiled[sort]:
        other = next((found for found, entries in shelf.entries.items() if id_ in entries), None)
        if other is not None:
            wrong, cure = f"'{short(id_)}' is a {other}", f"; the id of a {sort} is wanted here"
        elif sort in shelf.incomplete:
            return None
        else:
            near = nearest(id_, [*shelf.entries[sort], *shelf.spoiled[sort]])
            wrong = f"unknown {sort} '{short(id_)}'"
            cure = f"; did you mean '{near}'?" if near else _where_it_belongs(sort, shelf)
        document.report(path, "unknown-id", wrong + cure)
    return entry


def _where_it_belongs(sort: Sort, shelf: Shelf) -> str:
    if shelf.home:
        return f"; describe it in {shelf.home}"
    file = {"place": files.PLACES, "target": files.TARGETS}.get(sort, f"{files.PARTS}/")
    there = any(document.file.startswith(file) for document in shelf.documents)
    return f"; describe it in '{file}'" if there else f"; there is no '{file}' yet: describe it there"


def _check_known(data: object, sort: Sort, document: Document, path: Path, shelf: Shelf) -> None:
    id_ = data.get(sort) if isinstance(data, dict) else None
    if isinstance(id_, str):
        _known(sort, id_, document, (*path, sort), shelf)


def _named_parts(data: object, path: Path) -> Iterator[tuple[str, Path, int]]:
    """Yield the part ids in a list of uses, each with its place and count."""
    for index, use in enumerate(data if isinstance(data, list) else ()):
        if isinstance(use, str):
            yield use, (*path, index), 1
        elif isinstance(use, dict) and isinstance(use.get("part"), str):
            count = use.get("count")
            yield use["part"], (*path, index, "part"), count if isinstance(count, int) else 1


def _check_rig(data: dict[str, Any], document: Document, path: Path, shelf: Shelf) -> None:
    for key in _USES:
        kinds = _TRAIN if key == "train" else _ONE_KIND.get(key, ())
        for named, where, _ in _named_parts(data.get(key), (*path, key)):
            _check_use(named, kinds, document, where, shelf)
    owners: tuple[tuple[object, Path, tuple[str, ...]], ...] = (
        (data, path, ("mount", "tripod")),
        (data.get("guiding"), (*path, "guiding"), ("scope", "camera")),
    )
    for owner, place, keys in owners:
        for key in keys:
            if isinstance(owner, dict) and isinstance(id_ := owner.get(key), str):
                _check_use(id_, _ONE_KIND[key], document, (*place, key), shelf)
    targets = data.get("targets")
    for index, target in enumerate(targets if isinstance(targets, list) else ()):
        if isinstance(target, str):
            _known("target", target, document, (*path, "targets", index), shelf)
    _check_known(data, "place", document, path, shelf)
    _check_own_parts(data, document, path, shelf)
    _one_in_train(data, document, path, shelf)
    _train_order(data, document, path, shelf)


def _check_use(id_: str, kinds: tuple[str, ...], document: Document, path: Path, shelf: Shelf) -> None:
    part = _known("part", id_, document, path, shelf)
    if not isinstance(part, Part) or not kinds or part.kind in kinds:
        return
    wanted = "a piece of the train" if kinds is _TRAIN else " or ".join(KINDS[word].phrase for word in kinds)
    message = f"'{id_}' is {KINDS[part.kind].phrase}; {wanted} is wanted here"
    document.report(path, "wrong-kind", message)


def _check_own_parts(data: dict[str, Any], document: Document, path: Path, shelf: Shelf) -> None:
    """Bags hold and leads feed what the rig itself names; a bag holds neither itself nor another bag."""
    own = {id_ for key in _USES for id_, _, _ in _named_parts(data.get(key), path)}
    guiding = data.get("guiding")
    for owner, keys in ((data, ("mount", "tripod")), (guiding, ("scope", "camera"))):
        own |= {owner[key] for key in keys if isinstance(owner, dict) and isinstance(owner.get(key), str)}
    bags = {id_ for id_, _, _ in _named_parts(data.get("bags"), path)}
    for named, where in _named_again(data, path):
        # What is no part at all is told as such, with the nearest name on the shelf.
        if _known("part", named, document, where, shelf) is None:
            continue
        if named not in own:
            near = nearest(named, sorted(own))
            cure = f"did you mean '{near}'?" if near else "name it in one of the rig's lists first"
            document.report(where, "not-in-rig", f"'{short(named)}' is not a part of this rig; {cure}")
        elif "holds" in where and named in bags:
            document.report(where, "bag-in-bag", f"'{short(named)}' is a bag of this rig; a bag holds other parts")


def _named_again(data: dict[str, Any], path: Path) -> Iterator[tuple[str, Path]]:
    """Yield the ids by which bags and feeds name parts of the rig, each with its place."""
    lists: list[tuple[object, Path]] = []
    for key, inner in (("bags", "holds"), ("feeds", "to")):
        entries = data.get(key)
        for index, entry in enumerate(entries if isinstance(entries, list) else ()):
            if not isinstance(entry, dict):
                continue
            lists.append((entry.get(inner), (*path, key, index, inner)))
            if key == "feeds":
                for one in ("source", "lead"):
                    if isinstance(entry.get(one), str):
                        yield entry[one], (*path, key, index, one)
    for found, where in lists:
        for index, named in enumerate(found if isinstance(found, list) else ()):
            if isinstance(named, str):
                yield named, (*where, index)


def _one_in_train(data: dict[str, Any], document: Document, path: Path, shelf: Shelf) -> None:
    """A train has one optic and one camera at most; two of them cannot be judged as one train."""
    first: dict[str, str] = {}
    for kind, id_, where, count in _train_kinds(data, path, shelf):
        if kind not in ("optic", "camera"):
            continue
        if kind in first:
            message = f"a second {kind} in one train; the first is '{first[kind]}'"
            document.report(where, "second-in-train", message)
        elif count > 1:
            message = f"a train has one {kind}, not {count}"
            document.report((*where[:-1], "count"), "second-in-train", message)
        first.setdefault(kind, id_)


def _train_kinds(data: dict[str, Any], path: Path, shelf: Shelf) -> Iterator[tuple[str, str, Path, int]]:
    """Yield kind, id, place and count of the pieces of a train that are known."""
    for id_, where, count in _named_parts(data.get("train"), (*path, "train")):
        part = shelf.entries["part"].get(id_)
        if part is not None:
            yield part.kind, id_, where, count


def _train_order(data: dict[str, Any], document: Document, path: Path, shelf: Shelf) -> None:
    """The train runs from sky to sensor: only a front filter stands before the optic, nothing behind the camera."""
    pieces = list(_train_kinds(data, path, shelf))
    kinds = [kind for kind, *_ in pieces]
    for place, (kind, id_, where, _) in enumerate(pieces):
        if kinds.count(kind) > 1:
            continue  # told already as a second one
        if kind == "optic" and any(other != "front-filter" for other in kinds[:place]):
            first = pieces[0][1] if kinds[0] != "front-filter" else next(p[1] for p in pieces if p[0] != "front-filter")
            message = f"the train runs from sky to sensor: name the optic '{id_}' before '{first}'"
            document.report(where, "train-order", message)
        if kind == "camera" and place < len(pieces) - 1:
            message = f"the train runs from sky to sensor: name the camera '{id_}' last, behind '{pieces[-1][1]}'"
            document.report(where, "train-order", message)


def _check_part(data: dict[str, Any], document: Document, path: Path, shelf: Shelf) -> None:
    for key, kind in (("sun_filter", "front-filter"), ("front_of", "optic")):
        if isinstance(id_ := data.get(key), str):
            _check_use(id_, (kind,), document, (*path, key), shelf)
    made_for = data.get("made_for")
    for index, id_ in enumerate(made_for if isinstance(made_for, list) else ()):
        if isinstance(id_, str):
            _check_use(id_, ("optic",), document, (*path, "made_for", index), shelf)
    photo = data.get("photo")
    if isinstance(photo, str) and (problem := files.photo_problem(shelf.root, photo)):
        document.report((*path, "photo"), "photo", problem)


def _check_target(data: dict[str, Any], document: Document, path: Path) -> None:
    named = data.get("object")
    if isinstance(named, str):
        from rigleaf.sky.objects import find, nearest_designation  # late: reading the objects takes a while

        if find(named) is None:
            near = nearest_designation(named)
            cure = f"did you mean '{near}'?" if near else "give 'ra', 'dec' and 'major_axis' instead"
            document.report((*path, "object"), "unknown-object", f"unknown object '{short(named)}'; {cure}")
    for one, other in (("ra", "dec"), ("dec", "ra")):
        if data.get(one) is not None and data.get(other) is None:
            document.report((*path, one), "place", f"'{one}' is given, but '{other}' is missing")
    if data.get("minor_axis") is not None and data.get("major_axis") is None and named is None:
        document.report((*path, "minor_axis"), "axes", "'minor_axis' is given, but 'major_axis' is missing")
    axes = [_degrees(data.get(key)) for key in ("major_axis", "minor_axis")]
    if axes[0] is not None and axes[1] is not None and axes[1] > axes[0]:
        document.report((*path, "minor_axis"), "axes", "the minor axis is longer than the major axis; exchange them")


def _degrees(data: object) -> float | None:
    """Return an angle in deg, or None for what is none (and is reported as such)."""
    if not isinstance(data, str):
        return None
    try:
        return parse_text(data, "angle").value
    except QuantityError:
        return None
