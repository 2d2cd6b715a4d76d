"""What makes, stores, carries and uses electrical power, and the computers."""

from typing import ClassVar, Literal

from pydantic import Field

from rigleaf.catalogue.models.fields import (
    Charge,
    Count,
    Current,
    Energy,
    Entry,
    Line,
    PositiveData,
    PositiveFraction,
    PositiveLength,
    PositiveMass,
    PositiveNumber,
    PositiveTime,
    Power,
    Temperature,
    Truth,
    Voltage,
)
from rigleaf.catalogue.models.part import Part

Chemistry = Literal[
    "lithium-ion", "lithium-polymer", "lifepo4", "lithium-metal", "sealed lead-acid", "nimh", "alkaline"
]


class Outlet(Entry):
    """One kind of outlet."""

    kind: Line = Field(description="What fits it, such as '12 V barrel 5.5 x 2.1 mm', 'USB-C' or 'car socket'.")
    count: Count | None = Field(None, description="How many of them.")
    voltage: Voltage | None = Field(None, description="Voltage at the outlet.")
    current_limit: Current | None = Field(None, description="Largest current of each.")
    efficiency: PositiveFraction | None = Field(
        None, description="Part of the battery's energy that its converter passes on; '100 %' says there is none."
    )
    own_draw: Power | None = Field(None, description="Power that its converter draws while switched on.")


class ColdPoint(Entry):
    """What a battery gives at one temperature."""

    at: Temperature = Field(description="Temperature of the battery.")
    left: PositiveFraction = Field(description="Part of its rated charge that it gives there.")


class Computer(Part):
    """A computer that runs the night."""

    kind: Literal["computer"] = "computer"
    draws_power: ClassVar[bool] = True
    form: Literal["laptop", "mini-computer", "tablet"] | None = Field(None, description="What sort of computer it is.")
    storage: PositiveData | None = Field(None, description="Storage that is free for the frames of a night.")


class Hub(Part):
    """A hub for power or data."""

    kind: Literal["hub"] = "hub"
    draws_power: ClassVar[bool] = True
    outlets: tuple[Outlet, ...] | None = Field(None, description="Outlets by kind.")
    current_limit: Current | None = Field(None, description="Largest current in all.")


class HandController(Part):
    """A hand controller."""

    kind: Literal["hand-controller"] = "hand-controller"
    draws_power: ClassVar[bool] = True


class Battery(Part):
    """A battery, loose or with outlets."""

    kind: Literal["battery"] = "battery"
    chemistry: Chemistry | None = Field(None, description="Cell chemistry.")
    nominal_voltage: Voltage | None = Field(None, description="Nominal voltage.")
    charge: Charge | None = Field(None, description="Rated charge.")
    marked_energy: Energy | None = Field(None, description="Energy as marked on the case.")
    outlets: tuple[Outlet, ...] | None = Field(None, description="Outlets by kind.")
    current_limit: Current | None = Field(None, description="Largest current in all.")
    usable: PositiveFraction | None = Field(
        None, description="Part of its charge that is used before it is spared or switches off."
    )
    in_the_cold: tuple[ColdPoint, ...] | None = Field(
        None, description="What it gives in the cold, by its maker's or the club's own test; straight between points."
    )
    rated_hours: PositiveTime | None = Field(
        None, description="Time over which its charge is rated, such as '20 h'; asked of lead-acid."
    )
    peukert: PositiveNumber | None = Field(None, description="Peukert exponent of a lead-acid battery, such as '1.2'.")
    lowest_temperature: Temperature | None = Field(None, description="Lowest temperature at which it may be used.")
    installed: Truth | None = Field(
        None,
        description="Whether it is installed in equipment; false means loose, as a spare or power bank is.",
    )

    lithium: PositiveMass | None = Field(
        None, examples=["0.1 g"], description="Lithium in a lithium-metal battery; its maker's data sheet says it."
    )
    ccc_mark: Truth | None = Field(
        None, description="Whether a power bank bears the CCC mark, which flights within China ask for."
    )
    damaged: Truth | None = Field(None, description="Whether it is damaged, swollen or recalled; it then never flies.")

    def beside_the_point(self) -> frozenset[str]:
        """Only lead-acid gives less the faster it is emptied, to a law that people use."""
        spared = super().beside_the_point() | {"in_the_cold", "lowest_temperature", "usable", "ccc_mark", "damaged"}
        if self.chemistry not in (None, "lithium-metal"):
            spared |= {"lithium"}
        if self.chemistry not in (None, "sealed lead-acid"):
            spared |= {"rated_hours", "peukert"}
        return spared


class Charger(Part):
    """A battery charger."""

    kind: Literal["charger"] = "charger"
    for_chemistry: Chemistry | None = Field(None, description="Chemistry that it charges.")
    current: Current | None = Field(None, description="Charging current.")
    mains_lowest: Voltage | None = Field(
        None, examples=["100 V"], description="Lowest mains voltage on its label, as in 'input 100-240 V'."
    )
    mains_highest: Voltage | None = Field(None, examples=["240 V"], description="Highest mains voltage on its label.")
    plug: Line | None = Field(None, examples=["C"], description="Type of its mains plug by the usual letter.")

    def beside_the_point(self) -> frozenset[str]:
        """Only those who travel abroad ask for the plug."""
        return super().beside_the_point() | {"mains_lowest", "mains_highest", "plug"}


class MainsSupply(Part):
    """A mains power supply."""

    kind: Literal["mains-supply"] = "mains-supply"
    output_voltage: Voltage | None = Field(None, description="Output voltage.")
    current_limit: Current | None = Field(None, description="Largest output current.")
    efficiency: PositiveFraction | None = Field(None, description="Efficiency.")
    outdoors: Line | None = Field(None, description="Ingress protection as marked, such as 'IP67'.")
    mains_lowest: Voltage | None = Field(
        None, examples=["100 V"], description="Lowest mains voltage on its label, as in 'input 100-240 V'."
    )
    mains_highest: Voltage | None = Field(None, examples=["240 V"], description="Highest mains voltage on its label.")
    plug: Line | None = Field(None, examples=["C"], description="Type of its mains plug by the usual letter.")

    def beside_the_point(self) -> frozenset[str]:
        """Only those who travel abroad ask for the plug."""
        return super().beside_the_point() | {"mains_lowest", "mains_highest", "plug"}


class CarLead(Part):
    """A lead from a car's socket."""

    kind: Literal["car-lead"] = "car-lead"
    fuse: Current | None = Field(None, description="Fuse in the plug.")
    gauge: Count | None = Field(None, description="American wire gauge.")
    length: PositiveLength | None = Field(None, description="Length of the lead, one way.")


class Cable(Part):
    """A cable for power or data."""

    kind: Literal["cable"] = "cable"
    carries: Literal["power", "data", "both"] | None = Field(None, description="What runs through it.")
    gauge: Count | None = Field(None, description="American wire gauge.")
    length: PositiveLength | None = Field(None, description="Length, one way.")
    ends: Line | None = Field(None, description="Plugs at its ends.")
