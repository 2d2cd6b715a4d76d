"""Does every joint mate? Where one does not, which rings on the shelf would join it."""

from collections import Counter
from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace
from itertools import pairwise
from math import inf

import numpy as np

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.catalogue.models.train import Adapter, Filter, FilterWheel, Spacer
from rigleaf.catalogue.wording import listed
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.figures import Finding
from rigleaf.chapters.image_train.mating import join, mismatch
from rigleaf.chapters.image_train.solver import Ring, bridge
from rigleaf.chapters.image_train.train import HOLDERS, Piece, Train
from rigleaf.chapters.shelf import Mask, Row, aside, row_of

JOINT = "joint"


def quoted(name: str) -> str:
    """Set a name apart in a remedy: many hold commas and lengths of their own."""
    return f"\u201c{name}\u201d"


def rings_on_shelf(assembly: Assembly, in_use: Iterable[str] = ()) -> list[Ring]:
    """Return the club's adapters and spacers with two known sides and a known length, as the search takes them.

    Parts ``in_use``, named once for each piece that stays where it is, are not on the shelf.
    """
    rings: list[Ring] = []
    used = Counter(in_use)
    for part in assembly.catalogue.of_kind(Adapter, Spacer):
        if part.front is None or part.rear is None:
            continue
        left = (1 if part.owned is None else part.owned) - used[part.id]
        if part.optical_length is None or left <= 0:
            continue
        length, clear = part.optical_length, part.clear_aperture
        shortest, longest = _reach(part) if isinstance(part, Spacer) else (None, None)
        rings.append(
            Ring(
                part.id, length.value, length.uncertainty, part.front, part.rear, left, clear.value if clear else None,
                shortest, longest,
            )
        )  # fmt: skip
    return rings


def _reach(part: Spacer) -> tuple[float | None, float | None]:
    """Return between which lengths a spacer can be set; None twice where it cannot or where both contradict."""
    if part.optical_length is None or (part.shortest is None and part.longest is None):
        return None, None
    shortest = part.shortest.value if part.shortest else part.optical_length.value
    longest = part.longest.value if part.longest else part.optical_length.value
    return (shortest, longest) if shortest <= longest else (None, None)


def judge_joints(
    assembly: Assembly, train: Train, mended: tuple[int, ...] = (), promised: tuple[str, ...] = ()
) -> Iterator[Finding]:
    """Yield a finding for each joint that does not mate or is unsaid, or one for all when every joint mates.

    Args:
        assembly: the rig.
        train: its train.
        mended: numbers of joints that the remedy of the back focus mends as well.
        promised: ids of the pieces which that remedy takes from the shelf.
    """
    pairs = list(pairwise(train.pieces))
    if not pairs:
        return
    in_use = [*(piece.part.id for piece in train.pieces), *promised]
    sound = True
    for number, (before, after) in enumerate(pairs, 1):
        if finding := _joint(assembly, in_use, number, before, after):
            sound = False
            if number in mended:
                cure = "See back focus: the same rings mend both."
                yield replace(finding, remedy=cure, parts=())
                continue
            in_use += finding.parts
            yield finding
    if sound:
        first, last = train.pieces[0].part.name, train.pieces[-1].part.name
        one = f"The one joint mates: {first} to {last}."
        sentence = one if len(pairs) == 1 else f"All {len(pairs)} joints mate, from {first} to {last}."
        yield Finding("joints", "sound", "Joints", sentence, (), JOINT)


def _joint(assembly: Assembly, in_use: list[str], number: int, before: Piece, after: Piece) -> Finding | None:
    state = join(before.rear, after.front)
    if state == "mates":
        return None
    names = f"{before.part.name} and {after.part.name}"
    title, what = f"Joint {number}", mismatch(before.rear, after.front)
    if state == "unsaid":
        unsaid = [piece.part for piece, side in ((before, before.rear), (after, after.front)) if side is None]
        missing = listed(part.name for part in unsaid)
        sentence = f"Whether {names} go together cannot be told: {what}."
        cure = (
            f"State the connection of {missing}: a caliper gives the diameter, a pitch gauge or a count over 10 mm "
            "the pitch."
        )
        return Finding(f"joint-{number}", "unsaid", title, sentence, (), JOINT, cure, tuple(part.id for part in unsaid))
    sentence = f"{names} do not go together: {what}."
    remedy, parts = _bridging(assembly, in_use, before, after)
    return Finding(f"joint-{number}", "fails", title, sentence, (), JOINT, remedy, parts)


def _bridging(assembly: Assembly, in_use: list[str], before: Piece, after: Piece) -> tuple[str, tuple[str, ...]]:
    if before.rear is None or after.front is None:
        return "", ()
    if "fixed" in (before.rear.form, after.front.form):
        return "Nothing goes onto a side that does not come apart: take another piece.", ()
    found = bridge(before.rear, after.front, rings_on_shelf(assembly, in_use))
    if not found:
        words = f"Nothing on the shelf joins {before.rear} to {after.front}"
        return f"{words}; an adapter between the two is to be bought.", ()
    chain = found[0]
    parts = assembly.catalogue.parts
    names = " and then ".join(parts[ring.id].name for ring in chain.rings)
    length = assembly.say(chain.length, "optical_length")
    remedy = f"Put the club's {names} between them, which adds {length} to the train."
    return remedy, tuple(ring.id for ring in chain.rings)


def judge_filters(assembly: Assembly, train: Train) -> Iterator[Finding]:
    """Yield findings on filters: whether each is held where it stands, and whether the wheel has places enough."""
    found: list[Finding] = []
    for one in train.loose:
        sentence = f"{one.name} stands before everything else in the train; nothing there holds it."
        found.append(
            Finding("filter-held", "fails", "Filter", sentence, (), JOINT, "Name it behind its drawer or wheel.")
        )
    for piece in train.pieces:
        found += [finding for one in piece.filters if (finding := _held(assembly, piece, one))]
        if isinstance(piece.part, HOLDERS) and len(piece.filters) > 1:
            found.append(_too_many(piece))
        if isinstance(piece.part, FilterWheel):
            found.append(_places(assembly, piece.part))
    met: Counter[str] = Counter()
    for finding in found:
        met[finding.id] += 1
        many = met[finding.id]
        yield finding if many == 1 else replace(finding, id=f"{finding.id}-{many}")


def _too_many(piece: Piece) -> Finding:
    names = ", ".join(one.name for one in piece.filters)
    sentence = (
        f"{piece.part.name} brings one filter into the light at a time, and the train names {len(piece.filters)} "
        f"behind it: {names}."
    )
    cure = "Name the one that is in the light, and list the others under 'carried'."
    return Finding("filter-count", "fails", "Filter", sentence, (), JOINT, cure)


def _held(assembly: Assembly, piece: Piece, one: Filter) -> Finding | None:
    holder = piece.part
    title, method = "Filter", JOINT
    if not isinstance(holder, HOLDERS):
        sentence = (
            f"{one.name} stands behind {holder.name}, which is neither a drawer nor a wheel; how it is held is not "
            "said."
        )
        cure = "Name it behind the drawer or wheel that it lies in."
        return Finding("filter-held", "unsaid", title, sentence, (), method, cure, (one.id,))
    missing = [part for part, size in ((one, one.mount_size), (holder, holder.filter_size)) if size is None]
    if missing:
        names = listed(part.name for part in missing)
        sentence = f"Whether {one.name} fits {holder.name} cannot be told: the size of {names} is not given."
        ids = tuple(part.id for part in missing)
        return Finding("filter-size", "unsaid", title, sentence, (), method, "Measure it with a caliper.", ids)
    if same_size(one.mount_size, holder.filter_size):
        return None
    sentence = f"{one.name} ({one.mount_size}) does not fit {holder.name}, which takes {holder.filter_size}."
    remedy, parts = _other_filter(assembly, one, holder.filter_size)
    return Finding("filter-size", "fails", title, sentence, (), method, remedy, parts)


def same_size(one: str | None, other: str | None) -> bool:
    """Whether two mount sizes are known and the same in words."""
    return one is not None and other is not None and one.casefold().split() == other.casefold().split()


def _other_filter(assembly: Assembly, one: Filter, size: str | None) -> tuple[str, tuple[str, ...]]:
    """Name the shelf's filter of the right size with most nearly the same bands."""
    best = nearest_filter(assembly, one, size, np.ones(len(assembly.catalogue.once(filters).parts), dtype=bool))
    if best is None:
        return f"No filter on the shelf is a {size}; one is to be bought.", ()
    return f"Take the club's {best.name}, which is a {size}.", (best.id,)


def filters(catalogue: Catalogue) -> Row[Filter]:
    """Return the club's filters by their ids: free diameter in mm, number of bands and centre of the first in nm."""

    def clear(part: Filter) -> float | None:
        return part.clear_aperture.value if part.clear_aperture is not None else None

    numbers = {"clear": clear, "bands": lambda part: float(len(part.bands or ())), "centre": _first_centre}
    return row_of(catalogue, Filter, lambda one: one.id, numbers, lambda one: one.owned != 0)


def _first_centre(part: Filter) -> float | None:
    return part.bands[0].centre.value if part.bands and part.bands[0].centre is not None else None


def nearest_filter(
    assembly: Assembly,
    one: Filter,
    size: str | None,
    good: Mask,
    suits: Callable[[Filter], bool] = lambda _: True,
    farthest: float = inf,
) -> Filter | None:
    """Return the club's filter that is most like another, of equals that of the first id.

    Args:
        assembly: the rig.
        one: the other.
        size: the mount size that it must have.
        good: which of `filters` may suit.
        suits: whether one does.
        farthest: how different it may be.
    """
    row, mine = assembly.catalogue.once(filters), aside(one)
    centre = _first_centre(mine)
    # No less than this is the difference, as the first bands alone make it.
    apart = np.abs(row.numbers["centre"] - (np.nan if centre is None else centre))
    both = (row.numbers["bands"] > 0) & (len(mine.bands or ()) > 0)
    least = 1000.0 * np.abs(row.numbers["bands"] - len(mine.bands or ()))
    least += np.where(both, np.where(np.isnan(apart), 100.0, apart), 0.0)
    least *= 1 - 1e-9
    own = [part for part in assembly.parts(Filter) if part.owned != 0 and same_size(part.mount_size, size)]
    found = [(difference(one, part), part.id, part) for part in own if suits(part)]
    best = min((pair for pair in found if pair[0] <= farthest), default=None)
    rows = np.flatnonzero(good & (least <= farthest))
    for number in rows[np.argsort(least[rows], kind="stable")]:
        part = row.parts[number]
        if best is not None and least[number] > best[0]:
            break
        if same_size(part.mount_size, size) and suits(part):
            far = difference(one, part)
            if far <= farthest and (best is None or (far, part.id) < best[:2]):
                best = far, part.id, part
    return best[2] if best is not None else None


def difference(one: Filter, other: Filter) -> float:
    """How differently two filters pass light: number of bands first, then their centres and widths in nm."""
    mine, theirs = one.bands or (), other.bands or ()
    far = 1000.0 * abs(len(mine) - len(theirs))
    for a, b in zip(mine, theirs, strict=False):
        for x, y in ((a.centre, b.centre), (a.width, b.width)):
            far += abs(x.value - y.value) if x and y else 100.0
    return far


def _places(assembly: Assembly, wheel: FilterWheel) -> Finding:
    """Compare the wheel's places with the filters of its size that the rig carries."""
    title = "Filter wheel"
    missing = [name for name, value in (("number of places", wheel.positions), ("filter size", wheel.filter_size))
               if value is None]  # fmt: skip
    if wheel.positions is None or missing:
        verb = "is" if len(missing) == 1 else "are"
        which = listed(f"its {name}" for name in missing)
        sentence = f"Whether {wheel.name} takes the filters carried cannot be told: {which} {verb} not given."
        return Finding("wheel", "unsaid", title, sentence, (), JOINT, "Count its places and measure one.", (wheel.id,))
    carried = Counter(
        {item.part.id: item.count for item in assembly.items
         if isinstance(item.part, Filter) and same_size(item.part.mount_size, wheel.filter_size)}
    )  # fmt: skip
    count = sum(carried.values())
    places = _counted(wheel.positions, "place")
    if count > wheel.positions:
        sentence = f"{wheel.name} has {places} and the rig carries {_counted(count, 'filter')} of its size."
        return Finding("wheel", "tight", title, sentence, (), JOINT, "Choose which stay in their cases.")
    if not count:
        sentence = f"{wheel.name} has {places}; the rig carries no filter of its size."
        cure = (
            f"List filters of its size, {wheel.filter_size}, under 'carried' and the one in the light behind the wheel."
        )
        return Finding("wheel", "tight", title, sentence, (), JOINT, cure)
    verb = "is" if count == 1 else "are"
    sentence = f"{wheel.name} has {places} for the {_counted(count, 'filter')} of its size that {verb} carried."
    return Finding("wheel", "sound", title, sentence, (), JOINT)


def _counted(count: int, noun: str) -> str:
    return f"{count} {noun}" if count == 1 else f"{count} {noun}s"
