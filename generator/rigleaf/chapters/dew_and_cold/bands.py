"""Which band of the club's shelf would keep a glass clear."""

from collections import Counter

from rigleaf.catalogue.models.optics import DewHeater
from rigleaf.catalogue.models.part import Part
from rigleaf.catalogue.models.power import Battery, CarLead, Hub, MainsSupply
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.dew_and_cold.evening import gives
from rigleaf.chapters.dew_and_cold.glass import Glass
from rigleaf.chapters.dew_and_cold.need import fits
from rigleaf.chapters.formatting import significant
from rigleaf.chapters.power_for_the_night.outlets import asks_usb_for_12_volts, near, tap_of

HAND_WARMER_W = 2.0
"""What a chemical hand warmer gives for some hours; common practice, no source."""


def watts_in_words(watts: float) -> str:
    """Return a power with as many digits as such an estimate deserves."""
    return f"{significant(watts, 2 if watts >= 1 else 1)}\u00a0W"


def band_from_shelf(assembly: Assembly, glass: Glass, watts: float) -> DewHeater | None:
    """Return the shortest of the club's free bands that closes around the tube and gives the watts."""
    used = Counter[str]()
    for item in assembly.items:
        used[item.part.id] += item.count
    fit = [
        (part.front_of is None, part.fits_outer_diameter.value if part.fits_outer_diameter else 0.0, part.id, part)
        for part in assembly.catalogue.of_kind(DewHeater)
        if (part.fits_outer_diameter is not None or part.front_of is not None)
        and (1 if part.owned is None else part.owned) > used[part.id]
        and fits(part, glass)
        and (gives(part) or 0.0) >= watts
    ]
    return min(fit)[3] if fit else None


def fed(assembly: Assembly, band: DewHeater) -> bool:
    """Say whether a source of the rig has an outlet of a band's voltage; what is unsaid may have one.

    The 12 V that a USB-C outlet may give when it is asked are nothing to count on.
    """
    volts = band.power.voltage.value if band.power is not None and band.power.voltage is not None else None
    sources = [item.part for item in assembly.items if _feeds_others(item.part)]
    return not sources or any(_gives_volts(assembly, part, volts, band) for part in sources)


def _feeds_others(part: Part) -> bool:
    """Say whether a part is a source with outlets; a battery of which nothing is known may have some."""
    if isinstance(part, Battery):
        return not part.installed and (bool(part.outlets) or part.nominal_voltage is None)
    return isinstance(part, MainsSupply | CarLead | Hub)


def _gives_volts(assembly: Assembly, source: Part, volts: float | None, band: DewHeater) -> bool:
    if isinstance(source, Battery | Hub) and source.outlets:
        tap = tap_of(assembly, source, volts, band, None)
        return tap.outlet is not None and not asks_usb_for_12_volts(tap)
    if isinstance(source, MainsSupply):
        return near(source.output_voltage.value if source.output_voltage is not None else None, volts)
    return True


def remedy(assembly: Assembly, glass: Glass, watts: float) -> tuple[str, tuple[str, ...]]:
    """Return what would keep a glass clear, and the parts that it names."""
    band = band_from_shelf(assembly, glass, watts)
    warm = glass.tube_diameter and watts <= HAND_WARMER_W
    warmer = " A chemical hand warmer under a rubber band does as well for some hours." if warm else ""
    if band is not None and not fed(assembly, band):
        volts = assembly.say(band.power.voltage.value, "voltage") if band.power and band.power.voltage else "that"
        why = f"no outlet of this rig surely gives {volts}"
        return f"The club's {band.name} would do, but {why}: take a battery for it too.{warmer}", (band.id,)
    if band is not None:
        most = gives(band)
        strength = f", {watts_in_words(most)}" if most is not None else ""
        girth = band.fits_outer_diameter
        around = f", closes around {assembly.say(girth.value, 'length')}" if girth is not None else ""
        return f"Fit the club's {band.name}{strength}{around}, and plan power for it.{warmer}", (band.id,)
    asked = watts_in_words(watts)
    if not glass.tube_diameter:
        words = (
            f"A heater of {asked} on the back of the mirror's holder keeps it clear; none on the shelf is made for it."
        )
        return words, ()
    girth_words = assembly.say(glass.tube_diameter, "length")
    found = f"Look for a band of {asked} or more that closes around {girth_words}; none free on the shelf does."
    return f"{found}{warmer}", ()
