"""The pieces between optic and sensor."""

from typing import ClassVar, Literal

from pydantic import Field

from rigleaf.catalogue.models.fields import (
    Count,
    Entry,
    Fraction,
    Joint,
    Line,
    OpticalLength,
    PositiveAngle,
    PositiveNumber,
    PositiveOpticalLength,
    PositiveSmallLength,
    SmallLength,
    Truth,
    Wavelength,
)
from rigleaf.catalogue.models.part import Part


class TrainPiece(Part):
    """What every piece of the train states about its place in the light."""

    optical_length: OpticalLength | None = Field(
        None, description="Length that it adds between its two joints, with tolerance."
    )
    front: Joint | None = Field(None, description="Connection towards the sky.")
    rear: Joint | None = Field(None, description="Connection towards the sensor.")
    clear_aperture: PositiveOpticalLength | None = Field(None, description="Free diameter for the light.")


class FocuserMotor(Part):
    """A motor on the focuser."""

    kind: Literal["focuser-motor"] = "focuser-motor"
    draws_power: ClassVar[bool] = True
    step: PositiveSmallLength | None = Field(None, description="Travel of the focuser for one step.")
    backlash: SmallLength | None = Field(None, description="Travel lost when the direction turns.")


class Rotator(TrainPiece):
    """A motorised or hand-turned rotator."""

    kind: Literal["rotator"] = "rotator"
    draws_power: ClassVar[bool] = True
    motorised: Truth | None = Field(None, description="Whether a motor turns it.")
    step: PositiveAngle | None = Field(None, description="Smallest turn.")


class FilterDrawer(TrainPiece):
    """A drawer that takes one filter at a time."""

    kind: Literal["filter-drawer"] = "filter-drawer"
    filter_size: Line | None = Field(None, description="Filters that it takes, such as '2 in cell' or '36 mm disc'.")


class FilterWheel(TrainPiece):
    """A wheel of filters."""

    kind: Literal["filter-wheel"] = "filter-wheel"
    draws_power: ClassVar[bool] = True
    positions: Count | None = Field(None, description="Number of filter places.")
    filter_size: Line | None = Field(None, description="Filters that it takes, such as '36 mm disc'.")


class OffAxisPickOff(TrainPiece):
    """A prism or mirror beside the light path that feeds a guide camera."""

    kind: Literal["off-axis-pick-off"] = "off-axis-pick-off"
    prism: PositiveOpticalLength | None = Field(None, description="Width of the pick-off prism.")
    prism_offset: OpticalLength | None = Field(None, description="Distance of the prism's centre from the axis.")
    guide_port: Joint | None = Field(None, description="Connection of the guide port.")
    guide_length: OpticalLength | None = Field(
        None, description="Length along the light from prism axis to guide port."
    )


class Adapter(TrainPiece):
    """A ring that joins two different connections."""

    kind: Literal["adapter"] = "adapter"


class Spacer(TrainPiece):
    """A tube or ring that adds length."""

    kind: Literal["spacer"] = "spacer"
    shortest: OpticalLength | None = Field(None, description="Shortest length of an adjustable spacer.")
    longest: OpticalLength | None = Field(None, description="Greatest length of an adjustable spacer.")


class Shim(Part):
    """A thin ring laid into a joint."""

    kind: Literal["shim"] = "shim"
    thickness: OpticalLength | None = Field(None, description="Thickness.")
    fits_thread: PositiveOpticalLength | None = Field(None, description="Diameter of the thread that it lies on.")


class TiltPlate(TrainPiece):
    """A plate that tilts the sensor against the axis."""

    kind: Literal["tilt-plate"] = "tilt-plate"


class PassBand(Entry):
    """One band of wavelengths that a filter passes."""

    centre: Wavelength | None = Field(None, description="Centre of the band.")
    width: Wavelength | None = Field(None, description="Full width at half maximum.")
    transmission: Fraction | None = Field(None, description="Peak transmission.")


class Filter(Part):
    """A filter in drawer, wheel or cell."""

    kind: Literal["filter"] = "filter"
    bands: tuple[PassBand, ...] | None = Field(None, description="Pass bands.")
    glass_thickness: OpticalLength | None = Field(None, description="Thickness of the glass.")
    glass_index: PositiveNumber | None = Field(
        None, description="Refractive index of the glass; unsaid counts as N-BK7."
    )
    mount_size: Line | None = Field(None, description="Cell or bare size, such as '2 in cell' or '36 mm disc'.")
    clear_aperture: PositiveOpticalLength | None = Field(None, description="Free diameter.")
