"""Cameras and their sensors."""

from typing import ClassVar, Literal

from pydantic import Field

from rigleaf.catalogue.models.fields import (
    Count,
    ElectronRate,
    Electrons,
    Entry,
    Fraction,
    Joint,
    OpticalLength,
    PixelCount,
    PositiveData,
    PositiveElectrons,
    PositiveOpticalLength,
    PositiveSmallLength,
    SensorOffset,
    Temperature,
    TemperatureStep,
)
from rigleaf.catalogue.models.part import Part


class Sensor(Entry):
    """One sensor."""

    pixels: PixelCount | None = Field(None, description="Pixels along the long and the short side.")
    pixel: PositiveSmallLength | None = Field(None, description="Side of a pixel.")
    mosaic: Literal["mono", "colour"] | None = Field(
        None, description="Monochrome, or colour with a mosaic of filters."
    )
    bits: Count | None = Field(None, description="Bit depth of the converter.")
    read_noise: Electrons | None = Field(None, description="Read noise at the gain that the club uses.")
    full_well: PositiveElectrons | None = Field(None, description="Full well at that gain.")
    dark_current: ElectronRate | None = Field(
        None, description="Dark current of a pixel, at the temperature in 'dark_current_at'."
    )
    dark_current_at: Temperature | None = Field(None, description="Temperature of the sensor for that dark current.")
    quantum_efficiency: Fraction | None = Field(None, description="Peak quantum efficiency.")


class SecondSensor(Sensor):
    """A guide sensor in the same body, beside the main one."""

    offset: SensorOffset | None = Field(None, description="Place of its centre from the main sensor's centre.")


class Camera(Part):
    """A camera for the main train."""

    kind: Literal["camera"] = "camera"
    draws_power: ClassVar[bool] = True
    sensor: Sensor | None = Field(None, description="The main sensor.")
    guide_sensor: SecondSensor | None = Field(None, description="A second sensor for guiding, if there is one.")
    flange_to_sensor: OpticalLength | None = Field(None, description="Distance from front flange to sensor.")
    front: Joint | None = Field(None, description="Connection towards the sky.")
    clear_aperture: PositiveOpticalLength | None = Field(None, description="Free diameter at the front.")
    cooling_depth: TemperatureStep | None = Field(
        None, description="How far below the air's temperature it cools, such as '35 K'; '0 K' says it does not."
    )
    storage: PositiveData | None = Field(None, description="Storage that is free for the frames of a night.")

    @property
    def cooled(self) -> bool:
        """Whether it is known to cool its sensor."""
        return self.cooling_depth is not None and self.cooling_depth.value > 0

    def beside_the_point(self) -> frozenset[str]:
        """Most cameras hand their frames to a computer and keep none."""
        return super().beside_the_point() | {"storage"}


class GuideCamera(Part):
    """A camera for guiding."""

    kind: Literal["guide-camera"] = "guide-camera"
    draws_power: ClassVar[bool] = True
    sensor: Sensor | None = Field(None, description="The sensor.")
    flange_to_sensor: OpticalLength | None = Field(None, description="Distance from front flange to sensor.")
    front: Joint | None = Field(None, description="Connection towards the sky.")
