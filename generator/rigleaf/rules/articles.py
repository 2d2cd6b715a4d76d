"""Parts as a checkpoint sees them: a battery, a tool, a liquid, a bag, each with the quantities that rules ask for."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from decimal import Decimal

from rigleaf.catalogue.exact import exact, spread
from rigleaf.catalogue.models.carrying import Bag, Liquid, Sundry, Tool
from rigleaf.catalogue.models.fields import Box
from rigleaf.catalogue.models.flight_fields import ArticleSort, Cells, State, Stowage
from rigleaf.catalogue.models.mounting import Counterweight, CounterweightBar, Tripod
from rigleaf.catalogue.models.part import Part
from rigleaf.catalogue.models.power import Battery
from rigleaf.quantities import Reading
from rigleaf.rules.energy import UNKNOWN, Amount, battery_energy, lithium_content, one_value

Sides = tuple[Decimal, Decimal, Decimal]

_CELLS: dict[str, Cells] = {
    "lithium-ion": "lithium-ion",
    "lithium-polymer": "lithium-ion",
    "lifepo4": "lithium-ion",
    "lithium-metal": "lithium-metal",
    "sealed lead-acid": "sealed lead-acid",
    "nimh": "dry",
    "alkaline": "dry",
}
BATTERIES: frozenset[ArticleSort] = frozenset({"installed battery", "spare battery", "power bank"})
LOOSE: frozenset[ArticleSort] = frozenset({"spare battery", "power bank"})


@dataclass(frozen=True, slots=True)
class Article:
    """One sort of thing that somebody brings to an airport, ``count`` of it.

    Attributes:
        name: what people call it.
        sort: what rules see in it.
        count: how many are carried by the party.
        part: id of the part that it was made from, empty where there is none.
        cells: chemistry as rules tell it apart; None where it is unsaid or it is no battery.
        energy: Wh of one battery. voltage: V. lithium: g of lithium in one.
        length, blade: mm. volume: l. mass: kg, packed. girth: mm, three sides in sum. laser_power: W.
        sides: outer sides of a bag in mm, longest first.
        true: states of it that rules ask for, such as "damaged". unsaid: those that may or may not be true.
        into: where it may be put, because there is a bag for it; empty where that is open.
        unsure: the field that would decide its sort, where that is unsaid.
        taken: what was assumed of it, in a sentence; empty where nothing was.
        or_else: what else somebody may see in it, where that is in doubt.
    """

    name: str
    sort: ArticleSort
    count: int = 1
    part: str = ""
    cells: Cells | None = None
    energy: Amount = UNKNOWN
    voltage: Amount = UNKNOWN
    lithium: Amount = UNKNOWN
    length: Amount = UNKNOWN
    blade: Amount = UNKNOWN
    volume: Amount = UNKNOWN
    mass: Amount = UNKNOWN
    girth: Amount = UNKNOWN
    laser_power: Amount = UNKNOWN
    sides: Sides | None = None
    true: frozenset[State] = frozenset()
    unsaid: frozenset[State] = frozenset()
    into: tuple[Stowage, ...] = ()
    unsure: str = ""
    taken: str = ""
    or_else: ArticleSort | None = None

    @property
    def places(self) -> tuple[Stowage, ...]:
        """Where it could travel: in the bags that there are for it; a loose battery of the cabin in a pocket, too."""
        bags = self.into or ("cabin", "hold")
        return ("cabin", "person", *bags[1:]) if self.sort in LOOSE and bags[0] == "cabin" else bags

    @property
    def called_otherwise(self) -> "Article":
        """The same as what else somebody may see in it; itself where nothing is in doubt."""
        return replace(self, sort=self.or_else, or_else=self.sort) if self.or_else is not None else self


def articles_of(
    part: Part, count: int = 1, *, packed_mass: Reading | None = None, into: tuple[Stowage, ...] = ()
) -> tuple[Article, ...]:
    """Return what rules see in a part; a bag with a built-in battery makes two articles.

    Args:
        part: part of the catalogue.
        count: how many of it.
        packed_mass: mass of a bag with all that is in it; without it a bag weighs between its own and its load limit.
        into: where it may be put, the cabin first; empty where that is open. A bag says by itself where it goes.
    """
    if isinstance(part, Bag) and part.goes_in in ("cabin", "hold"):
        into = (part.goes_in,)
    return tuple(replace(article, count=count, part=part.id, into=into) for article in _articles(part, packed_mass))


def _articles(part: Part, packed_mass: Reading | None) -> Iterator[Article]:
    match part:
        case Battery():
            yield _battery(part)
        case Bag():
            yield _bag(part, packed_mass)
            if part.battery is not None:
                yield _bag_battery(part, exact(part.battery))
        case Tool():
            yield _tool(part)
        case Liquid():
            yield _liquid(part)
        case Sundry(form=str(form)):
            yield Article(part.name, form, volume=_stated(part.volume))
        case Tripod():
            yield Article(part.name, "tripod")
        case Counterweight() | CounterweightBar():
            yield Article(part.name, "blunt piece")
        case _:
            yield Article(part.name, "other")


def _stated(reading: Reading | None) -> Amount:
    """Return an amount with its uncertainty; unknown where nothing is said."""
    if reading is None:
        return UNKNOWN
    least, most = spread(reading)
    return Amount(least, most, "marked", exact(reading))


def _decimal(reading: Reading | None) -> Decimal | None:
    return None if reading is None else exact(reading)


def _battery(part: Battery) -> Article:
    outlets = part.outlets or ()
    amp_hours, volts = _decimal(part.charge), _decimal(part.nominal_voltage)
    grams = _decimal(part.lithium)
    usb_only = bool(outlets) and all("usb" in outlet.kind.casefold() for outlet in outlets)
    energy = battery_energy(part.chemistry, _decimal(part.marked_energy), volts, amp_hours, cell_charge=usb_only)
    states: dict[State, bool | None] = {  # None: nobody says
        "damaged": bool(part.damaged),
        "no CCC mark": None if part.ccc_mark is None else not part.ccc_mark,
        "unmarked": None if energy.how == "unknown" else False,
    }
    # No rule says whether a pack with barrel outlets alone, for one's own instruments, is a spare or a power bank.
    doubtful = bool(outlets) and not part.installed and all("barrel" in outlet.kind.casefold() for outlet in outlets)
    return Article(
        part.name,
        "installed battery" if part.installed else "power bank" if outlets else "spare battery",
        cells=_CELLS[part.chemistry] if part.chemistry else None,
        energy=energy,
        voltage=one_value(volts, "marked") if volts is not None else UNKNOWN,
        lithium=lithium_content(None if grams is None else 1000 * grams, amp_hours),
        true=frozenset(state for state, holds in states.items() if holds),
        unsaid=frozenset(state for state, holds in states.items() if holds is None),
        taken="" if part.installed is not None else "It is taken as loose, because nothing says that it is installed.",
        or_else="spare battery" if doubtful else None,
    )


def _tool(part: Tool) -> Article:
    length, blade = _stated(part.length), _stated(part.blade)
    if part.blade is None and length.known:  # no blade is longer than its tool
        blade = Amount(Decimal(0), length.most, "unknown")
    sort: ArticleSort = "hand tool"
    match part.form:
        case "power tool" | "knife" | "laser pointer" as form:
            sort = form
        case "instrument" | "torch":
            sort = "other"
    return Article(part.name, sort, length=length, blade=blade, laser_power=_stated(part.light_power))


def _liquid(part: Liquid) -> Article:
    match part.form:
        case "compressed gas" | "fuel" as form:
            return Article(part.name, form, volume=_stated(part.volume))
    sort: ArticleSort = "flammable liquid" if part.flammable else "liquid"
    unsure = "flammable" if part.flammable is None else ""
    return Article(part.name, sort, volume=_stated(part.volume), unsure=unsure)


def sides_of(box: Box) -> Sides:
    """Return three sides in mm, longest first, clear of the noise of binary numbers below a nanometre."""
    longest, middle, shortest = sorted((Decimal(repr(round(side, 6))) for side in box), reverse=True)
    return longest, middle, shortest


def _bag(part: Bag, packed_mass: Reading | None) -> Article:
    outer = part.outer or part.packed
    sides = sides_of(outer) if outer else None
    mass = _stated(packed_mass)
    if packed_mass is None:
        own = exact(part.mass) if part.mass else Decimal(0)
        mass = Amount(own, own + exact(part.load_limit) if part.load_limit else None, "unknown")
    girth = one_value(sum(sides, Decimal(0)), "marked") if sides else UNKNOWN
    return Article(part.name, "bag", mass=mass, girth=girth, sides=sides)


def _bag_battery(part: Bag, energy: Decimal) -> Article:
    sort: ArticleSort = "removable bag battery" if part.battery_removable else "fixed bag battery"
    unsure = "battery_removable" if part.battery_removable is None else ""
    name = f"Battery built into {part.name}"
    return Article(name, sort, cells="lithium-ion", energy=one_value(energy, "marked"), unsure=unsure)
