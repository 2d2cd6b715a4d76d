"""Energy of a battery as airlines count it, and lithium in a cell: exact decimals, never rounded to fit a limit.

The marked energy goes before the sum, because the maker declares it. Else it is nominal voltage times rated charge
(49 CFR 171.8), as long as cells can make that voltage; else the voltage of one cell is taken where people print the
charge of their cells; else it is unknown.
"""

from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

How = Literal["marked", "volts times ampere-hours", "cell voltage", "doubtful voltage", "unknown"]

CELL_VOLTS: dict[str, tuple[Decimal, Decimal, Decimal]] = {
    "lithium-ion": (Decimal("3.6"), Decimal("3.7"), Decimal("3.85")),
    "lithium-polymer": (Decimal("3.6"), Decimal("3.7"), Decimal("3.85")),
    "lifepo4": (Decimal("3.2"), Decimal("3.2"), Decimal("3.3")),
}
"""Nominal voltage of one cell in V: least, usual and largest that makers print. Explanations of the Korean and Chinese
rules take 3.7 V (read as reports); 3.2 V for LiFePO4 is from a table of cell voltages (read as a copy)."""

_TRADE_VOLTS = Decimal(3)
"""A LiFePO4 battery sold as "12 V" has four cells: the trade counts 3 V for each of 3.2 V."""

_MOST_CELLS = 32

FARADAY_GRAMS = Decimal("0.259")
"""Lithium in g that one Ah consumes: 6.94 g/mol x 3600 C / 96485 C/mol. No cell holds less."""

MOST_GRAMS = Decimal("0.6")
"""Lithium in g for one Ah in the most wasteful small cells. From memory: 0.1 g in a coin cell of 0.22 Ah, 0.55 g in a
camera cell of 1.5 Ah, nearly 1 g in an AA cell of 3 Ah; a quarter is added to the worst of them."""


@dataclass(frozen=True, slots=True)
class Amount:
    """A quantity that lies between ``least`` and ``most`` (None: without bound), and how it was found.

    ``usual`` is the value that most people would say, None where none can be said.
    """

    least: Decimal
    most: Decimal | None
    how: How
    usual: Decimal | None = None

    @property
    def known(self) -> bool:
        """Whether anything at all is known of it."""
        return self.most is not None

    @property
    def exact(self) -> bool:
        """Whether it is one value."""
        return self.least == self.most


UNKNOWN = Amount(Decimal(0), None, "unknown")


def one_value(value: Decimal, how: How) -> Amount:
    """Return an amount that is one value."""
    return Amount(value, value, how, value)


def battery_energy(
    chemistry: str | None,
    marked: Decimal | None,
    volts: Decimal | None,
    amp_hours: Decimal | None,
    *,
    cell_charge: bool = False,
) -> Amount:
    """Return the energy of one battery in Wh.

    Args:
        chemistry: word of the catalogue, or None where it is unsaid.
        marked: energy on the label in Wh.
        volts: nominal voltage in V.
        amp_hours: rated charge in Ah.
        cell_charge: whether a charge without a voltage is that of its cells, as on a bank with USB outlets only.
    """
    if marked is not None:
        return one_value(marked, "marked")
    if amp_hours is None:
        return UNKNOWN
    cell = CELL_VOLTS.get(chemistry or "")
    if volts is None:
        if cell is None:
            return UNKNOWN
        least, usual, most = (volt * amp_hours for volt in cell)
        return Amount(least, most, "cell voltage", usual) if cell_charge else Amount(least, None, "unknown")
    product = volts * amp_hours
    if cell is None or _cells_make(volts, cell):
        return one_value(product, "volts times ampere-hours")
    if chemistry == "lifepo4" and volts % _TRADE_VOLTS == 0:
        cells = volts / _TRADE_VOLTS
        return Amount(product, cells * cell[2] * amp_hours, "doubtful voltage", cells * cell[1] * amp_hours)
    # Perhaps the voltage of an outlet, or of a full battery: the charge may be that of one cell.
    return Amount(min(cell[0] * amp_hours, product), max(cell[2] * amp_hours, product), "doubtful voltage")


def _cells_make(volts: Decimal, cell: tuple[Decimal, Decimal, Decimal]) -> bool:
    """Say whether a whole number of cells in series has this nominal voltage."""
    return any(count * cell[0] <= volts <= count * cell[2] for count in range(1, _MOST_CELLS + 1))


def lithium_content(stated: Decimal | None, amp_hours: Decimal | None) -> Amount:
    """Return the lithium in one lithium-metal battery in g: as stated, or between bounds that its charge in Ah sets."""
    if stated is not None:
        return one_value(stated, "marked")
    if amp_hours is None:
        return UNKNOWN
    return Amount(FARADAY_GRAMS * amp_hours, MOST_GRAMS * amp_hours, "volts times ampere-hours")
