"""Bags, cases, tools and sundries."""

from typing import Literal

from pydantic import Field

from rigleaf.catalogue.models.fields import (
    Line,
    PositiveLength,
    PositiveMass,
    PositivePower,
    PositiveTime,
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


class Tool(Part):
    """A tool."""

    kind: Literal["tool"] = "tool"
    length: PositiveLength | None = Field(None, description="Overall length.")


class Spare(Part):
    """A spare."""

    kind: Literal["spare"] = "spare"
    for_kind: Line | None = Field(None, description="What it is a spare for.")


class Liquid(Part):
    """A liquid or pressurised can."""

    kind: Literal["liquid"] = "liquid"
    volume: Volume | None = Field(None, description="Volume of the container.")
    flammable: Truth | None = Field(None, description="Whether it is flammable.")


class Sundry(Part):
    """Anything else that must not be forgotten."""

    kind: Literal["sundry"] = "sundry"
    ballast: PositiveMass | None = Field(
        None, description="What it weighs as ballast under a tripod: a canister or a bag, filled on site."
    )
    warms: PositivePower | None = Field(
        None, description="Heat that it gives an optic without electricity, tied around the tube: a pocket warmer."
    )
    warms_for: PositiveTime | None = Field(None, description="How long it gives that heat.")

    def beside_the_point(self) -> frozenset[str]:
        """Few things are ballast or warm anything."""
        return super().beside_the_point() | {"ballast", "warms", "warms_for"}
