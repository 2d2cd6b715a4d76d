"""Plate: what is lifted against what one person may lift."""

from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.figures import Drawing
from rigleaf.chapters.hands_and_back.lifts import Lift
from rigleaf.chapters.svg import PLATE_WIDTH, Plate

ROW, BAR, TOP, LEFT, RIGHT = 46.0, 13.0, 8.0, 12.0, 76.0
MOST = 7
MOST_LETTERS = 50


def lift_plate(assembly: Assembly, lifts: tuple[Lift, ...]) -> Drawing:
    """Draw a bar for each of the hardest lifts, filled as far as its limit and hatched beyond."""
    rows = sorted(lifts, key=lambda lift: -lift.index)[:MOST]
    say = assembly.say
    scale = (PLATE_WIDTH - LEFT - RIGHT) / max(max(lift.mass, lift.limit) for lift in rows)
    words = "; ".join(f"{lift.name} {say(lift.mass, 'mass')} against {say(lift.limit, 'mass')}" for lift in rows)
    title = "What is lifted, and what one person may lift"
    plate = Plate(f"{assembly.rig.id}-lifts", PLATE_WIDTH, TOP + ROW * len(rows) + 4, title, f"Hardest first: {words}.")
    for index, lift in enumerate(rows):
        y = TOP + index * ROW
        plate.text(LEFT, y + 15, _short(lift))
        within = min(lift.mass, lift.limit)
        plate.rect(LEFT, y + 21, within * scale, BAR, "ink", opacity=0.55)
        if lift.mass > within:
            plate.rect(LEFT + within * scale, y + 21, (lift.mass - within) * scale, BAR, "ink hatch")
        mark = LEFT + lift.limit * scale
        plate.line(mark, y + 18, mark, y + 37, "accent")
        plate.text(max(LEFT + lift.mass * scale, mark) + 7, y + 32, say(lift.mass, "mass"), "dim")
    caption = (
        "The hardest lifts. The accented mark is what the lifting equation recommends as the most for one person with "
        "both hands; what goes beyond is hatched. In the cold, in the dark and on rough ground it is less."
    )
    return Drawing("lifts", title, plate.description, caption, plate.render())


def _short(lift: Lift) -> str:
    """Name a lift as a plate holds it: a bag or loose part by itself, as all of them go the same way."""
    words = lift.load.name if lift.load is not None else lift.name.removeprefix("the ")
    words = words[:1].upper() + words[1:]
    return words if len(words) <= MOST_LETTERS else words[: MOST_LETTERS - 1].rstrip() + "…"
