"""Judgement of dew and cold: what the night does to glass, batteries and the cooled sensor."""

from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.dew_and_cold import cold_study, dew_study, physics
from rigleaf.chapters.dew_and_cold.evening import Evening, evening_of
from rigleaf.chapters.dew_and_cold.months import months_table
from rigleaf.chapters.dew_and_cold.night_plate import night_plate
from rigleaf.chapters.figures import Figure, Finding, Study
from rigleaf.chapters.night_out.chosen import chosen_night
from rigleaf.chapters.under_the_sky.place_sky import site_of

ID = "dew-and-cold"

HOW_TO_MEASURE: dict[str, str] = {
    "a place": "name the rig's place, or the guide's, under 'place'",
    "the place's coordinates": "state 'latitude' and 'longitude' of the place; a map shows them",
    "the place's temperature at night": (
        "leave a thermometer that keeps its minimum out for some clear nights of each season and state "
        "'night_temperature' by month"
    ),
    "the place's humidity at night": (
        "leave a hygrometer out, shaded from the sky, for some clear nights of each season and state 'night_humidity' "
        "by month"
    ),
    "the optic's aperture": "measure the free diameter of its front glass",
    "the central obstruction": "measure the holder of the second mirror across with a caliper, seen from the front",
}


def study(assembly: Assembly) -> Study:
    """Study what dew and cold do to one rig."""
    if assembly.filtered_for_the_sun:
        return Study(ID, findings=(_by_day(),))
    evening = evening_of(assembly)
    if evening is None:
        return Study(ID, findings=(_no_evening(assembly),))
    cases = dew_study.cases_of(evening)
    figures, sensor_finding = cold_study.sensor(evening)
    findings: list[Finding | None] = [
        *(dew_study.judge(case) for case in cases),
        None if cases else _no_case(assembly, evening),
        dew_study.judge_air(evening),
        cold_study.judge_batteries(evening),
        sensor_finding,
    ]
    table = months_table(evening)
    return Study(
        ID,
        (*_of_the_night(evening), *(one for case in cases for one in dew_study.figures_of(case)), *figures),
        tuple(one for one in findings if one is not None),
        (night_plate(evening, cases),),
        (table,) if table is not None else (),
    )


def _of_the_night(evening: Evening) -> list[Figure]:
    air, night = evening.air, evening.night
    coldest = float(air.temperature.min())
    found = [
        Figure("night", "Night that this is reckoned for", night.date_words, "text", "coldest", note=night.why),
        Figure("coldest", "Coldest hour while pictures are taken", coldest, "temperature", "coldest",
               note=f"at {evening.clock(float(air.instants[air.temperature.argmin()]))}"),
    ]  # fmt: skip
    if air.dew_point is None:
        return found
    soaked = evening.soaked
    sky = physics.sky_temperature(air.temperature, air.dew_point)
    return [
        *found,
        Figure("dew-point", "Dew point of the air at the end", float(air.dew_point[-1]), "temperature", "dew-point"),
        Figure("sky", "Temperature of the clear sky at the end, as glass feels it", float(sky[-1]), "temperature",
               "sky-temperature"),
        Figure("saturated", "The air itself is saturated from",
               evening.clock(soaked) if soaked is not None else "not this night", "text", "dew-point"),
    ]  # fmt: skip


def _by_day() -> Finding:
    sentence = "This rig works under the Sun: no dew falls on warm glass, and heat is the thing to shade it from."
    return Finding("dew", "sound", "Dew on the optics", sentence, (), "dew-on-glass")


def _no_evening(assembly: Assembly) -> Finding:
    """Say why nothing is known of the night."""
    title = "The night's temperature"
    place = assembly.place
    if place is None:
        return _unsaid("night", title, "a place", "coldest")
    if site_of(place) is None:
        return _unsaid("night", title, "the place's coordinates", "coldest")
    if chosen_night(assembly) is None:
        sentence = f"On the date of this rig it does not grow dark at {place.name}, so no dew and no frost is reckoned."
        return Finding("night", "unsaid", title, sentence, (), "coldest", "Choose a night that grows dark.")
    return _unsaid("night", title, "the place's temperature at night", "coldest")


def _no_case(assembly: Assembly, evening: Evening) -> Finding | None:
    """Say why no glass is judged."""
    if evening.point is None:
        return _unsaid("dew", "Dew on the optics", "the place's humidity at night", "dew-on-glass")
    optic = assembly.optic
    if optic is None:
        return None
    missing = "the optic's aperture" if optic.aperture is None else "the central obstruction"
    return _unsaid("dew", "Dew on the optics", missing, "dew-on-glass")


def _unsaid(id_: str, title: str, missing: str, method: str) -> Finding:
    what = "When dew comes to the glass" if id_ == "dew" else "What dew and cold do to this rig"
    cure = HOW_TO_MEASURE[missing]
    sentence = f"{what} cannot be told: {missing} is not given."
    if missing.endswith("coordinates"):
        sentence = sentence.replace(" is not given", " are not given")
    return Finding(id_, "unsaid", title, sentence, (), method, f"{cure[:1].upper()}{cure[1:]}.")
