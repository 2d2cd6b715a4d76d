"""The chain of light from sky to electrons: air, optics, filters and sensor of the main train."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property

from rigleaf.catalogue.models.optics import Optic
from rigleaf.catalogue.models.train import Filter, OffAxisPickOff
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.guiding_and_exposure import exposure
from rigleaf.chapters.guiding_and_exposure.bands import Light, bands_known, light_on
from rigleaf.chapters.guiding_and_exposure.inputs import Stars
from rigleaf.chapters.image_train.train import walk
from rigleaf.chapters.scale_and_field import inputs as scale_inputs
from rigleaf.quantities import Reading


@dataclass(frozen=True)
class Optics:
    """What gathers light: aperture and obstruction in mm, transmission, and its focal length in mm."""

    aperture: float
    obstruction: float
    transmission: Reading
    focal_length: float

    @property
    def area(self) -> float:
        """Collecting area in square metres."""
        return exposure.collecting_area(self.aperture, self.obstruction)


def main_optics(assembly: Assembly, known: scale_inputs.Known) -> Optics | None:
    """Return the main optics, or None where a mirror's obstruction is unsaid."""
    optic = known.optic
    blocked = obstruction(optic)
    if blocked is None or blocked >= known.aperture:
        return None
    return Optics(known.aperture, blocked, _transmission(assembly, optic), known.focal_length)


def _transmission(assembly: Assembly, optic: Optic) -> Reading:
    stated = optic.transmission
    return stated if stated is not None and stated.value else assembly.choice("transmission")


def obstruction(optic: Optic) -> float | None:
    """Return the diameter of the central obstruction in mm; lenses have none, mirrors must say."""
    if optic.central_obstruction is not None:
        return optic.central_obstruction.value
    return 0.0 if optic.form in ("refractor", "lens") else None


def filters_before(assembly: Assembly, *, pick_off: bool = False) -> list[Filter]:
    """Return the filters in the main train, all of them or those before its pick-off."""
    train = walk(assembly)
    found = list(train.loose)
    for piece in train.pieces:
        if pick_off and isinstance(piece.part, OffAxisPickOff):
            break
        found += piece.filters
    return found


@dataclass(frozen=True)
class Sky:
    """Brightness of the sky at the rig's place, mag/arcsec2, with its standard error and where it comes from."""

    reading: Reading
    error: float
    whence: str


def sky_over(assembly: Assembly) -> Sky:
    """Return the sky brightness of the place, or what is assumed."""
    place = assembly.place
    if place is not None and place.sky_brightness is not None:
        reading = place.sky_brightness
        # A sky changes from night to night by more than most meters err.
        return Sky(reading, max(reading.uncertainty or 0.0, 0.2), f"as given for {place.name}")
    return Sky(assembly.choice("sky_brightness"), 0.5, "no place of this rig states its sky")


def electrons(
    magnitude: float, light: Light, optics: Optics, efficiency: float, air: Sequence[float] | None = None
) -> float:
    """Electrons per second from a magnitude (or, per square arcsec, from a surface brightness).

    ``air`` is what the air lets through of each slice; None where the light is measured below it, as sky glow is.
    """
    kept = air or [1.0] * len(light.slices)
    return sum(
        exposure.electron_rate(
            exposure.photons_in_band(magnitude, one.centre, one.width), optics.area, optics.transmission.value,
            one.transmission, through, efficiency,
        )
        for one, through in zip(light.slices, kept, strict=True)
    )  # fmt: skip


def air_on(assembly: Assembly, light: Light, airmass: float) -> list[float]:
    """Return the part of the light that comes through the air, for each slice of it."""
    times = assembly.choice("extinction_times").value
    return [
        exposure.air_transmission(times * exposure.mountain_extinction(one.centre), airmass) for one in light.slices
    ]


@dataclass(frozen=True)
class Chain:
    """The main sensor's chain of light: rates in e-/s on a pixel; None what is unsaid of the sensor.

    ``at_zero`` is the rate of a whole star of magnitude 0 above the air, ``sky`` that of the sky on a pixel.
    """

    optics: Optics
    light: Light
    efficiency: Reading
    air: tuple[float, ...]
    scale: float
    glow: Sky
    dark: Reading | None
    read_noise: Reading | None
    full_well: Reading | None

    @cached_property
    def sky(self) -> float:
        """Sky glow on a pixel."""
        return self.sky_under(self.glow.reading.value)

    def sky_under(self, magnitude: float) -> float:
        """Sky glow on a pixel under another sky."""
        return exposure.per_pixel(electrons(magnitude, self.light, self.optics, self.efficiency.value), self.scale)

    @property
    def background(self) -> float:
        """Sky glow and dark current, as far as this is known."""
        return self.sky + (self.dark.value if self.dark else 0.0)

    @cached_property
    def at_zero(self) -> float:
        """A star of magnitude 0."""
        return electrons(0.0, self.light, self.optics, self.efficiency.value, self.air)

    def glow_of(self, surface_brightness: float, line_share: float = 0.0) -> float:
        """An object's glow on a pixel; a share of its light in V may lie in lines that a narrow band passes whole."""
        even = exposure.per_pixel(
            electrons(surface_brightness, self.light, self.optics, self.efficiency.value, self.air), self.scale
        )
        if not line_share:
            return even
        visual = exposure.BANDS["V"]
        width = visual.wavelength_nm * visual.relative_width
        return exposure.narrowed_object(even * width / self.light.width, line_share, width, self.light.width)


def chain(assembly: Assembly, stars: Stars) -> Chain | tuple[str, ...]:
    """Return the main sensor's chain of light, or what is missing for it."""
    known, sensor = stars.known, stars.known.sensor
    # An efficiency of nothing is a slip of the pen.
    efficiency = sensor.quantum_efficiency if sensor.quantum_efficiency and sensor.quantum_efficiency.value else None
    optics, filters = main_optics(assembly, known), filters_before(assembly)
    missing = list(
        _unsaid(
            {
                "the central obstruction": optics,
                "the filter's pass bands": bands_known(filters) or None,
                "whether it sees colour": sensor.mosaic,
                "the quantum efficiency": efficiency,
            }
        )
    )
    if missing or optics is None or sensor.mosaic is None or efficiency is None:
        return tuple(missing)
    light = light_on(filters, sensor.mosaic)
    air = tuple(air_on(assembly, light, stars.airmass))
    return Chain(
        optics, light, efficiency, air, known.scale, sky_over(assembly), sensor.dark_current,
        sensor.read_noise, sensor.full_well,
    )  # fmt: skip


def _unsaid(wanted: dict[str, object]) -> Iterable[str]:
    return (name for name, value in wanted.items() if value is None)
