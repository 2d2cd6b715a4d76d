"""What must hold if a rig is to run by itself: focus, guiding, power, dew, cables, meridian, weather."""

from collections.abc import Iterator

import numpy as np

from rigleaf.catalogue.models.mounting import Mount
from rigleaf.catalogue.models.power import Computer
from rigleaf.catalogue.wording import listed
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.dew_and_cold.need import heat_needs
from rigleaf.chapters.guiding_and_exposure import tracking
from rigleaf.chapters.night_out.air import air_at
from rigleaf.chapters.night_out.chosen import ChosenNight
from rigleaf.chapters.scale_and_field import focus as focus_study
from rigleaf.chapters.scale_and_field.inputs import gather
from rigleaf.chapters.setting_up.condition import Condition
from rigleaf.chapters.setting_up.leads import cables
from rigleaf.chapters.setting_up.meridian import crossings
from rigleaf.chapters.setting_up.power_margin import power
from rigleaf.chapters.setting_up.schedule import Schedule
from rigleaf.chapters.setting_up.steps import guides, sort_of

STEP = 900.0
"""Seconds between the instants at which dew is looked for."""

_MOST_STEPS = 500


def conditions(assembly: Assembly, night: ChosenNight | None, times: Schedule | None) -> list[Condition]:
    """Return every condition of running by itself; those of a night are left out where there is none."""
    found = [_focus(assembly, night, times), _tracking(assembly, night)]
    if night is not None and times is not None:
        found = [*power(assembly), *_dew(assembly, night, times), *found, _meridian(assembly, night, times)]
    found += [cables(assembly), *_always(assembly, night)]
    return [one for one in found if one is not None]


def _focus(assembly: Assembly, night: ChosenNight | None, times: Schedule | None) -> Condition:
    name = "Focus"
    inputs = gather(assembly)
    if inputs.known is None:
        why = f"Whether it keeps its focus cannot be told: {listed(inputs.missing)} not given."
        return Condition(name, "unsaid", why, "its focus is unsaid", "Say what the chapter on scale and field misses.")
    part = focus_study.focus(assembly, inputs.known)
    judged = {one.id: one for one in part.findings}
    motor, drift = judged.get("motor"), judged.get("temperature")
    if assembly.focuser_motor is not None:
        if motor is None or motor.verdict in ("sound", "tight"):
            return Condition(name, "holds", "A motor can focus again as the air cools, if the computer is told to.")
        if motor.verdict == "fails":
            return Condition(name, "look in", motor.sentence, "its motor is too coarse to focus by", motor.remedy,
                             motor.parts)  # fmt: skip
        return Condition(name, "unsaid", motor.sentence, "what its motor can do is unsaid", motor.remedy)
    if drift is None or drift.verdict == "sound":
        return Condition(name, "holds", drift.sentence if drift else "Nothing moves its focus.")
    degrees = next((one.value for one in part.figures if one.id == "refocus-after"), None)
    if drift.verdict == "unsaid" and assembly.optic is not None and assembly.optic.form == "lens":
        why = "A lens has no motor here and moves with the air in its own way: look at a star in a frame each hour."
        return Condition(name, "look in", why, "nobody refocuses the lens", "Tape the ring down, and look at a frame.")
    if drift.verdict == "unsaid" or not isinstance(degrees, float):
        return Condition(name, "unsaid", drift.sentence, "its drift of focus is unsaid", drift.remedy, drift.parts)
    every = _how_often(assembly, night, times, degrees)
    often = f", about every {assembly.say(every, 'time')}" if every is not None else ""
    why = f"No motor, and {assembly.say(degrees, 'temperature_step')} of cooling use up the depth of focus{often}."
    return Condition(name, "look in", why, f"focus must be set by hand{often}", drift.remedy, drift.parts,
                     every=every)  # fmt: skip


def _how_often(
    assembly: Assembly, night: ChosenNight | None, times: Schedule | None, degrees: float
) -> float | None:  # fmt: skip
    """Return how long in s the air takes to change by so many degrees; None where that is unsaid."""
    if night is None or times is None or times.last <= times.first:
        return None
    air = air_at(assembly, night, np.array([times.first, times.last]))
    fall = float(air.temperature[0] - air.temperature[-1]) if air is not None else 0.0
    return degrees / fall * (times.last - times.first) if fall > 0 else None


def _tracking(assembly: Assembly, night: ChosenNight | None) -> Condition | None:
    mount = next(assembly.parts(Mount, "mount"), None)
    sort = sort_of(assembly)
    if mount is None or sort.turning:
        hours_long = "nothing holds the frame for hours"
        why = f"{hours_long.capitalize()}: " + (
            "the field turns, and pointing is corrected by hand." if mount is not None else "no mount is named."
        )
        return Condition(
            "Frame",
            "look in",
            why,
            "nothing holds the frame for hours",
            "Centre it again each half hour.",
            every=1800.0,
        )
    if sort.guides:
        why = "It guides; a cloud that hides the guide star ends that, so let the program wait and find it again."
        return Condition("Frame", "holds", why)
    known = gather(assembly).known
    if known is None:
        return None
    error = assembly.choice("polar_error").value / 60
    drift = 60 * tracking.declination_drift(error)
    room = assembly.choice("frame_margin").value * known.height * 1000 / known.pixel * known.scale
    hours = room / drift if drift > 0 else float("inf")
    span = night.hours if night is not None else 0.0
    moved = assembly.say(drift, "small_angle")
    lasts = f"{assembly.say(error, 'tilt')} of polar error move the frame by up to {moved} an hour"
    if hours >= span:
        return Condition("Frame", "holds", f"Not guided, but {lasts}, less in the night than its margin.")
    cure = "Centre it again as often as that, or guide."
    often = assembly.say(hours * 3600, "time")
    blind = " It has a guide camera, which nothing uses." if guides(assembly) and not sort.bright else ""
    why = f"Not guided: {lasts}, and its margin is used up in {often}.{blind}"
    return Condition("Frame", "look in", why, f"the frame drifts out of its margin in {often}", cure,
                     every=hours * 3600)  # fmt: skip


def _dew(assembly: Assembly, night: ChosenNight, times: Schedule) -> Iterator[Condition]:
    count = min(max(2, int((times.last - times.first) / STEP) + 1), _MOST_STEPS)
    air = air_at(assembly, night, np.linspace(times.first, times.last, count))
    if air is None or air.dew_point is None:
        if not sort_of(assembly).day:
            why = f"Whether it stays dry cannot be told: {night.place.name} states no temperature or humidity."
            cure = "State 'night_temperature' and 'night_humidity' of the place, from a weather service's averages."
            yield Condition("Dew", "unsaid", why, "its dew is unsaid", cure)
        return
    wet = False
    for need in heat_needs(assembly, air):
        if need.reached is None:
            continue
        heat = need.heater.power if need.heater is not None else None
        most = (heat.peak or heat.working) if heat is not None else None
        asked = float(need.watts.max())
        at = f"from {night.clock(need.reached)} on" if need.reached > times.first else "from the start"
        if need.heater is None:
            wet = True
            instead = f", but the {need.warmer.name}, which cools in some hours" if need.warmer is not None else ""
            why = f"{need.optic.name} is at the dew point {at} and has no heater{instead}."
            yield Condition("Dew", "look in", why, f"dew falls on {need.optic.name} {at}",
                            f"Look at the glass of {need.optic.name} {at}, or fit a heater.",
                            (need.optic.id,))  # fmt: skip
        elif most is not None and most.value < asked:
            wet = True
            why = (
                f"{need.optic.name} asks for {assembly.say(asked, 'power')} against dew, and its heater gives "
                f"{assembly.say(most.value, 'power')}."
            )
            yield Condition("Dew", "look in", why, f"the heater on {need.optic.name} is too weak",
                            f"Look at the glass of {need.optic.name} {at}.", (need.optic.id,))  # fmt: skip
    if not wet:
        yield Condition("Dew", "holds", "No front glass falls to the dew point, or a heater stands on it.")


def _meridian(assembly: Assembly, night: ChosenNight, times: Schedule) -> Condition | None:
    mount = next(assembly.parts(Mount, "mount"), None)
    if mount is None or mount.drive not in ("strain-wave", "worm"):
        return None
    found = crossings(assembly, night, times.first, times.last)
    if not found:
        return Condition("Meridian", "holds", "No target of this rig crosses the meridian while it is photographed.")
    said = [f"{name} at {night.clock(at)}" for name, at in found]
    named = ", ".join(said[:3]) + (f" and {len(said) - 3} more" if len(said) > 3 else "")
    runs = any(assembly.parts(Computer))
    cure = (
        "Rehearse the turn by day with every cable on, then the computer may do it while you watch."
        if runs
        else "Be there at that time and turn it over by hand."
    )
    why = f"It must turn over when a target crosses the meridian: {named}."
    at = night.clock(found[0][1])
    return Condition("Meridian", "look in", why, f"the mount must turn over at the meridian, first at {at}", cure)


def _always(assembly: Assembly, night: ChosenNight | None) -> Iterator[Condition]:
    roof = "A cloud becomes a shower within the hour, and neither roof nor rain sensor is part of the rig."
    yield Condition("Rain", "look in", roof, always=True)
    wind = assembly.place.wind if assembly.place is not None and assembly.place.wind is not None else None
    speed = wind or assembly.choice("design_wind")
    gusts = f"It is reckoned for a steady {assembly.say(speed.value, 'speed')}; take it down before it blows harder."
    yield Condition("Wind", "look in", gusts, always=True)
    if night is not None and not sort_of(assembly).day:
        sunrise = float(night.nights.dawn[night.index, 0])
        at = f" at {night.clock(sunrise)}" if np.isfinite(sunrise) else ""
        why = f"A mount that tracks on past sunrise{at} can turn the tube into the Sun: park and cap it before."
        yield Condition("Dawn", "look in", why, always=True)
