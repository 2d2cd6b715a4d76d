"""Judgement of the night's power: from the budget to figures, findings, a plate and tables."""

from rigleaf.catalogue.models.cameras import Camera
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.figures import Drawing, Figure, Finding, Study
from rigleaf.chapters.guiding_and_exposure.inputs import for_bright_things
from rigleaf.chapters.power_for_the_night import judge_batteries, judge_leads, judge_mains, months, tables
from rigleaf.chapters.power_for_the_night.budget import Budget, night_budget
from rigleaf.chapters.power_for_the_night.cells import FLOATING
from rigleaf.chapters.power_for_the_night.draws import cooler, electrical
from rigleaf.chapters.power_for_the_night.leads import Leads, fullest, leads, lowest
from rigleaf.chapters.power_for_the_night.night_plate import night_plates
from rigleaf.chapters.power_for_the_night.stores import battery_mass, figures_of
from rigleaf.chapters.power_for_the_night.words import dated, some, title
from rigleaf.chapters.under_the_sky.place_sky import site_of

ID = "power-for-the-night"
ENERGY, USABLE, COOLING = "night-energy", "battery-usable", "cooler-draw"


def study(assembly: Assembly) -> Study:
    """Study the power of one rig's night."""
    if not electrical(assembly):
        sentence = "No part of this rig uses electricity."
        return Study(ID, findings=(Finding("draws", "sound", "What is drawn", sentence, (), ENERGY),))
    budget = night_budget(assembly)
    if budget is None:
        return Study(ID, findings=(_no_night(assembly),))
    found = leads(assembly, budget)
    # The Sun, the Moon and planets take an hour or two of any night.
    yearly = not for_bright_things(assembly) and any(not one.endless for one in budget.circuits)
    year = months.months(assembly, budget) if yearly else ()
    findings = [
        *judge_batteries.judge(assembly, budget, year),
        *judge_mains.judge(assembly, budget),
        *_cold(assembly, budget),
        *judge_leads.judge(assembly, budget, found),
    ]
    drawings: tuple[Drawing, ...] = night_plates(assembly, budget) if budget.circuits else ()
    shown = [tables.by_device(budget)]
    if budget.wiring.stated and found.spans:
        shown.append(tables.by_lead(found))
    if year:
        shown.append(months.table(year))
    return Study(ID, tuple(_figures(assembly, budget, found)), tuple(findings), drawings, tuple(shown))


def _no_night(assembly: Assembly) -> Finding:
    """Say why no night can be told."""
    place = assembly.place
    cure = "Read latitude and longitude off a map or a phone and write them in places.yml, like 'latitude: 52.4 deg'."
    if place is None:
        why, cure = "neither the rig nor the guide names a place", "Write 'place:' in the rig or in guide.yml."
    elif site_of(place) is None:
        why = f"{place.name} states no latitude or no longitude"
    else:
        why = f"at {place.name} it does not grow dark on the date of this rig's night"
        cure = "Write another 'date', or 'begins' and 'hours', under 'night' in the rig."
    sentence = f"What the night draws cannot be told: {why}."
    return Finding("lasts", "unsaid", title(assembly), sentence, (), ENERGY, cure)


def _cold(assembly: Assembly, budget: Budget) -> list[Finding]:
    """Say that nobody knows how cold it is, where batteries are used by night."""
    by_day = assembly.filtered_for_the_sun
    if by_day or budget.scene.air is not None or all(one.endless for one in budget.circuits):
        return []
    name = budget.night.place.name
    say = assembly.say(FLOATING, "temperature")
    sentence = f"{name} states no temperature of its nights: batteries count as at {say}, and a cooler as usual."
    cure = "Write 'night_temperature' in places.yml, by month; a weather service has the mean of the coldest hour."
    return [Finding("cold", "unsaid", "Cold", sentence, (), USABLE, cure)]


def _camera(budget: Budget) -> Camera | None:
    return next((one.part for one in budget.devices if isinstance(one.part, Camera)), None)


def _depth(budget: Budget) -> float | None:
    """Return by how much the sensor is colder than the air at the first exposure, K; None where that is unsaid."""
    camera, air = _camera(budget), budget.scene.air
    if camera is None or cooler(camera) is None or air is None or not budget.times.capture.any():
        return None
    return float(air.temperature[budget.times.capture][0]) - budget.sensor


def _figures(assembly: Assembly, budget: Budget, found: Leads) -> list[Figure]:
    night, times = budget.night, budget.times
    least = "at least; not every draw is known" if budget.missing else ""
    when = f"{dated(assembly, budget)}, {assembly.say(night.hours, 'hours')} of pictures; {night.why}"
    on = float(times.hours[times.on].sum())
    figures = [
        Figure("night-energy", "Taken by the devices in a night", budget.energy, "energy", ENERGY,
               note=f"{least}; {when}".removeprefix("; ")),
        Figure("night-drawn", "Drawn from the sources, with losses", budget.drawn if budget.circuits else None,
               "energy", ENERGY, note=_of_drawn(budget)),
        Figure("mean-power", "Power of the devices on average while they are on", budget.energy / on if on else None,
               "power", ENERGY, note=least),
        Figure("peak-power", "Power with everything at its most", judge_leads.known_peak(budget.devices), "power",
               ENERGY, note=least),
    ]  # fmt: skip
    figures += figures_of(assembly, budget)
    mass = battery_mass(assembly)
    figures += [mass] if mass is not None else []
    needed = _depth(budget)
    if needed is not None:
        note = f"for a sensor at {assembly.say(budget.sensor, 'temperature')}"
        figures.append(Figure("cooling", "Cooling at the first exposure", max(needed, 0.0), "temperature_step", COOLING,
                              note=note))  # fmt: skip
    worst = lowest(found)
    if worst is not None:
        note = f"at {worst.edge.fed.name}, which needs {assembly.say(worst.lowest or 0.0, 'voltage')}"
        figures.append(Figure("lowest-voltage", "Voltage where least is to spare", worst.arrives, "voltage",
                              "lead-voltage", note=note))  # fmt: skip
    limit = fullest(found)
    if limit is not None:
        note = judge_leads.limit_words(limit, assembly.say(limit.most, "current"))
        figures.append(Figure("largest-current", "Current nearest to its limit", limit.current, "current",
                              "lead-current", note=note))  # fmt: skip
    return figures


def _of_drawn(budget: Budget) -> str:
    """Say what is not in the energy drawn from the sources."""
    unfed = [part for part in budget.wiring.unfed if part not in budget.missing]
    notes = ["at least; not every draw is known"] if budget.missing else []
    notes += [f"without {some(unfed)[0]}, which nothing feeds"] if unfed else []
    return "; ".join(notes)
