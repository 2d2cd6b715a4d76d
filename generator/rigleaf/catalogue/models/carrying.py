"""Bags, cases, tools and sundries."""

from typing import Literal

from pydantic import Field

from rigleaf.catalogue.models.fields import (
    Energy,
    Line,
    PositiveLength,
    PositiveMass,
    PositivePower,
    PositiveTime,
    Power,
    Size,
    Truth,
    Volume,
)
from rigleaf.catalogue.models.part import Part


class Bag(Part):
    """A bag or case."""

    kind: Literal["bag"] = "bag"
    inner: Size | None = Field(None, description="Inner size.")
    outer: Size | None = Field(None, description="Outer size, wheels and handles counted.")
    load_limit: PositiveMass | None = Field(None, description="Largest mass that it may carry.")
    goes_in: Literal["cabin", "hold", "car"] | None = Field(None, description="Where it usually travels.")
    battery: Energy | None = Field(None, description="Energy of a battery that is built into it, such as a tracker's.")
    battery_removable: Truth | None = Field(None, description="Whether that battery can be taken out by hand.")

    def beside_the_point(self) -> frozenset[str]:
        """Few bags have a battery; one that has should say whether it comes out."""
        spared = super().beside_the_point() | {"battery"}
        return spared if self.battery is not None else spared | {"battery_removable"}


class Tool(Part):
    """A tool."""

    kind: Literal["tool"] = "tool"
    form: Literal["hand tool", "power tool", "knife", "laser pointer", "instrument", "torch"] | None = Field(
        None, description="What sort of tool it is; unsaid, airports are taken to see a hand tool in it."
    )
    length: PositiveLength | None = Field(None, description="Overall length.")
    blade: PositiveLength | None = Field(
        None, description="Length of its longest blade or shaft, without the handle; many airports stop more than 6 cm."
    )
    light_power: Power | None = Field(None, examples=["1 mW"], description="Light that a laser pointer sends out.")

    def beside_the_point(self) -> frozenset[str]:
        """Only hand tools are judged by their blade, only lasers by their light."""
        spared = super().beside_the_point()
        if self.form not in (None, "hand tool"):
            spared |= {"blade"}
        return spared if self.form == "laser pointer" else spared | {"light_power"}


class Spare(Part):
    """A spare."""

    kind: Literal["spare"] = "spare"
    for_kind: Line | None = Field(None, description="What it is a spare for.")


class Liquid(Part):
    """A liquid or pressurised can."""

    kind: Literal["liquid"] = "liquid"
    form: Literal["liquid", "paste", "compressed gas", "fuel"] | None = Field(
        None, description="What is in it; unsaid means a liquid."
    )
    volume: Volume | None = Field(None, description="Volume of the container.")
    flammable: Truth | None = Field(None, description="Whether it is flammable.")


class Sundry(Part):
    """Anything else that must not be forgotten."""

    kind: Literal["sundry"] = "sundry"
    form: Literal["cable ties", "gas cartridge", "iron hand warmer", "fuel hand warmer"] | None = Field(
        None, description="What airports see in it, where it is one of these."
    )
    volume: Volume | None = Field(None, description="Volume of a gas cartridge.")
    ballast: PositiveMass | None = Field(
        None, description="What it weighs as ballast under a tripod: a canister or a bag, filled on site."
    )
    warms: PositivePower | None = Field(
        None, description="Heat that it gives an optic without electricity, tied around the tube: a pocket warmer."
    )
    warms_for: PositiveTime | None = Field(None, description="How long it gives that heat.")

    def beside_the_point(self) -> frozenset[str]:
        """Most sundries are none of the things that airports ask about; few are ballast or warm anything."""
        spared = super().beside_the_point() | {"form", "ballast", "warms", "warms_for"}
        return spared if self.form == "gas cartridge" else spared | {"volume"}
