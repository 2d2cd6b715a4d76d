"""Mounts, weights, tripods and what joins them."""

from typing import ClassVar, Literal

from pydantic import Field

from rigleaf.catalogue.models.fields import (
    Joint,
    Length,
    Line,
    Mass,
    PositiveLength,
    PositiveMass,
    PositiveTime,
    SmallAngle,
    Torque,
    Truth,
)
from rigleaf.catalogue.models.part import Part


class Mount(Part):
    """What turns with the sky."""

    kind: Literal["mount"] = "mount"
    draws_power: ClassVar[bool] = True
    drive: Literal["strain-wave", "worm", "star-tracker", "alt-azimuth"] | None = Field(
        None, description="Principle of the drive."
    )
    mass: Mass | None = Field(None, description="Mass of the head, without tripod, bar and weights.")
    capacity: PositiveMass | None = Field(None, description="Load that it carries without a counterweight.")
    capacity_with_counterweight: PositiveMass | None = Field(
        None, description="Load that it carries with a counterweight."
    )
    rated_torque: Torque | None = Field(None, description="Rated torque of the right-ascension axis.")
    periodic_error: SmallAngle | None = Field(None, description="Periodic error, peak to peak.")
    period: PositiveTime | None = Field(None, description="Period of that error.")
    saddles: tuple[PositiveLength, ...] | None = Field(None, description="Dovetail widths that the saddle takes.")
    base: Joint | None = Field(None, description="Thread of the base.")
    counterweight_bar: PositiveLength | None = Field(
        None, description="Diameter of the counterweight bar that it takes."
    )
    bar_start: PositiveLength | None = Field(
        None, description="Distance from the polar axis at which the usable part of the bar begins."
    )
    saddle_distance: PositiveLength | None = Field(
        None, description="Distance of the saddle from the polar axis; of an alt-azimuth mount, from its upright axis."
    )
    hinge_height: PositiveLength | None = Field(
        None,
        description="Height of the hinge of the latitude above the base; of an alt-azimuth mount, of its level axis.",
    )
    polar_length: Length | None = Field(
        None, description="Distance along the polar axis from that hinge to the declination axis."
    )

    def beside_the_point(self) -> frozenset[str]:
        """An alt-azimuth mount has no polar axis."""
        spared = super().beside_the_point()
        return spared | {"polar_length", "bar_start", "counterweight_bar"} if self.drive == "alt-azimuth" else spared


class Counterweight(Part):
    """A weight on the bar."""

    kind: Literal["counterweight"] = "counterweight"
    bore: PositiveLength | None = Field(None, description="Diameter of the bar that it takes.")


class CounterweightBar(Part):
    """The bar that carries the counterweight."""

    kind: Literal["counterweight-bar"] = "counterweight-bar"
    diameter: PositiveLength | None = Field(None, description="Diameter.")
    usable_length: PositiveLength | None = Field(
        None, description="Length on which a weight can stand, from the declination axis outwards."
    )


class Tripod(Part):
    """A tripod, pier or pillar."""

    kind: Literal["tripod"] = "tripod"
    form: Literal["field tripod", "photo tripod", "pier", "table"] | None = Field(
        None, description="What sort of support it is."
    )
    foot_radius: PositiveLength | None = Field(
        None, description="Distance of each foot from the centre with the legs spread."
    )
    height: PositiveLength | None = Field(None, description="Height of the head as it is used.")
    capacity: PositiveMass | None = Field(None, description="Load that it carries.")
    top: Joint | None = Field(None, description="Thread at the top.")
    leg_width: PositiveLength | None = Field(
        None, description="Mean thickness of a leg, or a third of a pillar's, as the wind meets it."
    )
    hook: Truth | None = Field(None, description="Whether ballast can hang from its middle.")


class Fixing(Part):
    """Rings, plates, saddles and heads that hold one thing on another."""

    kind: Literal["fixing"] = "fixing"
    dovetail: PositiveLength | None = Field(None, description="Width of its dovetail.")
    saddle: PositiveLength | None = Field(None, description="Dovetail width that it takes.")
    length: PositiveLength | None = Field(None, description="Length of the plate.")
    axis_height: PositiveLength | None = Field(
        None, description="Height of the tube's axis above the foot of its dovetail."
    )
    holds_diameter: PositiveLength | None = Field(None, description="Tube diameter that its rings hold.")
    note_on_use: Line | None = Field(None, description="Where it sits.")
