"""Which steps a rig takes, in which order, and what each of them waits for."""

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property

from rigleaf.catalogue.catalogue import Item, Role
from rigleaf.catalogue.models.cameras import Camera, GuideCamera
from rigleaf.catalogue.models.mounting import Mount
from rigleaf.catalogue.models.optics import DewHeater, FrontFilter, Optic
from rigleaf.catalogue.models.power import Cable, CarLead
from rigleaf.catalogue.models.train import Rotator
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.guiding_and_exposure.inputs import for_bright_things
from rigleaf.chapters.setting_up import balancing, standing
from rigleaf.chapters.setting_up.minutes import Lasting, lasting
from rigleaf.chapters.setting_up.people import ForTwo, for_two
from rigleaf.chapters.setting_up.trips import carrying
from rigleaf.chapters.setting_up.words import words

STARS, FAINT_STARS = -9.0, -12.0
"""Altitude of the Sun, deg, below which bright stars show well enough to align and focus on, and faint ones to guide
by; common practice, no source. The second is the end of nautical twilight."""


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
    """Whether its camera is known to cool its sensor."""
    assembly: Assembly

    @cached_property
    def two(self) -> ForTwo:
        """What one person should not lift."""
        return for_two(self.assembly)

    def pick(self, *choices: tuple[bool, str]) -> str:
        """Return the first of some names whose condition holds."""
        return next((name for holds, name in choices if holds), "")

    def lifted(self, step: str, sort: str = "") -> str:
        """Return a sort of words, made that of two people where one should not lift what is lifted in the step."""
        return f"{sort} two".strip() if step in self.two.steps else sort


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
        cooled=assembly.camera is not None and assembly.camera.cooled,
        assembly=assembly,
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
        told: tuple[str, str] | None = None,
    ) -> None:
        known = {step.id for step in found}
        name, doing = told or words(id_, kind if called is None else called)
        time = lasting(assembly, id_, kind, items or ())
        found.append(Step(id_, name, doing, time, tuple(need for need in needs if need in known), below))

    _carry(assembly, found, sort)
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
        add("legs", lens, None, _among(assembly, "tripod"), ("unload",), told=standing.setting(assembly))
    if mount is not None:
        heavy, called = "worm" if mount.drive == "worm" else "", "alt-azimuth" if sort.turning else ""
        add("head", heavy, sort.lifted("head", called), _among(assembly, "mount"), ("unload", "legs"))
    if weights:
        add("weights", "", sort.lifted("weights"), weights, ("unload", "legs", "head"))
    if assembly.filtered_for_the_sun:
        add("sun_filter", items=_among(assembly, "train", keep=lambda item: isinstance(item.part, FrontFilter)),
            needs=("unload",))  # fmt: skip
    if sort.lens and any(assembly.parts(Camera, "train")):
        add("train", lens, items=pieces, needs=("unload",))
    if tube:
        called = lens or sort.lifted("tube")
        add("tube", lens, called, tube, ("unload", "legs", "head", "weights", "sun_filter", "train"))
        if standing.tethered(assembly):
            add("tether", needs=("tube",))
    if not sort.lens and pieces:
        add("train", items=pieces, needs=("unload", "legs", "head", "weights", "tube"))
    if mount is not None and balancing.balanced(assembly, mount):
        told = (words("balance")[0], balancing.balance(assembly, mount))
        add("balance", needs=("head", "weights", "tube", "train"), told=told)
    _wire(assembly, add, sort)
    _under_the_sky(assembly, add, sort)
    return tuple(found)


def _carry(assembly: Assembly, found: list[Step], sort: Sort) -> None:
    lasts = carrying(assembly)
    if lasts is not None:
        found.append(Step("unload", *carried_words(sort), lasts))


def carried_words(sort: Sort, down: bool = False) -> tuple[str, str]:
    """Return what carrying is called and how it is done."""
    name, doing = words("unload", "day" if sort.day else "", down)
    return name, sort.two.carrying + doing


Add = Callable[..., None]


def _wire(assembly: Assembly, add: Add, sort: Sort) -> None:
    lens = "lens" if sort.lens else ""
    mechanics = ("head", "tube", "train", "balance")
    leads = [item for item in assembly.items if isinstance(item.part, (Cable, CarLead, DewHeater))]
    mount = next(assembly.parts(Mount, "mount"), None)
    pushed = mount is None or balancing.by_hand(mount)
    if leads:
        called = lens or sort.pick((mount is not None and pushed, "by hand"))
        add("cables", lens or sort.pick((not pushed, "powered")), called, leads, mechanics)
    fed = [
        item
        for item in assembly.items
        if item.role in ("power", "rider", "carried") and not isinstance(item.part, (Cable, CarLead, DewHeater))
        and (item.part.draws_power or item.role == "power")
    ]  # fmt: skip
    if fed or mount is not None:
        called = sort.pick((sort.day, "day"), (sort.lens, "lens"), (sort.cooled, "cooled"))
        add("power", lens, called, fed, (*mechanics, "cables"))
        if leads and not pushed and not sort.lens:
            add("cable_check", "", "day" if sort.day else "", needs=("power",))


def _under_the_sky(assembly: Assembly, add: Add, sort: Sort) -> None:
    """Add what needs something to look at. Sun, Moon and planets show before the stars do."""
    optic = assembly.optic
    lens = "lens" if sort.lens else ""
    looking = None if sort.bright else STARS
    done = ("tube", "train", "balance", "power", "cable_check")
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
        called = "rotator" if any(assembly.parts(Rotator, "train")) else ""
        add("guiding", "", called, needs=(*aligned, "focus"), below=FAINT_STARS)
    add("framing", lens, finding, needs=(*aligned, "focus", "guiding"), below=FAINT_STARS)
