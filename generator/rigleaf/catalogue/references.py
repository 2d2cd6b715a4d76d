"""Names that point from one entry to another: each must exist and be of the kind that is wanted."""

from collections.abc import Iterator
from typing import Any

from rigleaf.catalogue import files
from rigleaf.catalogue.document import Document, Path
from rigleaf.catalogue.flight_checks import check_flight
from rigleaf.catalogue.held import Held
from rigleaf.catalogue.lookup import check_known, check_use, known, named_parts
from rigleaf.catalogue.shelf import Given, Shelf
from rigleaf.catalogue.trip_references import check_trip
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


def check_references(shelf: Shelf, held: Held | None = None) -> dict[str, tuple[str, ...]]:
    """Report every name that leads nowhere or to the wrong kind; return which rigs use each part.

    The plain data is looked at rather than the models, so that an entry with another fault still has all
    its names checked in the same run.

    Args:
        shelf: what has been read.
        held: what earlier readings of the same guide have shown to hold.
    """
    held = held or Held()
    known = held.among(shelf)
    for given in shelf.given:
        if given.sort == "part":
            _check_photo(given.data, given.document, given.path, shelf)
        if not known.holds(given.sort, given.data):
            _check(given, shelf)
    if shelf.guide_document:
        for sort in ("place", "carrier"):
            check_known(shelf.guide_document.data, sort, shelf.guide_document, (), shelf)
    used_by: dict[str, list[str]] = {}
    for id_, rig in shelf.entries["rig"].items():
        for part_id in held.parts_of(rig):
            used_by.setdefault(part_id, []).append(id_)
    return {part_id: tuple(users) for part_id, users in used_by.items()}


def _check(given: Given, shelf: Shelf) -> None:
    sort, data, document, path = given
    if sort == "rig":
        _check_rig(data, document, path, shelf)
    elif sort == "part":
        _check_part(data, document, path, shelf)
    elif sort == "target":
        _check_target(data, document, path)
    elif sort in ("carrier", "rule"):
        check_flight(data, document, path)
    elif sort == "trip":
        check_trip(data, document, path, shelf)


def _check_rig(data: dict[str, Any], document: Document, path: Path, shelf: Shelf) -> None:
    for key in _USES:
        kinds = _TRAIN if key == "train" else _ONE_KIND.get(key, ())
        for named, where, _ in named_parts(data.get(key), (*path, key)):
            check_use(named, kinds, document, where, shelf)
    owners: tuple[tuple[object, Path, tuple[str, ...]], ...] = (
        (data, path, ("mount", "tripod")),
        (data.get("guiding"), (*path, "guiding"), ("scope", "camera")),
    )
    for owner, place, keys in owners:
        for key in keys:
            if isinstance(owner, dict) and isinstance(id_ := owner.get(key), str):
                check_use(id_, _ONE_KIND[key], document, (*place, key), shelf)
    targets = data.get("targets")
    for index, target in enumerate(targets if isinstance(targets, list) else ()):
        if isinstance(target, str):
            known("target", target, document, (*path, "targets", index), shelf)
    check_known(data, "place", document, path, shelf)
    _check_own_parts(data, document, path, shelf)
    _one_in_train(data, document, path, shelf)
    _train_order(data, document, path, shelf)


def _check_own_parts(data: dict[str, Any], document: Document, path: Path, shelf: Shelf) -> None:
    """Bags hold, leads feed and people wear what the rig itself names; a bag holds neither itself nor another bag."""
    own = {id_ for key in _USES for id_, _, _ in named_parts(data.get(key), path)}
    guiding = data.get("guiding")
    for owner, keys in ((data, ("mount", "tripod")), (guiding, ("scope", "camera"))):
        own |= {owner[key] for key in keys if isinstance(owner, dict) and isinstance(owner.get(key), str)}
    bags = {id_ for id_, _, _ in named_parts(data.get("bags"), path)}
    outside = {named: where[-2] for named, where in _named_again(data, path) if where[-2] in ("worn", "loose")}
    for named, where in _named_again(data, path):
        # What is no part at all is told as such, with the nearest name on the shelf.
        if known("part", named, document, where, shelf) is None:
            continue
        if named not in own:
            near = nearest(named, sorted(own))
            cure = f"did you mean '{near}'?" if near else "name it in one of the rig's lists first"
            document.report(where, "not-in-rig", f"'{short(named)}' is not a part of this rig; {cure}")
        elif "holds" in where and named in bags:
            document.report(where, "bag-in-bag", f"'{short(named)}' is a bag of this rig; a bag holds other parts")
        elif "holds" in where and (key := outside.get(named)):
            message = f"'{short(named)}' is named in '{key}' too; remove it from one of the two"
            document.report(where, "held-twice", message)


def _named_again(data: dict[str, Any], path: Path) -> Iterator[tuple[str, Path]]:
    """Yield the ids by which bags, feeds and other lists name parts of the rig again, each with its place."""
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
    lists += [(data.get(key), (*path, key)) for key in ("worn", "loose")]
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
    for id_, where, count in named_parts(data.get("train"), (*path, "train")):
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
            check_use(id_, (kind,), document, (*path, key), shelf)
    made_for = data.get("made_for")
    for index, id_ in enumerate(made_for if isinstance(made_for, list) else ()):
        if isinstance(id_, str):
            check_use(id_, ("optic",), document, (*path, "made_for", index), shelf)


def _check_photo(data: dict[str, Any], document: Document, path: Path, shelf: Shelf) -> None:
    """Look for the file in every reading: it comes and goes without any YAML that tells of it."""
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
