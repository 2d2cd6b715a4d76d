"""Judgement of what feeds what: voltages at the devices, currents, and what nobody has said."""

import numpy as np

from rigleaf.catalogue.models.power import Cable
from rigleaf.catalogue.wording import listed
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.figures import Finding, Verdict
from rigleaf.chapters.formatting import decimal
from rigleaf.chapters.power_for_the_night.budget import Budget
from rigleaf.chapters.power_for_the_night.draws import Device
from rigleaf.chapters.power_for_the_night.leads import ROOM, WARM, Leads, Limit, Span, fullest, lowest, resistance
from rigleaf.chapters.power_for_the_night.words import some

VOLTAGE, CURRENT, FEEDS, DRAWS = "lead-voltage", "lead-current", "night-energy", "night-energy"
ENOUGH_MM = 1500.0
"""A lead from the ground to the mount is at least so long: common practice, no source."""
METER = "Put a power meter for 12 V or for USB into its lead, and read it while it waits, works and works hardest"


def judge(assembly: Assembly, budget: Budget, found: Leads) -> list[Finding]:
    """Return the findings on leads, in the order of the page."""
    return [
        *_missing(assembly, budget),
        *_fed(budget, found),
        *_voltage(assembly, budget, found),
        *_current(assembly, budget, found),
    ]


def volts(value: float) -> str:
    """Write a voltage as finely as half-volts of room ask for."""
    return f"{decimal(value, 2)}\u00a0V"


def _missing(assembly: Assembly, budget: Budget) -> list[Finding]:
    """Name the devices whose draw is unsaid."""
    if not budget.missing:
        return []
    names, ids = some(budget.missing)
    needs = {part.name: budget.scene.heat[part.id] for part in budget.missing if part.id in budget.scene.heat}
    dew = [f"{name} up to {assembly.say(float(np.sum(need, axis=0).max()), 'power')}" for name, need in needs.items()]
    asked = f" Dew asks of {listed(dew)} there." if dew else ""
    sentence = f"Nobody has said what is drawn by {names}: the energy of the night is at least what is shown.{asked}"
    cure = f"{METER}; write the three under 'power' as idle, working and peak."
    return [Finding("draws", "unsaid", "What is drawn", sentence, ("night-energy",), DRAWS, cure, ids)]


def _fed(budget: Budget, found: Leads) -> list[Finding]:
    """Judge whether everything is fed, with enough outlets and leads."""
    wiring, title = budget.wiring, "What feeds what"
    if not wiring.groups:
        names, ids = some(device.part for device in budget.devices if device.peak is None or device.peak > 0)
        if not names:
            return []
        sentence = f"Nothing in this rig is named that could feed {names}."
        cure = "Name batteries, supplies or car leads under 'power', and under 'feeds' which lead feeds what."
        return [Finding("feeds", "unsaid", title, sentence, (), FEEDS, cure, ids)]
    faults, parts = [], []
    for source, leads, outlets in found.crowded:
        has = "1 outlet" if outlets == 1 else f"{outlets} outlets"
        faults.append(f"{leads} leads leave {source.name}, which has {has} for them")
        parts.append(source.id)
    for lead, uses, count in found.short:
        faults.append(f"{lead.name} is used {uses} times, but {count} of it go{'es' if count == 1 else ''} along")
        parts.append(lead.id)
    for source, piece, count in found.beyond:
        faults.append(f"no. {piece} of {source.name} feeds something, but {count} go{'es' if count == 1 else ''} along")
        parts.append(source.id)
    if faults:
        sentence = f"{listed(faults)}."
        cure = "Take what is missing along, or feed something from elsewhere."
        return [Finding("feeds", "fails", title, sentence[:1].upper() + sentence[1:], (), FEEDS, cure, tuple(parts))]
    if wiring.unfed:
        names, ids = some(wiring.unfed)
        sentence = f"Nothing is said to feed {names}."
        cure = "Say under 'feeds' from which battery or hub its power comes, and through which lead."
        return [Finding("feeds", "unsaid", title, sentence, (), FEEDS, cure, ids)]
    if not wiring.stated:
        sentence = "Nothing says what feeds what: all sources are taken together, and leads and outlets are not judged."
        cure = "Say which lead feeds what under 'feeds'."
        return [Finding("feeds", "unsaid", title, sentence, ("night-energy",), FEEDS, cure)]
    return []


def _voltage(assembly: Assembly, budget: Budget, found: Leads) -> list[Finding]:
    worst = lowest(found)
    if worst is None or worst.room is None or not budget.wiring.stated:
        return [usb] if (usb := _usb(found)) is not None else []
    verdict: Verdict = "fails" if worst.room < 0 else "tight" if worst.room_share < ROOM else "sound"
    if verdict == "sound" and (usb := _usb(found)) is not None:
        return [usb]
    lead, title = worst.edge.lead, "Voltage at the devices"
    way = f" through {lead.name}" if lead is not None else ""
    current, needs = assembly.say(worst.current or 0.0, "current"), assembly.say(worst.lowest or 0.0, "voltage")
    arrives = f"{volts(worst.arrives or 0.0)} arrive at {worst.edge.fed.name}{way} at {current}"
    words = f"With everything at its most, {arrives}; it needs {needs}"
    ids = (worst.edge.fed.id, *((lead.id,) if lead is not None else ()))
    unknown = [span.edge.lead for span in found.spans if span.edge.lead is not None and span.ohm is None]
    names, more = some(unknown)
    note = f" Not in this, for want of gauge or length: {names}." if unknown else ""
    silent = [span.edge.fed for span in found.spans if span.unsaid]
    note += f" Not in this, for want of a draw: {some(silent)[0]}." if silent else ""
    if verdict == "sound":
        sentence = f"{words}. Nowhere does a lead come nearer to its limit.{note}"
        return [Finding("voltage", verdict, title, sentence, ("lowest-voltage",), VOLTAGE, "", ids + more)]
    little = f"{volts(worst.room)} to spare is little, as a battery near its end gives about as much less"
    sentence = f"{words}{', so that it stops' if verdict == 'fails' else f'. {little}'}.{note}"
    cure, parts = _thicker(assembly, _culprit(found, worst))
    named = tuple(dict.fromkeys((*ids, *more, *parts)))
    return [Finding("voltage", verdict, title, sentence, ("lowest-voltage",), VOLTAGE, cure, named)]


def _usb(found: Leads) -> Finding | None:
    """Say that 12 V need not come out of a USB-C outlet."""
    if not found.usb_12v:
        return None
    edge = found.usb_12v[0]
    sentence = (
        f"{edge.fed.name} asks {edge.source.name} for 12 V through USB-C, which the standard lets a power bank offer "
        "but does not require."
    )
    cure = f"Try {edge.fed.name} at home on {edge.source.name}, with the lead that goes along."
    return Finding("voltage", "tight", "Voltage at the devices", sentence, ("lowest-voltage",), VOLTAGE, cure,
                   (edge.fed.id, edge.source.id))  # fmt: skip


def _culprit(found: Leads, worst: Span) -> Span:
    """Return the lead on the way to a device that loses most."""
    spans = {span.edge.fed.id: span for span in found.spans}
    way, edge = [worst], worst.edge
    while edge.tap.passes and edge.source.id in spans and spans[edge.source.id] not in way:
        way.append(spans[edge.source.id])
        edge = way[-1].edge
    return max(way, key=lambda span: (span.ohm or 0.0) * (span.current or 0.0))


def _thicker(assembly: Assembly, span: Span) -> tuple[str, tuple[str, ...]]:
    """Return the club's best lead with the same ends that reaches from ground to mount, in words and by its id."""
    lead = span.edge.lead
    if lead is None or not span.ohm:
        return "Feed it from an outlet of its own, by a shorter and thicker lead.", ()
    better = [
        (ohm, part)
        for part in assembly.catalogue.of_kind(Cable)
        if isinstance(lead, Cable) and part.owned != 0 and part.id != lead.id
        and part.ends == lead.ends and part.length is not None and part.length.value >= ENOUGH_MM
        and (ohm := resistance(part, WARM)) is not None and ohm < span.ohm
    ]  # fmt: skip
    if not better:
        return "Use a shorter or thicker lead, or a source of higher voltage.", ()
    ohm, part = min(better, key=lambda pair: pair[0])
    share = assembly.say(ohm / span.ohm, "fraction")
    return f"Use {part.name} instead of {lead.name}: it loses {share} as much.", (part.id, lead.id)


def _current(assembly: Assembly, budget: Budget, found: Leads) -> list[Finding]:
    worst = fullest(found)
    if worst is None or not budget.wiring.stated:
        return []
    say, title = assembly.say, "Currents"
    flows = f"{worst.part.name} with {say(worst.current, 'current')} of {say(worst.most, 'current')} {worst.what}"
    ids: tuple[str, ...] = (worst.part.id,)
    if worst.fed is None:
        cure = "Do not slew while the camera cools down and heaters run at full, or feed some of it elsewhere."
    else:
        cure = f"Feed {worst.fed.name} from an outlet that bears more, or spare it its hardest work."
        ids += (worst.fed.id,)
    if worst.share > 1:
        sentence = f"With everything at its most, too much flows: {flows}."
        return [Finding("current", "fails", title, sentence, ("largest-current",), CURRENT, cure, ids)]
    margin = assembly.choice("load_margin").value
    if worst.share > 1 - margin:
        sentence = f"With everything at its most, less than {say(margin, 'fraction')} is spare: {flows}."
        return [Finding("current", "tight", title, sentence, ("largest-current",), CURRENT, cure, ids)]
    sentence = f"With everything at its most, outlets, fuses and batteries have room. Nearest to its limit is {flows}."
    return [Finding("current", "sound", title, sentence, ("largest-current",), CURRENT, "", ids[:1])]


def limit_words(limit: Limit, say: str) -> str:
    """Write a limit as a note under its figure."""
    return f"of {say} {limit.what} of {limit.part.name}"


def known_peak(devices: tuple[Device, ...]) -> float:
    """Power of all devices at their most, W."""
    return sum(one.peak or 0.0 for one in devices)
