"""Carriers: what an operator lets aboard beyond what states and trade lay down."""

from pydantic import Field

from rigleaf.catalogue.models.fields import Count, Entry, Id, Line, PositiveLength, PositiveMass, Size, Text
from rigleaf.catalogue.models.flight import RuleBody
from rigleaf.catalogue.models.flight_fields import Day, StateCode


class CarrierRule(RuleBody):
    """A rule of the carrier's own; the strictest of all rules counts, so it can only be stricter than the law."""

    id: Id = Field(description="Name of the rule, unique within its carrier.")


class CabinBags(Entry):
    """What a carrier allows each person in the cabin."""

    size: Size | None = Field(None, description="Largest outer size of a bag, wheels and handles counted.")
    mass: PositiveMass | None = Field(None, description="Largest mass of a packed bag.")
    pieces: Count | None = Field(None, description="How many bags, a small one under the seat not counted.")
    small: Size | None = Field(None, description="Largest outer size of a small bag under the seat besides.")


class HoldBags(Entry):
    """What a carrier takes into the hold."""

    mass: PositiveMass | None = Field(None, description="Mass of a packed bag up to which nothing is charged.")
    most_mass: PositiveMass | None = Field(None, description="Mass of a packed bag beyond which it is refused.")
    girth: PositiveLength | None = Field(
        None, examples=["158 cm"], description="Length, width and height in sum, beyond which it must be asked."
    )


class Carrier(Entry):
    """An airline, by the conditions that its operating flights keep."""

    id: Id = Field(description="Name of the carrier in other files.")
    name: Line = Field(description="What people call it.")
    summary: Text | None = Field(None, description="A sentence on what is particular about it.")
    state: StateCode | None = Field(
        None, description="State that licenses it, by its two letters; that state's rules hold on all its flights."
    )
    document: Line | None = Field(None, description="Document in which its rules stand.")
    edition: Line | None = Field(None, description="Edition of the document, or its day.")
    read_on: Day | None = Field(None, description="Day on which you read it.")
    cabin: CabinBags | None = Field(None, description="Bags in the cabin.")
    hold: HoldBags | None = Field(None, description="Bags in the hold.")
    rules: tuple[CarrierRule, ...] = Field((), description="Rules of its own on batteries, tools and other things.")
    ask: Text | None = Field(None, description="How it wants to be asked, and how long before.")
    notes: Text | None = Field(None, description="What to know about it.")
