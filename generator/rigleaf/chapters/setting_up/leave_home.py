"""What to see to before leaving home and after coming back, as far as the rig's parts tell."""

from collections.abc import Iterable, Iterator
from typing import NamedTuple

import numpy as np

from rigleaf.catalogue.models.cameras import Camera
from rigleaf.catalogue.models.carrying import Spare, Tool
from rigleaf.catalogue.models.connections import Connection
from rigleaf.catalogue.models.optics import FrontFilter
from rigleaf.catalogue.models.part import Part
from rigleaf.catalogue.models.power import Battery, Computer, MainsSupply
from rigleaf.catalogue.wording import listed
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.night_out.air import air_at
from rigleaf.chapters.night_out.chosen import ChosenNight
from rigleaf.chapters.setting_up.schedule import Schedule
from rigleaf.chapters.setting_up.steps import sort_of
from rigleaf.words import tr

CELLS = ("alkaline", "nimh", "lithium-metal")
"""Chemistries that are changed rather than charged in the rig, or charged cell by cell."""
JOINTS = {"thread": "every thread caught", "bayonet": "every bayonet turned until it clicks"}
NAMED = 4
"""Parts that a line names before it only counts them."""


class Item(NamedTuple):
    """One line of a checklist: what, and what about it."""

    name: str
    doing: str


def before(assembly: Assembly, night: ChosenNight | None, times: Schedule | None) -> list[Item]:
    """Return what to see to before leaving home, in the order in which it is best done: days, hours, the door."""
    stays = set(assembly.rig.travels) == {"stays put"}
    found = [*_electric(assembly), *_optics(assembly), *_things(assembly)]
    if not stays:
        found += list(_leaving(assembly, night, times))
    return found


def _electric(assembly: Assembly) -> Iterator[Item]:
    batteries = list(assembly.parts(Battery))
    charged = [part for part in batteries if part.chemistry not in CELLS]
    cells = [part for part in batteries if part.chemistry in CELLS]
    if charged:
        yield Item("Batteries charged", f"{names(charged)}. Read the gauge after an hour's rest, not on the charger.")
    if cells:
        yield Item("Fresh cells", f"{names(cells)}.")
    if assembly.fed_by_car:
        yield Item("The car's own battery", "Engine started within the week; a jump lead or a second car at hand.")
        yield Item("The car's socket", "Tried with the key out for half an hour: many switch off after it.")
    if any(assembly.parts(MainsSupply)):
        yield Item("Mains", "Test button of the residual-current device pressed; no plug will lie in the wet.")
    storing: list[Part] = [part for part in assembly.parts(Computer) if part.form != "tablet"]
    storing = storing or [part for part in assembly.parts(Camera) if part.storage is not None]
    if storing:
        yield Item("Storage free", f"{names(storing)}: last night's frames copied twice, then deleted.")
    elif any(assembly.parts(Camera)):
        yield Item("Cards empty", "Last night's frames copied twice, then formatted in the camera.")
    if any(assembly.parts(Computer)) or any(part.draws_power for part in assembly.parts(Part)):
        yield Item("No updates tonight", "Firmware, drivers and programs stay as they were when all worked.")
    if any(assembly.parts(Computer)):
        yield Item("Clock and place", "Set while there is a network; star maps stored for use without one.")


def _optics(assembly: Assembly) -> Iterator[Item]:
    filters = list(assembly.parts(FrontFilter))
    if filters:
        yield Item("Filter for the Sun", f"{names(filters)}: no hole against a lamp, in its own box, tape beside it.")
    if sort_of(assembly).day:
        yield Item(
            "Viewers for eyes", "One for each person, to ISO 12312-2, without a scratch; never used with an optic."
        )
    if assembly.optic is not None:
        yield Item("Caps and dust", "Every glass capped, and dry before it is packed.")
    if assembly.optic is not None and assembly.optic.needs_collimation and sort_of(assembly).day:
        yield Item("Collimation", "With a sighting tube, indoors: by day there is no star to do it on.")
    if any(item.role == "train" for item in assembly.items):
        yield Item(
            "Image train put together once", f"In the warm, {_joined(assembly)}; what fits the bag stays together."
        )


def _joined(assembly: Assembly) -> str:
    """Return how its joints hold: by threads, by bayonets, or in ways of which nothing is known."""
    pieces = [item.part for item in assembly.items if item.role == "train"]
    sides = (getattr(part, side, None) for part in pieces for side in ("front", "rear"))
    forms = {side.form for side in sides if isinstance(side, Connection)}
    held = [words for form, words in JOINTS.items() if form in forms]
    return listed(held) if held else "every joint seated"


def _things(assembly: Assembly) -> Iterator[Item]:
    tools, spares = list(assembly.parts(Tool)), list(assembly.parts(Spare))
    lit = any("torch" in part.name.casefold() or "lamp" in part.name.casefold() for part in tools)
    if tools:
        yield Item("Tools and lamps" if lit else "Tools", f"{names(tools)}.")
    if not lit and not sort_of(assembly).day:
        yield Item("Two lamps", "A red one to work by, a white one to pack by.")
    if spares:
        yield Item("Spares", f"{names(spares)}.")
    else:
        yield Item("Spares", "No spare is on the list: think of the lead, fuse or screw without which all is over.")
    pieces = sum(item.count for item in assembly.items if item.role != "bag")
    if pieces:
        yield Item("Counted", f"{pieces} pieces beside the bags, against the list at the head of the page.")


def _leaving(assembly: Assembly, night: ChosenNight | None, times: Schedule | None) -> Iterator[Item]:
    yield Item("Forecast", "Cloud, wind and rain for the spot itself, once more on the day.")
    if sort_of(assembly).day:
        yield Item("Shade, water, a hat", "For people and for the rig; something warm for the morning.")
    else:
        yield Item("Warm clothes, food, water", _clothes(assembly, night, times))
    place = assembly.place.name if assembly.place is not None else "the place"
    packed = f", packed at {night.clock(times.packed)}" if night is not None and times is not None else ""
    doing = f"{place}{packed}, then the way home; and when to begin to worry. Telephone charged."
    yield Item("Somebody knows", doing)
    if not sort_of(assembly).bright:
        yield Item("Sleep", "An hour before, or a bed after: nobody drives home tired.")


def _clothes(assembly: Assembly, night: ChosenNight | None, times: Schedule | None) -> str:
    air = None
    if night is not None and times is not None:
        air = air_at(assembly, night, np.array([times.arrive, times.last]))
    if air is None:
        return "For ten degrees less than the forecast, standing still; dry gloves and socks."
    lowest = assembly.say(float(air.temperature.min()), "temperature")
    return f"A usual night goes down to {lowest}: for ten degrees less, standing still; dry gloves and socks."


def after(assembly: Assembly) -> list[Item]:
    """Return what to see to at home."""
    found: list[Item] = []
    if assembly.optic is not None and not sort_of(assembly).day:
        found.append(
            Item(
                "Dry the optics",
                "Bags shut until they are as warm as the room; then open, caps off, until dry.",
            )
        )
    if any((part.chemistry or "lithium").startswith(("lithium", "lifepo4")) for part in assembly.parts(Battery)):
        found.append(Item("Charge the batteries", "Not before they are warm: never a frozen one, never unwatched."))
    elif any(assembly.parts(Battery)):
        found.append(Item("Charge the batteries", "The same day."))
    if any(assembly.parts(Camera)):
        found.append(Item("Copy the frames", "To two places, and look at one of each before you delete any."))
    found.append(Item("Say what broke or is missing", "Before the next person finds it in the dark."))
    return found


def names(parts: Iterable[Part]) -> str:
    """Return the names of parts, each once, the many counted: "A, B, C, D and 2 more"."""
    every = list(dict.fromkeys(part.name for part in parts))
    if len(every) > NAMED + 1:
        return tr("{names} and {n} more", names=", ".join(every[:NAMED]), n=len(every) - NAMED)
    return listed(every)
