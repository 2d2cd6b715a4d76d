"""The guide itself, its places and its targets."""

from typing import Literal

from pydantic import Field

from rigleaf.catalogue.models.fields import (
    Altitude,
    Elevation,
    Entry,
    Fraction,
    Id,
    Latitude,
    Line,
    Longitude,
    PositiveFraction,
    PositiveNumber,
    PositiveOpticalLength,
    PositiveSmallAngle,
    Reference,
    SkyBrightness,
    SmallAngle,
    TemperatureStep,
    Text,
    Wavelength,
)


class Choices(Entry):
    """What the guide assumes or asks for, where nothing better is known."""

    seeing: PositiveSmallAngle | None = Field(
        None, description="Seeing (FWHM at the zenith, 500 nm) where a place states none."
    )
    target_altitude: Altitude | None = Field(None, description="Altitude of the target at which sampling is judged.")
    tracking_error: SmallAngle | None = Field(
        None, description="Tracking error (root mean square, both axes together) where a rig states none."
    )
    wavelength: Wavelength | None = Field(None, description="Wavelength at which optics are judged.")
    lost_contrast: PositiveFraction | None = Field(
        None,
        description="Contrast that may be left at the finest detail the pixels hold, before sampling counts "
        "as too coarse.",
    )
    focus_steps: PositiveNumber | None = Field(None, description="Motor steps wanted inside the depth of focus.")
    night_cooling: TemperatureStep | None = Field(None, description="Fall of the air's temperature over a night.")
    back_focus_tolerance: PositiveOpticalLength | None = Field(
        None, description="Tolerance of a back focus where its maker states none."
    )
    corner_light: PositiveFraction | None = Field(
        None, description="Light that the corners of the frame must keep in the image train."
    )
    load_margin: Fraction | None = Field(None, description="Part of a capacity that the guide leaves unused.")


class Place(Entry):
    """A place where rigs are used."""

    id: Id = Field(description="Name of the place in other files.")
    name: Line = Field(description="What people call it.")
    latitude: Latitude | None = Field(None, description="Latitude, north positive.")
    longitude: Longitude | None = Field(None, description="Longitude, east positive.")
    elevation: Elevation | None = Field(None, description="Height above sea level.")
    timezone: Line | None = Field(None, description="Time zone by its IANA name, such as 'Europe/Berlin'.")
    seeing: PositiveSmallAngle | None = Field(None, description="Typical seeing (FWHM at the zenith, 500 nm).")
    sky_brightness: SkyBrightness | None = Field(None, description="Sky brightness at the zenith on a moonless night.")
    notes: Text | None = Field(None, description="How to get there, cautions.")


class Target(Entry):
    """Something to photograph."""

    id: Id = Field(description="Name of the target in other files.")
    name: Line = Field(description="What people call it.")
    sort: Literal["nebula", "galaxy", "star cluster", "comet", "Milky Way", "Moon", "Sun", "planet"] | None = Field(
        None, description="What it is."
    )
    notes: Text | None = Field(None, description="What to know about it.")


class Guide(Entry):
    """The guide as a whole."""

    name: Line = Field(description="Name of the guide or the club.")
    summary: Text | None = Field(None, description="A few sentences for the home page.")
    units: Literal["metric", "imperial"] = Field("metric", description="Unit system shown first.")
    place: Reference | None = Field(None, description="Id of the home place.")
    contact: Line | None = Field(None, description="How to reach the equipment officer, as it may be shown in public.")
    choices: Choices = Field(default_factory=Choices, description="What the guide assumes or asks for.")
