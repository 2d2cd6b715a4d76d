"""Plate: where the mass is, role by role, and how it is known."""

from collections.abc import Mapping

from rigleaf.catalogue.catalogue import ON_THE_MOUNT, ON_THE_TRIPOD, ROLES, Role
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.figures import Drawing
from rigleaf.chapters.svg import PLATE_WIDTH, Plate
from rigleaf.chapters.what_it_weighs.physics import MassSum

ROW, BAR, TOP = 30.0, 15.0, 12.0
LEFT = 184.0  # brackets and headings, lettered for a narrow screen
RIGHT, RIGHT_WITH_UNSAID = 84.0, 150.0  # a mass, and a mass with the number of pieces that lack one


def mass_plate(assembly: Assembly, by_role: Mapping[Role, MassSum], on_mount: MassSum, on_tripod: MassSum) -> Drawing:
    """Draw a bar for each role that has parts: filled where weighed, hatched where stated."""
    rows = [(role, found) for role, found in by_role.items() if found.pieces]
    most = max(found.total for _, found in rows)
    right = RIGHT_WITH_UNSAID if any(found.unsaid for _, found in rows) else RIGHT
    scale = (PLATE_WIDTH - LEFT - right) / most
    say = assembly.say
    words = "; ".join(f"{ROLES[role].lower()} {say(found.total, 'mass')}" for role, found in rows)
    plate = Plate(
        f"{assembly.rig.id}-mass",
        PLATE_WIDTH,
        TOP + ROW * len(rows) + 8,
        "Where the mass is",
        f"Mass by place: {words}.",
    )
    for index, (role, found) in enumerate(rows):
        y = TOP + index * ROW
        plate.text(LEFT - 10, y + BAR - 2, ROLES[role], "label", "end")
        weighed = found.measured * scale
        rest = (found.total - found.measured) * scale
        if weighed:
            plate.rect(LEFT, y, weighed, BAR, "ink", opacity=0.55)
        if rest:
            plate.rect(LEFT + weighed, y, rest, BAR, "ink hatch")
        text = say(found.total, "mass") if found.total else ""
        if found.unsaid:
            text = f"{text} + {found.unsaid} unsaid".lstrip(" +")
        plate.text(LEFT + weighed + rest + 6, y + BAR - 2, text, "dim")
    _brackets(plate, rows)
    caption = (
        "Where the mass is. Filled bars were weighed by the club, hatched ones are the makers' figures. The "
        f"inner bracket holds what rides on the mount, {_sum(assembly, on_mount)}, the outer one what stands on the "
        f"tripod, {_sum(assembly, on_tripod)}."
    )
    return Drawing("mass", "Where the mass is", plate.description, caption, plate.render())


def _sum(assembly: Assembly, found: MassSum) -> str:
    known = assembly.say(found.total, "mass") if found.total else "unsaid"
    return known if found.complete or not found.total else f"at least {known}"


def _brackets(plate: Plate, rows: list[tuple[Role, MassSum]]) -> None:
    """Draw thin lines beside the rows that ride on the mount and that stand on the tripod."""
    for x, roles in ((4.0, ON_THE_TRIPOD), (10.0, ON_THE_MOUNT)):
        held = [index for index, (role, _) in enumerate(rows) if role in roles]
        if held:
            top, bottom = TOP + min(held) * ROW - 2, TOP + max(held) * ROW + BAR + 2
            plate.path([(x + 4, top), (x, top), (x, bottom), (x + 4, bottom)], "ink-2")
