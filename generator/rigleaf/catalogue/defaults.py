"""What is assumed where neither rig nor place nor guide says anything, each with its reason."""

import datetime as dt
import os

from rigleaf.catalogue.models.guide import Guide
from rigleaf.catalogue.models.place_fields import FIRST_YEAR, LAST_YEAR
from rigleaf.quantities import Reading

ASSUMED: dict[str, tuple[Reading, str]] = {
    "seeing": (
        Reading(2.5, "small_angle", "assumed", text="2.5 arcsec"),
        "a middling night at a low site; common practice, no source",
    ),
    "target_altitude": (
        Reading(50.0, "angle", "assumed", text="50 deg"),
        "where targets usually stand while they are photographed; common practice, no source",
    ),
    "tracking_error": (
        Reading(1.0, "small_angle", "assumed", text="1.0 arcsec"),
        "an ordinary guided night with a light mount; common practice, no source",
    ),
    "wavelength": (
        Reading(550.0, "wavelength", "assumed", text="550 nm"),
        "the middle of the visible band",
    ),
    "lost_contrast": (
        Reading(0.10, "fraction", "assumed", text="10 %"),
        "a choice of this guide: a tenth of the contrast is seen by careful eyes only",
    ),
    "focus_steps": (
        Reading(5.0, "number", "assumed", text="5"),
        "fewer leave no room for backlash and for the noise of a focus curve; common practice, no source",
    ),
    "night_cooling": (
        Reading(8.0, "temperature_step", "assumed", text="8 K"),
        "a clear night inland; common practice, no source",
    ),
    "back_focus_tolerance": (
        Reading(1.0, "optical_length", "assumed", text="1 mm"),
        "what most correctors bear before stars in the corners grow long; common practice, no source",
    ),
    "corner_light": (
        Reading(0.90, "fraction", "assumed", text="90 %"),
        "a choice of this guide: flat fields mend a tenth without harm",
    ),
    "load_margin": (
        Reading(0.20, "fraction", "assumed", text="20 %"),
        "a choice of this guide",
    ),
    "worm_share": (
        Reading(0.60, "fraction", "assumed", text="60 %"),
        "between half and two thirds, as most people load them for pictures; common practice, no source",
    ),
    "frame_margin": (
        Reading(0.10, "fraction", "assumed", text="10 %"),
        "edges are lost to dithering and to imperfect pointing; common practice, no source",
    ),
    "mosaic_overlap": (
        Reading(0.20, "fraction", "assumed", text="20 %"),
        "enough for seams to be found and evened out; common practice, no source",
    ),
    "lowest_altitude": (
        Reading(30.0, "angle", "assumed", text="30 deg"),
        "twice the air of the zenith; common practice, no source",
    ),
    "design_wind": (
        Reading(8.0, "speed", "assumed", text="8 m/s"),
        "the upper end of a fresh breeze, in which nobody opens a tube on purpose; a choice of this guide",
    ),
    "gust_factor": (
        Reading(1.5, "number", "assumed", text="1.5"),
        "gusts in open country reach about half as much again; common practice, no source",
    ),
    "tip_factor": (
        Reading(1.5, "number", "assumed", text="1.5"),
        "a choice of this guide: uneven ground, a knock and a swaying tube want their share",
    ),
    "lean": (
        Reading(6.0, "angle", "assumed", text="6 deg"),
        "a hand's breadth to the metre, for a foot that sinks, a knock, legs levelled by eye; a choice of this guide",
    ),
    "leg_width": (
        Reading(30.0, "length", "assumed", text="30 mm"),
        "between the thick and the thin section of usual legs; common practice, no source",
    ),
    "most_ballast": (
        Reading(20.0, "mass", "assumed", text="20 kg"),
        "two canisters of water; more belongs into guy lines or another tripod; a choice of this guide",
    ),
    "sensor_temperature": (
        Reading(-10.0, "temperature", "assumed", text="-10 degC"),
        "where most people keep their dark frames; common practice, no source",
    ),
    "usual_cooling": (
        Reading(20.0, "temperature_step", "assumed", text="20 K"),
        "a mild evening and a sensor at the freezing point; common practice, no source",
    ),
    "cooling_down": (
        Reading(600.0, "time", "assumed", text="10 min"),
        "two or three kelvins a minute, which spares the sensor; common practice, no source",
    ),
    "slewing": (
        Reading(0.02, "fraction", "assumed", text="2 %"),
        "a minute in the hour, with dithering; common practice, no source",
    ),
    "session": (
        Reading(3 * 3600.0, "time", "assumed", text="3 h"),
        "an evening with the Moon or a morning with the Sun; a choice of this guide",
    ),
    "battery_left": (
        Reading(0.20, "fraction", "assumed", text="20 %"),
        "a choice of this guide: draws are typical ones and batteries grow old",
    ),
    "battery_warmth": (
        Reading(0.0, "temperature_step", "assumed", text="0 K"),
        "a battery in the grass is as cold as the air; a choice of this guide",
    ),
    "lead_acid_usable": (
        Reading(0.50, "fraction", "assumed", text="50 %"),
        "emptied further it ages fast; common practice, no source",
    ),
    "lithium_usable": (
        Reading(0.90, "fraction", "assumed", text="90 %"),
        "its own electronics switch off before it is empty; common practice, no source",
    ),
    "converter": (
        Reading(0.90, "fraction", "assumed", text="90 %"),
        "what small converters reach at half load; common practice, no source",
    ),
    "starter_charge": (
        Reading(60.0, "charge", "assumed", text="60 Ah"),
        "a middling car; common practice, no source",
    ),
    "starter_share": (
        Reading(0.30, "fraction", "assumed", text="30 %"),
        "a choice of this guide: an old battery in the cold has little more to spare",
    ),
    "optic_margin": (
        Reading(2.0, "temperature_step", "assumed", text="2 K"),
        "a choice of this guide: the dew point moves by as much within an hour",
    ),
    "dew_wind": (
        Reading(0.5, "speed", "assumed", text="0.5 m/s"),
        "dew falls when the air hardly moves; common practice, no source",
    ),
    "first_night": (
        Reading(2.0, "number", "assumed", text="2"),
        "who has never done it reads, asks and looks for things; common practice, no source",
    ),
    "boot_sill": (
        Reading(650.0, "length", "assumed", text="650 mm"),
        "an estate car; vans are lower, and high cars 100 mm higher; common practice, no source",
    ),
    "table_height": (
        Reading(720.0, "length", "assumed", text="720 mm"),
        "a usual table; common practice, no source",
    ),
    "season_hours": (
        Reading(20 * 3600.0, "time", "assumed", text="20 h"),
        "a handful of clear nights among those of a month; a choice of this guide",
    ),
    "polar_error": (
        Reading(180.0, "small_angle", "assumed", text="3 arcmin"),
        "what a careful quarter of an hour at the pole sight leaves; common practice, no source",
    ),
    "guide_motion": (
        Reading(0.15, "fraction", "assumed", text="15 %"),
        "a choice of this guide: it leaves half an arcsecond to most rigs, as is common practice",
    ),
    "star_trail": (
        Reading(1.0, "number", "assumed", text="1"),
        "a choice of this guide: at worst a star then is a fifth longer than wide",
    ),
    "guide_exposure": (
        Reading(4.0, "time", "assumed", text="4 s"),
        "longer ones leave wind and gears alone for too long; common practice, no source",
    ),
    "guide_signal_to_noise": (
        Reading(20.0, "number", "assumed", text="20"),
        "a star is then found to a fortieth of its width, and no thin cloud loses it; common practice, no source",
    ),
    "guide_delay": (
        Reading(0.5, "time", "assumed", text="0.5 s"),
        "a small frame over a cable and a short pulse; common practice, no source",
    ),
    "sky_brightness": (
        Reading(20.5, "sky_brightness", "assumed", text="20.5 mag/arcsec2"),
        "a field outside a village; common practice, no source",
    ),
    "extinction_times": (
        Reading(2.0, "number", "assumed", text="2"),
        "the table is that of a high mountain, and low sites lose about twice as much",
    ),
    "transmission": (
        Reading(0.85, "fraction", "assumed", text="85 %"),
        "a few coated lenses, or two mirrors that are not new; common practice, no source",
    ),
    "read_share": (
        Reading(0.05, "fraction", "assumed", text="5 %"),
        "a choice of this guide: longer sub-exposures gain next to nothing",
    ),
    "longest_sub": (
        Reading(600.0, "time", "assumed", text="10 min"),
        "what a gust or a satellite may spoil should cost no more; common practice, no source",
    ),
    "star_kept": (
        Reading(11.0, "number", "assumed", text="11"),
        "a choice of this guide: brighter stars are few, and some short exposures save them",
    ),
    "signal_to_noise": (
        Reading(10.0, "number", "assumed", text="10"),
        "a choice of this guide: grain is then a tenth of the glow, which processing can smooth",
    ),
    "night_hours": (
        Reading(21600.0, "time", "assumed", text="6 h"),
        "what twilight, setting up and low altitude leave of a night; common practice, no source",
    ),
    "most_hours": (
        Reading(72000.0, "time", "assumed", text="20 h"),
        "a choice of this guide: four good nights",
    ),
    "frame_overhead": (
        Reading(8.0, "time", "assumed", text="8 s"),
        "download, and dithering and focusing now and then; common practice, no source",
    ),
    "padding": (
        Reading(5.0, "length", "assumed", text="5 mm"),
        "a thin layer of foam on each, a finger's breadth between two; common practice, no source",
    ),
    "on_fragile": (
        Reading(1.0, "mass", "assumed", text="1 kg"),
        "a choice of this guide: what a hand may press on a padded tube without a second thought",
    ),
    "gap_share": (
        Reading(0.70, "fraction", "assumed", text="70 %"),
        "a choice of this guide: cables are springy, and some corners stay empty",
    ),
    "line_share": (
        Reading(0.5, "fraction", "assumed", text="50 %"),
        "estimates run from a third to nearly all; from memory, no source",
    ),
}
"""Default of each choice and why; the keys are the fields of Choices."""


def choice(guide: Guide, name: str) -> Reading:
    """Return the guide's choice called ``name``, or what is assumed for want of one."""
    chosen: Reading | None = getattr(guide.choices, name)
    return chosen if chosen is not None else ASSUMED[name][0]


YEAR = 2027
"""The year of the nights where neither the guide nor the build's date says one."""


def year_of(guide: Guide) -> int:
    """Return the year whose nights are computed: the guide's, or that of SOURCE_DATE_EPOCH; never today's.

    Two builds of one guide must not differ, whenever they are made.
    """
    if guide.year is not None:
        return guide.year
    on = data_day()
    return YEAR if on is None else min(max(on.year, FIRST_YEAR), LAST_YEAR)


def data_day() -> dt.date | None:
    """Return the day of the guide's data, which SOURCE_DATE_EPOCH says; None where nobody says it, never today."""
    epoch = os.environ.get("SOURCE_DATE_EPOCH", "")
    return dt.datetime.fromtimestamp(min(int(epoch), 4_000_000_000), dt.UTC).date() if epoch.isdecimal() else None
