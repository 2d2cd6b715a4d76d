"""Mains at the place of a journey, and whether the chargers that go along suit."""

from collections.abc import Iterator
from dataclasses import dataclass

from rigleaf.catalogue.models.guide import Guide, Mains, Place
from rigleaf.catalogue.models.power import Battery, Charger, MainsSupply
from rigleaf.catalogue.wording import listed
from rigleaf.chapters.figures import Finding, Verdict
from rigleaf.journeys.cargo import Cargo
from rigleaf.journeys.result_nights import MainsStudy
from rigleaf.journeys.words import named, say, short_name

METHOD, CHARGE = "mains-supply", "battery-usable"
"""Methods of the chapter on power by which this is judged too."""
FITS: dict[str, str] = {"A": "AB", "C": "CEFJKLN", "E": "EF", "F": "EF"}
"""Sockets that take each plug beside its own sort: the flat European plug, C, goes into many. Common practice, no
source."""
USB_VOLTS = 21.0
NEVER_CHARGED = frozenset({"lithium-metal", "alkaline"})

_Plugged = Charger | MainsSupply


@dataclass(frozen=True)
class _Kit:
    chargers: tuple[_Plugged, ...]
    batteries: tuple[tuple[Battery, int], ...]


def mains_at(guide: Guide, place: Place | None, cargo: Cargo) -> MainsStudy | None:
    """Return what mains there is and whether chargers suit; None where the place states none."""
    if place is None or place.mains is None:
        return None
    mains = place.mains
    kit = _Kit(
        tuple(load.part for load in cargo.loads if isinstance(load.part, (Charger, MainsSupply))),
        tuple((load.part, load.count) for load in cargo.loads if isinstance(load.part, Battery)),
    )
    voltage = mains.voltage.value if mains.voltage is not None else None
    found = (*_plugs(guide, place, mains, kit), *_charging(guide, kit))
    return MainsStudy(voltage, mains.plugs, mains.hours or "", found)


def _plugs(guide: Guide, place: Place, mains: Mains, kit: _Kit) -> Iterator[Finding]:
    unsaid, wrong_volts, wrong_plug, well = [], [], [], []
    for one in kit.chargers:
        volts = _volts_suit(one, mains)
        plug = _plug_suits(one, mains)
        if volts is False:
            wrong_volts.append(one)
        elif plug is False:
            wrong_plug.append(one)
        elif None in (volts, plug):
            unsaid.append(one)
        else:
            well.append(one)
    there = _there(guide, place, mains)
    if wrong_volts:
        words = f"{_names(wrong_volts)} {_verb(wrong_volts, 'is', 'are')} not made for the mains there. {there}"
        yield _finding("volts", "fails", "Voltage of mains", words, "Take one that states this voltage.", wrong_volts)
    if wrong_plug:
        plugs = listed(sorted({one.plug or "" for one in wrong_plug}))
        words = f"The plug of {_names(wrong_plug)} is of type {plugs} and fits no socket there. {there}"
        yield _finding("plugs", "tight", "Plugs", words, "Take an adapter for the socket.", wrong_plug)
    if unsaid:
        words = f"Whether {_names(unsaid)} {_verb(unsaid, 'suits', 'suit')} the mains there is unsaid. {there}"
        cure = "Read the input on the label and look at the plug; state 'mains_lowest', 'mains_highest' and 'plug'."
        yield _finding("mains", "unsaid", "Mains", words, cure, unsaid)
    if well and not (wrong_volts or wrong_plug or unsaid):
        words = f"{_names(well)} {_verb(well, 'suits', 'suit')} the mains there in voltage and plug. {there}"
        yield _finding("mains", "sound", "Mains", words, "", well)


def _finding(id_: str, verdict: Verdict, title: str, words: str, cure: str, parts: list[_Plugged]) -> Finding:
    return Finding(id_, verdict, title, words, (), METHOD, cure, tuple(one.id for one in parts))


def _there(guide: Guide, place: Place, mains: Mains) -> str:
    volts = say(guide, mains.voltage.value, "voltage").replace(".0", "") if mains.voltage is not None else "Mains"
    sockets = f" from sockets of type {' or '.join(mains.plugs)}" if mains.plugs else ""
    hours = f", {mains.hours}" if mains.hours else ""
    return f"{short_name(place.name)} has {volts}{sockets}{hours}."


def _names(parts: list[_Plugged]) -> str:
    return listed([one.name for one in parts])


def _verb(parts: list[_Plugged], one: str, many: str) -> str:
    return one if len(parts) == 1 else many


def _volts_suit(one: _Plugged, mains: Mains) -> bool | None:
    if mains.voltage is None or one.mains_lowest is None or one.mains_highest is None:
        return None
    # Chargers bear what the net itself swings by, which is why they state 100 to 240 V for nets of 120 and 230 V.
    return one.mains_lowest.value <= mains.voltage.value <= one.mains_highest.value


def _plug_suits(one: _Plugged, mains: Mains) -> bool | None:
    if one.plug is None or not mains.plugs:
        return None
    return bool(set(FITS.get(one.plug, one.plug)) & set(mains.plugs))


def _charging(guide: Guide, kit: _Kit) -> Iterator[Finding]:
    """Judge whether there is something to charge each battery with, and how long it takes."""
    without = [one for one, _ in kit.batteries if _rechargeable(one) and not _charged_by(one, kit.chargers)]
    if without:
        words = f"Nothing goes along that charges {listed([one.name for one in without])}."
        yield Finding(
            "charging", "tight", "Charging by day", words, (), CHARGE,
            "Take a charger, or look for one under what is found there.", tuple(one.id for one in without),
        )  # fmt: skip
        return
    slow = [(hours, words) for one, count in kit.batteries for hours, words in _time(guide, one, count, kit.chargers)]
    if slow:
        yield Finding("charging", "sound", "Charging by day", max(slow)[1], (), CHARGE)


def _rechargeable(battery: Battery) -> bool:
    return battery.chemistry is not None and battery.chemistry not in NEVER_CHARGED and not battery.installed


def _charged_by(battery: Battery, chargers: tuple[_Plugged, ...]) -> list[_Plugged]:
    usb = any("usb" in outlet.kind.casefold() for outlet in battery.outlets or ())
    own = [one for one in chargers if isinstance(one, Charger) and one.for_chemistry == battery.chemistry]
    ports = [
        one
        for one in chargers
        if isinstance(one, MainsSupply) and one.output_voltage is not None and one.output_voltage.value <= USB_VOLTS
    ]
    only_usb = usb and battery.chemistry in ("lithium-ion", "lithium-polymer")
    return [*own, *(ports if only_usb else [])]


def _time(
    guide: Guide, battery: Battery, count: int, chargers: tuple[_Plugged, ...]
) -> Iterator[tuple[float, str]]:  # fmt: skip
    """Yield the time that one charger takes for all batteries of a sort, at its full current, in words."""
    own = [one for one in _charged_by(battery, chargers) if isinstance(one, Charger) and one.current is not None]
    if own and battery.charge is not None and own[0].current is not None:
        hours = count * battery.charge.value / own[0].current.value
        words = (
            f"{own[0].name} takes at least {say(guide, hours, 'hours')} to fill {named(battery.name, count)}"
            f"{', one after the other' if count > 1 else ''}."
        )
        yield hours, words
