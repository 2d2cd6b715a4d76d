"""What every part may state, whatever its kind."""

from typing import ClassVar, Literal

from pydantic import ConfigDict, Field

from rigleaf.catalogue.models.fields import (
    Entry,
    Id,
    Length,
    Line,
    Mass,
    Owned,
    Power,
    Size,
    Text,
    Time,
    Truth,
    Voltage,
)


class Draw(Entry):
    """Power that a part draws, by state."""

    idle: Power | None = Field(None, description="Power drawn when switched on and waiting.")
    working: Power | None = Field(
        None, description="Typical power drawn in use (tracking, cooling held, heating at the usual setting)."
    )
    peak: Power | None = Field(None, description="Largest power drawn (slewing, cooling down, heating at full).")
    voltage: Voltage | None = Field(
        None, description="Supply voltage, such as '12 V'; '5 V' says that it is fed by USB."
    )
    lowest_voltage: Voltage | None = Field(None, description="Lowest supply voltage at which it still works.")


class Private(Entry):
    """What the club knows and the public site never shows."""

    serial: Line | None = Field(None, description="Serial number.")
    value: Line | None = Field(None, description="Insured value.")
    remarks: Text | None = Field(None, description="Remarks for the equipment officer.")


class Part(Entry):
    """One thing on the shelf."""

    id: Id = Field(description="Name of the part in addresses and in other files; unique over the guide.")
    kind: str = Field(description="What sort of part it is; decides what else may be stated.")
    name: Line = Field(description="What people call it.")
    summary: Text | None = Field(None, description="A sentence on what it is for.")
    mass: Mass | None = Field(None, description="Mass of the part as it is used, caps off.")
    packed: Size | None = Field(None, description="Outer size as packed, length x width x height.")
    padding: Length | None = Field(None, description="Padding around it in a bag, on every side.")
    fragile: Truth | None = Field(
        None, description="Whether nothing heavy may stand above it in a bag; unsaid means that its kind decides."
    )
    upright: Truth | None = Field(
        None, description="Whether its height must stay upwards in a bag; unsaid means no, but for lead-acid batteries."
    )
    soft: Truth | None = Field(
        None, description="Whether it is pressed into the gaps of a bag, as cables are; unsaid means its kind decides."
    )
    power: Draw | None = Field(None, description="Electrical power drawn, by state.")
    grip: Literal["good", "fair", "poor"] | None = Field(
        None, description="How well hands hold it: handles are good, an edge to hook fingers under is fair."
    )
    setting_up: Time | None = Field(None, description="Time that it takes to set up, where the guide's own is off.")
    owned: Owned | None = Field(None, description="How many of it the club owns.")
    asset: Line | None = Field(None, description="Asset tag on the part.")
    photo: Line | None = Field(None, description="Path of a photo (JPEG, PNG or WebP) inside the guide's folder.")
    notes: Text | None = Field(None, description="Quirks that the next person should know.")
    private: Private | None = Field(None, description="What the public site never shows.")

    draws_power: ClassVar[bool] = False
    """Whether parts of this kind use electricity, so that a page misses what they draw."""

    def beside_the_point(self) -> frozenset[str]:
        """Return the fields that a part like this one need not state, so that a page does not miss them."""
        spared = {"setting_up", "grip", "padding", "fragile", "upright", "soft"}
        return frozenset(spared if self.draws_power else {*spared, "power"})


class UnsortedPart(Part):
    """A part of unknown kind: what every part states is checked, the rest is passed over."""

    model_config = ConfigDict(extra="ignore")
