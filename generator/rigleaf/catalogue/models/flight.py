"""Rules of flight: what one published rule, or one of a carrier's own, says of which articles."""

from typing import Literal

from pydantic import Field

from rigleaf.catalogue.models.fields import Count, Entry, Id, Line, Text, Truth
from rigleaf.catalogue.models.flight_fields import (
    ArticleSort,
    Authority,
    Cells,
    Day,
    EnergyLimits,
    FlightWord,
    LengthLimits,
    LithiumLimits,
    MassLimits,
    PowerLimits,
    Read,
    Sizes,
    State,
    Stowage,
    VoltageLimits,
    VolumeLimits,
)


class RuleBody(Entry):
    """What a rule says: of which articles, where they travel, within which limits, and since when."""

    says: Text = Field(description="The rule in a plain sentence of your own words.")
    of: tuple[ArticleSort, ...] = Field(description="Sorts of articles that it speaks of.")
    where: tuple[Stowage, ...] = Field(description="Places in which it speaks of them.")
    word: FlightWord = Field(description="What it says of them there; 'stays home' bars these places only.")
    cells: tuple[Cells, ...] = Field((), description="Chemistry of the batteries that it speaks of; unsaid means all.")
    energy: EnergyLimits | None = Field(
        None, examples=["over 100 Wh up to 160 Wh"], description="Energy of one battery for which it holds."
    )
    voltage: VoltageLimits | None = Field(None, description="Nominal voltage for which it holds.")
    lithium: LithiumLimits | None = Field(
        None, examples=["up to 2 g"], description="Lithium in one lithium-metal battery for which it holds."
    )
    length: LengthLimits | None = Field(
        None, examples=["over 7 in"], description="Overall length of a tool for which it holds."
    )
    blade: LengthLimits | None = Field(
        None, examples=["up to 6 cm"], description="Length of blade or shaft, without the handle, for which it holds."
    )
    volume: VolumeLimits | None = Field(
        None, examples=["up to 100 ml"], description="Volume of the container for which it holds."
    )
    mass: MassLimits | None = Field(
        None, examples=["up to 23 kg"], description="Mass of the packed bag for which it holds."
    )
    girth: LengthLimits | None = Field(
        None, examples=["up to 158 cm"], description="Sum of the three sides of a bag for which it holds."
    )
    size: Sizes | None = Field(None, description="Outer size of a bag for which it holds.")
    laser_power: PowerLimits | None = Field(
        None, examples=["over 1 mW"], description="Power of a laser for which it holds."
    )
    otherwise: Truth = Field(
        False, description="Whether it holds only in a state of which no other rule speaks of such articles there."
    )
    only_when: tuple[State, ...] = Field((), description="It holds only for articles of which all of these are true.")
    not_when: tuple[State, ...] = Field((), description="It holds only for articles of which none of these is true.")
    most: Count | None = Field(None, description="How many of them one person may take.")
    pool: Line | None = Field(
        None, description="Name under which rules of one authority count together; unsaid counts by itself."
    )
    beyond: FlightWord = Field("stays home", description="What it says of them where there are more.")
    provided: tuple[Line, ...] = Field((), description="Conditions that come with it, each a short sentence.")
    since: Day | None = Field(None, description="First day on which it is in force; unsaid means for as long as known.")
    until: Day | None = Field(None, description="Last day on which it is in force; unsaid means until further notice.")
    section: Line | None = Field(None, description="Where in the document it stands.")
    note: Text | None = Field(None, description="What to know about it, such as where sources disagree.")


class FlightRule(RuleBody):
    """A published rule. One with the id of a built-in rule takes its place."""

    id: Id = Field(description="Name of the rule in addresses and answers.")
    authority: Authority = Field(description="Who makes it: ICAO, IATA, EU, everywhere, or a state by its two letters.")
    document: Line = Field(description="Document in which it stands.")
    edition: Line | None = Field(None, description="Edition of the document, or its day.")
    read: Read = Field(description="In what form it was read; 'no' means written down from memory.")
    confidence: Literal["high", "medium", "low"] = Field(description="How sure it is.")
