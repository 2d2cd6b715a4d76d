"""A journey: who travels with which rigs, on which legs, to which place."""

from typing import Literal

from pydantic import Field

from rigleaf.catalogue.models.fields import Count, Entry, Id, Line, Reference, Text, Truth
from rigleaf.catalogue.models.flight_fields import StateCode
from rigleaf.catalogue.models.place_fields import Evening
from rigleaf.catalogue.models.rig import UsedPart

Means = Literal["plane", "train", "bus", "ship", "car", "bicycle", "foot"]
Spot = Literal["cabin", "hold", "on the person", "car", "sent ahead"]


class Traveller(Entry):
    """One person who travels; who it is, the public page never says."""

    id: Id = Field(description="Name of the traveller in this file.")
    called: Line = Field(description="What the page calls this person, such as 'the driver'; no name is wanted here.")


class Leg(Entry):
    """One leg, from one place to the next with one carrier."""

    date: Evening = Field(description="Day of departure.")
    leaves: Line = Field(description="Where it begins.")
    arrives: Line = Field(description="Where it ends.")
    by: Means = Field("plane", description="How it is travelled.")
    states: tuple[StateCode, ...] = Field(
        (), description="States that it touches, those of stops between included; two letters each."
    )
    carrier: Reference | None = Field(
        None, examples=["tern-air"], description="Id of the carrier that operates it, not of the one that sold it."
    )


class TripBag(Entry):
    """A bag of the journey: whose it is, where it goes and what is in it."""

    bag: Reference = Field(examples=["cabin-trolley"], description="Id of the bag.")
    traveller: Reference = Field(examples=["first"], description="Id of the traveller whose it is.")
    goes: Spot | None = Field(None, description="Where it goes; unsaid means where the bag usually goes.")
    holds: tuple[Reference, ...] = Field((), description="Ids of parts that must go in it; the rest is worked out.")


class TripNights(Entry):
    """The nights at the place."""

    first: Evening = Field(description="Date of the first evening.")
    count: Count = Field(1, description="How many nights.")
    recharging: Truth = Field(True, description="Whether batteries can be charged by day.")


class Trip(Entry):
    """One journey."""

    id: Id = Field(description="Name of the journey in addresses; unique over the guide.")
    name: Line = Field(description="What people call it.")
    summary: Text | None = Field(None, description="Two or three sentences: where to, what for.")
    travellers: tuple[Traveller, ...] = Field(description="Who travels.")
    rigs: tuple[Reference, ...] = Field((), examples=["[travel-rig]"], description="Ids of the rigs that go along.")
    extras: tuple[UsedPart, ...] = Field((), description="What else goes along.")
    without: tuple[Reference, ...] = Field((), description="Ids of the rigs' parts that stay at home.")
    worn: tuple[Reference, ...] = Field((), description="Ids of parts that are worn or carried in pockets.")
    bags: tuple[TripBag, ...] = Field(
        (), description="The bags; unsaid means those of the rigs, all with the first traveller."
    )
    legs: tuple[Leg, ...] = Field((), description="The legs in order.")
    place: Reference | None = Field(None, examples=["dark-field"], description="Id of the place it leads to.")
    nights: TripNights | None = Field(None, description="The nights there.")
    found_there: tuple[Line, ...] = Field((), description="What can be rented or found there, one line each.")
    notes: Text | None = Field(None, description="What the travellers should know.")
