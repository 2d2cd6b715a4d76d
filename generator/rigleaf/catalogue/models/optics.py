"""Optics, correctors and what goes in front of or onto a tube."""

from typing import ClassVar, Literal

from pydantic import Field

from rigleaf.catalogue.models.fields import (
    Entry,
    Fraction,
    Joint,
    Length,
    Line,
    Number,
    OpticalLength,
    PositiveLength,
    PositiveNumber,
    PositiveOpticalLength,
    Reference,
    Time,
    Truth,
)
from rigleaf.catalogue.models.part import Part

TubeMaterial = Literal["aluminium", "carbon fibre", "steel", "invar", "brass", "plastic"]


class BackFocus(Entry):
    """Distance that an optic or corrector wants behind it."""

    distance: PositiveOpticalLength | None = Field(
        None, description="Required distance to the sensor, with tolerance: '55 mm +- 0.5 mm'."
    )
    counts_from: Line | None = Field(
        None, description="The surface it counts from, such as 'shoulder of the rear thread'."
    )


class Optic(Part):
    """A telescope tube or a camera lens."""

    kind: Literal["optic"] = "optic"
    form: Literal["refractor", "newtonian", "ritchey-chretien", "cassegrain", "lens"] | None = Field(
        None, description="Principle of the optic."
    )
    aperture: PositiveLength | None = Field(None, description="Clear diameter of the entrance pupil.")
    focal_length: PositiveOpticalLength | None = Field(None, description="Focal length without corrector or reducer.")
    central_obstruction: OpticalLength | None = Field(
        None, description="Diameter of the central obstruction; 0 mm says there is none."
    )
    transmission: Fraction | None = Field(
        None, description="Part of the light that reaches the focus, obstruction not counted."
    )
    image_circle: PositiveOpticalLength | None = Field(None, description="Diameter of the corrected image circle.")
    back_focus: BackFocus | None = Field(
        None, description="Distance that the optic wants between its rear and the sensor."
    )
    rear: Joint | None = Field(None, description="Connection at the rear.")
    rear_clear_aperture: PositiveOpticalLength | None = Field(None, description="Free diameter of the rear connection.")
    tube_length: PositiveLength | None = Field(
        None,
        description="Length that carries the focus: objective or mirror to focal plane side of the tube.",
    )
    dew_shield: Length | None = Field(
        None, description="Length by which tube or dew shield stands out beyond the front glass; '0 mm' says none."
    )
    tube_diameter: PositiveLength | None = Field(
        None, description="Outer diameter of the tube or dew shield, whichever is larger."
    )
    primary_focal_ratio: PositiveNumber | None = Field(
        None, description="Focal ratio of the primary mirror, in a two-mirror telescope."
    )
    mirror_spacing: PositiveOpticalLength | None = Field(
        None, description="Distance between the mirrors, in a two-mirror telescope."
    )
    tube_material: TubeMaterial | None = Field(None, description="What the tube is made of.")
    needs_collimation: Truth | None = Field(None, description="Whether it must be collimated in the field.")
    cool_down: Time | None = Field(None, description="Time that the optic needs to reach the air's temperature.")
    dovetail: PositiveLength | None = Field(None, description="Width of the dovetail plate fitted to it.")
    sun_filter: Reference | None = Field(
        None, examples=["front-filter-65"], description="Id of the front filter that fits this optic."
    )

    def beside_the_point(self) -> frozenset[str]:
        """A telescope without a second mirror has no spacing of mirrors; few optics draw power or look at the Sun."""
        spared = super().beside_the_point() | {"sun_filter"}
        if self.form not in (None, "ritchey-chretien", "cassegrain"):
            spared |= {"primary_focal_ratio", "mirror_spacing"}
        return spared


class Corrector(Part):
    """A flattener, coma corrector, reducer or extender."""

    kind: Literal["corrector"] = "corrector"
    factor: PositiveNumber | None = Field(
        None, description="Factor on the focal length: 0.8 reduces, 1.0 flattens only, 2 extends."
    )
    back_focus: BackFocus | None = Field(None, description="Distance that it wants between its rear and the sensor.")
    front: Joint | None = Field(None, description="Connection towards the sky.")
    rear: Joint | None = Field(None, description="Connection towards the sensor.")
    clear_aperture: PositiveOpticalLength | None = Field(None, description="Free diameter at the rear.")
    image_circle: PositiveOpticalLength | None = Field(
        None, description="Diameter of the corrected image circle behind it."
    )
    optical_length: OpticalLength | None = Field(
        None, description="Length along the light from front joint to rear joint."
    )
    made_for: tuple[Reference, ...] = Field(
        (), description="Ids of the optics that it is made for; left out where it suits any."
    )

    def beside_the_point(self) -> frozenset[str]:
        """An extender suits any optic."""
        return super().beside_the_point() | {"made_for"}


class FrontFilter(Part):
    """A full-aperture filter that goes in front of an optic, for the Sun."""

    kind: Literal["front-filter"] = "front-filter"
    clear_aperture: PositiveOpticalLength | None = Field(None, description="Free diameter.")
    fits_outer_diameter: PositiveLength | None = Field(
        None, description="Outer diameter of the tube or hood that it slips over."
    )
    optical_density: Number | None = Field(None, description="Optical density in visible light.")
    certified_for: Line | None = Field(None, description="What its certificate says, in the certificate's words.")


class DewHeater(Part):
    """A heated band around an optic."""

    kind: Literal["dew-heater"] = "dew-heater"
    draws_power: ClassVar[bool] = True
    fits_outer_diameter: PositiveLength | None = Field(
        None, description="Largest outer diameter that the band closes around."
    )
    front_of: Reference | None = Field(
        None, examples=["small-refractor"], description="Id of the optic that it is cut for."
    )

    def beside_the_point(self) -> frozenset[str]:
        """A band need not be cut for one optic."""
        return super().beside_the_point() | {"front_of"}


class GuideScope(Part):
    """A small telescope that serves a guide camera."""

    kind: Literal["guide-scope"] = "guide-scope"
    aperture: PositiveLength | None = Field(None, description="Clear diameter.")
    focal_length: PositiveOpticalLength | None = Field(None, description="Focal length.")
    dew_shield: Length | None = Field(
        None, description="Length by which tube or dew shield stands out beyond the front glass; '0 mm' says none."
    )
    tube_diameter: PositiveLength | None = Field(
        None, description="Outer diameter of the tube or dew shield, whichever is larger."
    )
    rear: Joint | None = Field(None, description="Connection at the rear.")
    back_focus: BackFocus | None = Field(None, description="Distance that it wants between its rear and the sensor.")
