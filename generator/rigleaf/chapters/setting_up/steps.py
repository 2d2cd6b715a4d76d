"""Which steps a rig takes, in which order, and what each of them waits for."""

from collections.abc import Callable
from dataclasses import dataclass

from rigleaf.catalogue.catalogue import Item, Role
from rigleaf.catalogue.models.cameras import Camera, GuideCamera
from rigleaf.catalogue.models.mounting import Mount
from rigleaf.catalogue.models.optics import DewHeater, FrontFilter, Optic
from rigleaf.catalogue.models.power import Cable, CarLead
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.guiding_and_exposure.inputs import for_bright_things
from rigleaf.chapters.setting_up.minutes import MINUTE, Lasting, lasting, usual
from rigleaf.chapters.setting_up.trips import carrying
from rigleaf.chapters.setting_up.words import words

STARS, FAINT_STARS = -9.0, -12.0
"""Altitude of the Sun, deg, below which bright stars show well enough to align and focus on, and faint ones to guide
by; common practice, no source. The second is the end of nautical twilight."""

TAKING_DOWN, LEAST_DOWN = 0.5, 2 * MINUTE
"""Part of the time of putting on that taking off takes, and the time in s that it takes at least; common practice, no
source."""


@dataclass(frozen=True, slots=True)
class Step:
    """One step of setting up or taking down.

    Attributes:
        id: name, as in the guide's own ``steps`` where it has one there.
        name: what it is called.
        doing: what is done in it.
        lasts: how long, and who says so.
        needs: ids of earlier steps that must be done first.
        below: altitude in deg to which the Sun must have sunk before it can begin; None where light does not matter.
        hands: whether it takes hands.
    """

    id: str
    name: str
    doing: str
    lasts: Lasting
    needs: tuple[str, ...] = ()
    below: float | None = None
    hands: bool = True


@dataclass(frozen=True)
class Sort:
    """What sort of rig it is, as far as the order of steps depends on it."""

    lens: bool
    day: bool
    bright: bool
    turning: bool
    """Whether the mount has no polar axis."""
    south: bool
    guides: bool
    cooled: bool

    def pick(self, *choices: tuple[bool, str]) -> str:
        """Return the first of some names whose condition holds."""
        return next((name for holds, name in choices if holds), "")


def sort_of(assembly: Assembly) -> Sort:
    """Return what sort of rig it is."""
    optic, mount = assembly.optic, next(assembly.parts(Mount, "mount"), None)
    place = assembly.place
    bright = for_bright_things(assembly)
    turning = mount is not None and mount.drive == "alt-azimuth"
    return Sort(
        lens=optic is not None and optic.form == "lens",
        day=bright and assembly.filtered_for_the_sun,
        bright=bright,
        turning=turning,
        south=place is not None and place.latitude is not None and place.latitude.value < 0,
        guides=guides(assembly) and not bright and not turning,
        cooled=assembly.camera is not None and assembly.camera.cooling_depth is not None,
    )


def guides(assembly: Assembly) -> bool:
    """Whether the rig has a sensor to guide with."""
    camera = assembly.camera
    return any(assembly.parts(GuideCamera, "train", "guiding", "rider")) or (
        camera is not None and camera.guide_sensor is not None
    )


def _among(assembly: Assembly, *roles: Role, keep: Callable[[Item], bool] | None = None) -> list[Item]:
    return [item for item in assembly.items if item.role in roles and (keep is None or keep(item))]


def _of_the_tube(item: Item) -> bool:
    return not isinstance(item.part, (Cable, CarLead, DewHeater, FrontFilter)) and not item.part.draws_power


def steps(assembly: Assembly) -> tuple[Step, ...]:
    """Return the steps of setting a rig up, in order; those whose parts the rig does not have are left out."""
    sort = sort_of(assembly)
    found: list[Step] = []

    def add(
        id_: str,
        kind: str = "",
        called: str | None = None,
        items: list[Item] | None = None,
        needs: tuple[str, ...] = (),
        below: float | None = None,
    ) -> None:
        known = {step.id for step in found}
        name, doing = words(id_, kind if called is None else called)
        time = lasting(assembly, id_, kind, items or ())
        found.append(Step(id_, name, doing, time, tuple(need for need in needs if need in known), below))

    _carry(assembly, found)
    optic = assembly.optic
    if optic is not None and optic.cool_down is not None and optic.cool_down.value > 0:
        name, doing = words("cool", "day" if sort.day else "")
        lasts = Lasting(optic.cool_down.value, optic.cool_down.basis, f"as given for {optic.name}")
        need = tuple(step.id for step in found)
        found.append(Step("cool", name, doing, lasts, need, hands=False))
    lens = "lens" if sort.lens else ""
    mount = next(assembly.parts(Mount, "mount"), None)
    weights = _among(assembly, "counterweight")
    tube = _among(assembly, "train", "rider", keep=lambda item: isinstance(item.part, Optic))
    pieces = _among(
        assembly, "train", "guiding", "rider",
        keep=lambda item: not isinstance(item.part, Optic) and (_of_the_tube(item) or item.role != "rider"),
    )  # fmt: skip
    pieces = [item for item in pieces if not isinstance(item.part, FrontFilter)]
    if assembly.rig.tripod:
        standing = sort.pick((sort.turning, "alt-azimuth"), (sort.south, "south"))
        add("legs", lens, standing, _among(assembly, "tripod"), ("unload",))
    if mount is not None:
        heavy = "worm" if mount.drive == "worm" else ""
        add("head", heavy, "alt-azimuth" if sort.turning else "", _among(assembly, "mount"), ("unload", "legs"))
    if weights:
        add("weights", items=weights, needs=("unload", "legs", "head"))
    if assembly.filtered_for_the_sun:
        add("sun_filter", items=_among(assembly, "train", keep=lambda item: isinstance(item.part, FrontFilter)),
            needs=("unload",))  # fmt: skip
    if sort.lens and any(assembly.parts(Camera, "train")):
        add("train", lens, items=pieces, needs=("unload",))
    if tube:
        add("tube", lens, items=tube, needs=("unload", "legs", "head", "weights", "sun_filter", "train"))
    if not sort.lens and pieces:
        add("train", items=pieces, needs=("unload", "legs", "head", "weights", "tube"))
    if mount is not None and (mount.drive == "worm" or weights):
        add("balance", needs=("head", "weights", "tube", "train"))
    _wire(assembly, add, sort)
    _under_the_sky(assembly, add, sort)
    return tuple(found)


def _carry(assembly: Assembly, found: list[Step]) -> None:
    lasts = carrying(assembly)
    if lasts is not None:
        found.append(Step("unload", *words("unload"), lasts))


Add = Callable[..., None]


def _wire(assembly: Assembly, add: Add, sort: Sort) -> None:
    lens = "lens" if sort.lens else ""
    mechanics = ("head", "tube", "train", "balance")
    leads = [item for item in assembly.items if isinstance(item.part, (Cable, CarLead, DewHeater))]
    if leads:
        add("cables", lens, items=leads, needs=mechanics)
    fed = [
        item
        for item in assembly.items
        if item.role in ("power", "rider", "carried") and not isinstance(item.part, (Cable, CarLead, DewHeater))
        and (item.part.draws_power or item.role == "power")
    ]  # fmt: skip
    if fed or any(assembly.parts(Mount, "mount")):
        called = sort.pick((sort.day, "day"), (sort.lens, "lens"), (sort.cooled, "cooled"))
        add("power", lens, called, fed, (*mechanics, "cables"))


def _under_the_sky(assembly: Assembly, add: Add, sort: Sort) -> None:
    """Add what needs something to look at. Sun, Moon and planets show before the stars do."""
    optic = assembly.optic
    lens = "lens" if sort.lens else ""
    looking = None if sort.bright else STARS
    done = ("tube", "train", "balance", "power")
    if any(assembly.parts(Mount, "mount")):
        if sort.turning:
            kind = sort.pick((sort.day, "day"), (sort.bright, "bright"))
            add("star_alignment", "", kind, needs=done, below=looking)
        else:
            # The southern pole has no bright star; by day neither has any.
            pole = None if sort.day else FAINT_STARS if sort.south else STARS
            kind = "day" if sort.day else lens
            add("polar_alignment", kind, "day" if sort.day else "", needs=done, below=pole)
    if optic is None or assembly.camera is None:
        return
    aligned = (*done, "polar_alignment", "star_alignment")
    # By day there is no star to collimate on: that is done at home.
    if optic.needs_collimation and not sort.day:
        add("collimation", needs=(*aligned, "cool"), below=looking)
    motor = "motor" if assembly.focuser_motor is not None else ""
    called = f"bright {motor}".strip() if sort.bright else motor
    finding = sort.pick((sort.day, "day"), (sort.bright, "bright"))
    if sort.bright:
        # Nobody can focus on a disc that is not yet found.
        add("framing", "bright", finding, needs=aligned)
        add("focus", motor, called, needs=(*aligned, "cool", "collimation", "framing"))
        return
    add("focus", motor, called, needs=(*aligned, "cool", "collimation"), below=STARS)
    if sort.guides:
        add("guiding", needs=(*aligned, "focus"), below=FAINT_STARS)
    add("framing", lens, finding, needs=(*aligned, "focus", "guiding"), below=FAINT_STARS)


def teardown(assembly: Assembly, up: tuple[Step, ...]) -> tuple[Step, ...]:
    """Return the steps of taking a rig down again, in order: the way it went up, backwards.

    Args:
        assembly: the rig.
        up: the steps of setting it up.
    """
    sort = sort_of(assembly)
    lens, by_id = "lens" if sort.lens else "", {step.id: step for step in up}
    found: list[Step] = []

    def add(id_: str, called: str, lasts: Lasting) -> None:
        name, doing = words(id_, called, down=True)
        needs = (found[-1].id,) if found else ()
        found.append(Step(id_, name, doing, lasts, needs))

    if "power" in by_id:
        add("park", sort.pick((sort.lens, "lens"), (sort.cooled, "cooled")), usual("park"))
    if "tube" in by_id:
        add("caps", "day" if sort.day else "", usual("caps"))
    # A lens goes into the bag on its camera.
    for id_ in ("cables", *(() if sort.lens else ("train",)), "tube", "weights", "head", "legs"):
        if id_ in by_id:
            lasts = by_id[id_].lasts
            who = f"half of what putting it on takes, {lasts.who}"
            called = "weights" if id_ == "tube" and "weights" in by_id else lens
            add(id_, called, Lasting(max(lasts.seconds * TAKING_DOWN, LEAST_DOWN), "assumed", who))
    add("pack", "", usual("pack"))
    if "unload" in by_id:
        add("unload", "", by_id["unload"].lasts)
    whole = lasting(assembly, "packing") if _states_packing(assembly) else None
    return _scaled(found, whole) if whole is not None else tuple(found)


def _states_packing(assembly: Assembly) -> bool:
    own = assembly.rig.steps
    return (own is not None and own.packing is not None) or assembly.catalogue.guide.steps.packing is not None


def _scaled(found: list[Step], whole: Lasting) -> tuple[Step, ...]:
    """Share a time that is given for all of it out among the steps."""
    usually = sum(step.lasts.seconds for step in found)
    share = whole.seconds / usually if usually else 0.0
    return tuple(
        Step(step.id, step.name, step.doing,
             Lasting(step.lasts.seconds * share, whole.basis, f"its share of what is {whole.who}"), step.needs)
        for step in found
    )  # fmt: skip
