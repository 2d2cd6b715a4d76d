"""A rig: what is put together, and what it is for."""

from collections.abc import Callable
from typing import Annotated, Any, Literal

from pydantic import AfterValidator, Field, WithJsonSchema, WrapValidator

from rigleaf.catalogue.models.fields import (
    Count,
    Entry,
    Id,
    Line,
    PositiveTime,
    Reference,
    SmallAngle,
    Temperature,
    Text,
    Truth,
)
from rigleaf.catalogue.models.night_fields import Steps
from rigleaf.catalogue.models.place_fields import Clock, ClockToTheSecond, Evening
from rigleaf.catalogue.models.quantity_field import refuse
from rigleaf.catalogue.wording import shown


class Use(Entry):
    """A part as a rig uses it."""

    part: Reference = Field(description="Id of the part.")
    count: Count = Field(1, description="How many of it.")
    note: Line | None = Field(None, description="What is special about it here.")


class UsedBag(Use):
    """A bag as a rig uses it."""

    holds: tuple[Reference, ...] = Field(
        (), examples=["[small-mount, field-tripod]"], description="Ids of the rig's parts that travel in it."
    )


_MOST_SHARED = 65_536
_shared: dict[tuple[type[Use], str], Use] = {}
"""Of parts of which rigs say no more than the id: these are most of a guide, and of each part one serves all rigs."""


def _from_id(model: type[Use]) -> WrapValidator:
    def use(raw: object, validate: Callable[[object], Use]) -> Use:
        if not isinstance(raw, (str, dict)):
            refuse("part", f"{shown(raw)} is not a part; write its id, or a mapping with 'part', 'count' and 'note'")
        if isinstance(raw, dict):
            return validate(raw)
        found = _shared.get((model, raw))
        if found is None:
            found = validate({"part": raw})
            if len(_shared) >= _MOST_SHARED:
                _shared.clear()
            _shared[model, raw] = found
        return found

    return WrapValidator(use)


def _use_schema(model: type[Use] = Use) -> dict[str, Any]:
    use = model.model_json_schema()
    return {"anyOf": [use["properties"]["part"], use]}


UsedPart = Annotated[Use, _from_id(Use), WithJsonSchema(_use_schema())]
BagInUse = Annotated[UsedBag, _from_id(UsedBag), WithJsonSchema(_use_schema(UsedBag))]

Purpose = Literal[
    "wide field",
    "nebulae",
    "galaxies",
    "star clusters",
    "comets",
    "Milky Way",
    "Moon",
    "Sun",
    "eclipses",
    "planets",
]
Travel = Literal["hand luggage", "hold luggage", "on foot", "bicycle", "train", "car", "stays put"]
Experience = Literal["first night", "some nights", "many nights"]


class Guiding(Entry):
    """How the rig guides, where a second sensor in the main camera does not do it."""

    scope: Reference | None = Field(None, examples=["guide-scope-30"], description="Id of the guide scope.")
    camera: Reference | None = Field(None, examples=["guide-camera-mono"], description="Id of the guide camera.")
    tracking_error: SmallAngle | None = Field(
        None,
        description="Error that is left when guided (or tracked without guiding), root mean square over both axes.",
    )


class Feed(Entry):
    """One way that power takes: from a source, through a lead to each thing that it feeds."""

    source: Reference = Field(
        description="Id of what feeds: battery, supply or car lead, or a hub, computer or camera that passes power on."
    )
    lead: Reference | None = Field(
        None, description="Id of the cable in between, one for each thing that is fed; unsaid where it is built in."
    )
    to: tuple[Reference, ...] = Field(
        examples=["[small-mount, power-hub]"], description="Ids of what it feeds; a hub may feed others in turn."
    )
    piece: Count | None = Field(
        None,
        description="Which one it is, from 1, where the source is one of several batteries of a sort. Unsaid, entries "
        "that name the same battery have one each if there are enough, and a single entry has one after the other.",
    )


class Totality(Entry):
    """When the Sun is wholly covered, as seen from the rig's place."""

    begins: ClockToTheSecond = Field(description="Time by the clocks of the place at which totality begins.")
    ends: ClockToTheSecond = Field(description="Time at which it ends.")
    source: Line | None = Field(
        None, description="Where these times come from and how good they are, in words that follow 'times'."
    )


def _one_totality(found: Totality) -> Totality:
    if not 0 < found.ends - found.begins <= LONGEST_TOTALITY:
        refuse("clock", "totality ends after it begins, and never lasts longer than eight minutes", at="ends")
    return found


LONGEST_TOTALITY = 8 * 60
"""Seconds; nowhere does one last longer than seven minutes and a half."""


class Night(Entry):
    """The night for which power, dew and times are worked out."""

    date: Evening | None = Field(
        None, description="Date of the evening; unsaid means the longest night of the guide's year."
    )
    begins: Clock | None = Field(
        None, description="Time by the clocks of the place at which pictures begin, where it is not at dusk."
    )
    hours: PositiveTime | None = Field(
        None, description="Time of taking pictures; unsaid means from dusk to dawn, or what the guide gives to the Sun."
    )
    sensor: Temperature | None = Field(None, description="Temperature at which the sensor is held.")
    totality: Annotated[Totality, AfterValidator(_one_totality)] | None = Field(
        None, description="When totality begins and ends, where a total eclipse of the Sun is what the rig is for."
    )


class Rig(Entry):
    """One rig."""

    id: Id = Field(description="Name of the rig in addresses; unique over the guide.")
    name: Line = Field(description="What people call it.")
    summary: Text | None = Field(None, description="Two or three sentences: what it is and who it suits.")
    purpose: tuple[Purpose, ...] = Field((), description="What it is for.")
    travels: tuple[Travel, ...] = Field((), description="How it travels.")
    experience: Experience | None = Field(None, description="Experience that it asks of the borrower.")
    for_training: Truth = Field(
        False, description="Whether it is kept for practice and never lent: no other page suggests it."
    )
    train: tuple[UsedPart, ...] = Field((), description="Parts that the light passes, in order from sky to sensor.")
    guiding: Guiding | None = Field(None, description="Guide scope and guide camera, and the error that is left.")
    riders: tuple[UsedPart, ...] = Field(
        (), description="What else rides on the mount, such as rings, motor, computer."
    )
    mount: Reference | None = Field(None, examples=["small-mount"], description="Id of the mount.")
    counterweights: tuple[UsedPart, ...] = Field((), description="Counterweights and their bar.")
    tripod: Reference | None = Field(None, examples=["field-tripod"], description="Id of the tripod or pier.")
    power: tuple[UsedPart, ...] = Field((), description="Batteries, supplies, leads and cables on the ground.")
    feeds: tuple[Feed, ...] = Field((), description="Which lead feeds what, from which battery, supply or hub.")
    bags: tuple[BagInUse, ...] = Field((), description="Bags and cases that it travels in.")
    worn: tuple[Reference, ...] = Field(
        (), examples=["[head-torch]"], description="Ids of parts that are worn or carried in pockets, in no bag."
    )
    loose: tuple[Reference, ...] = Field(
        (),
        examples=["[field-tripod]"],
        description="Ids of parts that travel outside all bags: in the hand, strapped on, loose in the car.",
    )
    carried: tuple[UsedPart, ...] = Field(
        (), description="What else goes along: laptop, tools, spares, filters not in the train."
    )
    night: Night | None = Field(None, description="The night for which it is reckoned, where it is not the guide's.")
    steps: Steps | None = Field(None, description="Time that steps of setting up take with this rig.")
    targets: tuple[Reference, ...] = Field(
        (), examples=["[m31, m42]"], description="Ids of targets that it was put together for."
    )
    place: Reference | None = Field(
        None, examples=["dark-field"], description="Id of its home place; unsaid means the guide's."
    )
    notes: Text | None = Field(None, description="What the next person should know.")
