"""Which outlet of a source feeds a device, at which voltage, and what its converter takes."""

from dataclasses import dataclass

from rigleaf.catalogue.models.optics import DewHeater
from rigleaf.catalogue.models.part import Part
from rigleaf.catalogue.models.power import Battery, CarLead, Hub, MainsSupply, Outlet
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.power_for_the_night.cells import CAR_VOLTAGE

FITS = (0.84, 1.21)
"""What an outlet's voltage may be, in supply voltages of the device: 12 V devices live on 10.5 V to 14.4 V. Assumed."""


@dataclass(frozen=True, slots=True)
class Tap:
    """Where a lead is plugged in.

    Attributes:
        outlet: the outlet of the source; None where the source states none.
        voltage: at the outlet, V; None where nothing says so.
        efficiency: part of the energy that passes on to the lead.
        own_draw: what the converter draws by itself, W.
        passes: whether the voltage of the source's own supply passes through, as in a plain hub.
    """

    outlet: Outlet | None
    voltage: float | None
    efficiency: float
    own_draw: float = 0.0
    passes: bool = False


def near(voltage: float | None, wanted: float | None) -> bool:
    """Say whether a device lives on a voltage; what is unsaid on either side fits."""
    return voltage is None or wanted is None or FITS[0] <= voltage / wanted <= FITS[1]


def _gives(outlet: Outlet, wanted: float | None) -> float | None:
    """Return the voltage at which an outlet feeds a device; None where it does not."""
    offered = outlet.voltage.value if outlet.voltage is not None else None
    if near(offered, wanted):
        return offered if offered is not None else wanted
    # A USB-C outlet gives 5 V and, when it is asked, more, up to its highest.
    if "usb-c" in outlet.kind.casefold() and offered is not None and wanted is not None and wanted < offered:
        return wanted
    return None


def asks_usb_for_12_volts(tap: Tap) -> bool:
    """Say whether 12 V are asked of a USB-C outlet, which need not offer them."""
    kind = tap.outlet.kind.casefold() if tap.outlet is not None else ""
    return "usb-c" in kind and tap.voltage is not None and 10 < tap.voltage < 14


def fitting_outlet(
    source: Part, wanted: float | None, fed: Part | None = None, lead: Part | None = None
) -> Outlet | None:
    """Return the outlet of a source that suits a device best, by voltage and by what is plugged in."""
    outlets = source.outlets if isinstance(source, Battery | Hub) else None
    suited = [one for one in outlets or () if _gives(one, wanted) is not None]

    def rank(outlet: Outlet) -> tuple[bool, bool, bool, float]:
        kind = outlet.kind.casefold()
        dew, car = "dew" in kind, "car" in kind
        offered = outlet.voltage.value if outlet.voltage is not None else wanted or 0.0
        return (
            dew != isinstance(fed, DewHeater),
            car != isinstance(lead, CarLead),
            not _plain(outlet, wanted),
            abs(offered - (wanted or offered)),
        )

    return min(suited, key=rank, default=None)


def _plain(outlet: Outlet, wanted: float | None) -> bool:
    """Whether an outlet gives this voltage by itself, without being asked."""
    return outlet.voltage is None or near(outlet.voltage.value, wanted)


def tap_of(assembly: Assembly, source: Part, wanted: float | None, fed: Part, lead: Part | None) -> Tap:
    """Return where a device is plugged into a source."""
    convert = assembly.choice("converter").value
    if isinstance(source, MainsSupply):
        voltage = source.output_voltage.value if source.output_voltage is not None else None
        return Tap(None, voltage, 1.0)
    if isinstance(source, CarLead):
        plain = near(CAR_VOLTAGE, wanted)
        return Tap(None, CAR_VOLTAGE if plain else wanted, 1.0 if plain else convert)
    outlet = fitting_outlet(source, wanted, fed, lead)
    own = outlet.own_draw.value if outlet is not None and outlet.own_draw is not None else 0.0
    stated = outlet.efficiency.value if outlet is not None and outlet.efficiency is not None else None
    if isinstance(source, Battery):
        if source.installed:
            return Tap(None, None, 1.0)
        if outlet is None:
            # A cell that is put into the device has neither outlet nor converter.
            bare = source.outlets is None and near(_nominal(source), wanted)
            return Tap(None, _nominal(source) if bare else wanted, 1.0 if bare else convert)
        return Tap(outlet, _gives(outlet, wanted), stated if stated is not None else convert, own)
    supply = source.power.voltage.value if source.power is not None and source.power.voltage is not None else None
    passes = near(supply, wanted) and stated is None
    voltage = _gives(outlet, wanted) if outlet is not None else wanted
    return Tap(outlet, voltage, stated if stated is not None else (1.0 if passes else convert), own, passes)


def _nominal(battery: Battery) -> float | None:
    return battery.nominal_voltage.value if battery.nominal_voltage is not None else None
