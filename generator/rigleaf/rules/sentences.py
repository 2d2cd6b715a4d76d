"""Answers in words: one sentence or two that stand alone when read aloud."""

from collections.abc import Mapping
from decimal import Decimal

from rigleaf.catalogue.models.flight_fields import Limits, Stowage
from rigleaf.catalogue.wording import listed
from rigleaf.rules.articles import BATTERIES, Article
from rigleaf.rules.energy import Amount
from rigleaf.rules.rulings import Placed

PLACES: dict[Stowage, str] = {
    "cabin": "in the cabin",
    "person": "on the person",
    "hold": "in the hold",
    "gate": "in a bag that is taken at the gate",
}

_ASKS: dict[str, tuple[str, str]] = {
    "chemistry": ("the chemistry is unsaid", "Read on the label whether it is lithium-ion, lead-acid or another."),
    "voltage": ("the voltage is unsaid", "Read the nominal voltage on the label."),
    "lithium": ("the lithium in it is unsaid", "The maker's data sheet says how many grams it holds."),
    "length": ("the length is unsaid or too close to a limit", "Measure from end to end."),
    "blade": ("the length of blade or shaft is unsaid", "Measure it without the handle."),
    "volume": ("the volume of the container is unsaid", "Read it on the container; what is left in it does not count."),
    "mass": ("the packed mass is unsaid", "Weigh before you leave, with all that goes in."),
    "girth": ("the outer size is unsaid", "Measure with wheels and handles."),
    "size": ("the outer size is unsaid", "Measure with wheels and handles."),
    "laser_power": ("the power of the light is unsaid", "Read it on the label."),
    "no CCC mark": ("nobody says whether it bears the CCC mark", "Look for the mark on the case."),
    "unmarked": ("nobody says what is marked on it", "Look for volts, ampere-hours or watt-hours on the case."),
    "flammable": ("nobody says whether it burns", "Read the label."),
    "battery_removable": ("nobody says whether its battery comes out", "Try whether the battery comes out by hand."),
}


def plain(value: Decimal) -> str:
    """Write an exact decimal without a power of ten and without needless zeros."""
    text = f"{value:f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def energy_words(energy: Amount) -> str:
    """Say what is known of an energy in Wh."""
    if energy.most is None:
        return "the energy is unsaid" + (f", and {plain(energy.least)} Wh or more" if energy.least else "")
    if energy.least == energy.most:
        return f"the energy is {plain(energy.least)} Wh"
    why = "the voltage is unsaid" if energy.how == "cell voltage" else "no row of its cells makes the stated voltage"
    return f"the energy is between {plain(energy.least)} and {plain(energy.most)} Wh, as {why}"


def kilograms(mass: Amount, limits: Limits | None) -> str:
    """Write an exact mass to 0.01 kg, or whole where rounding would carry it over a limit: 8.001 kg is not 8 kg."""
    short = mass.least.quantize(Decimal("0.01"))
    unlike = limits is not None and limits.holds(short, short) != limits.holds(mass.least, mass.least)
    return f"{plain(mass.least if unlike else short)} kg"


def consent(article: Article) -> str:
    """Say who has to agree: the carrier to batteries, gas and bags, the checkpoint to all else."""
    carrier = article.sort in BATTERIES or article.sort in ("bag", "bought seat", "gas cartridge")
    return "once the carrier has agreed" if carrier else "if the checkpoint lets it pass"


def asks(article: Article, missing: tuple[str, ...]) -> tuple[str, str]:
    """Return what is missing, and how to find it out, in words."""
    if "energy" in missing:
        return energy_words(article.energy), "Read watt-hours, or volts and ampere-hours of the cells, on the label."
    return next((_ASKS[name] for name in missing if name in _ASKS), ("something is unsaid", "Complete its entry."))


def sentence(article: Article, found: Mapping[Stowage, Placed], where: tuple[Stowage, ...], may_go: int) -> str:
    """Return the answer in words.

    Args:
        article: what was asked about.
        found: the answers at each place.
        where: the places where it fares best.
        may_go: how many may go there.
    """
    chosen = found[where[0]]
    name = article.name if article.count == 1 else f"{article.name} ({article.count} of them)"
    if article.sort == "bag" and article.mass.exact and chosen.word != "say more":
        name = f"{name} at {kilograms(article.mass, chosen.ruling.rule.body.mass)}"
    places = listed([PLACES[place] for place in where], "or")
    says = chosen.ruling.rule.body.says
    match chosen.word:
        case "may fly":
            words = f"{name} may fly {places}{_elsewhere(article, found, where)}"
        case "ask first":
            words = f"{name} may fly {places} {consent(article)}{_unasked(chosen)}. {says}"
        case "say more":
            missing, cure = asks(article, chosen.missing)
            words = f"{name} cannot be judged: {missing}. {cure}"
        case _ if may_go == article.count:
            words = f"{name} may fly {places}, but not with all the rest{_together(article, chosen)}. {says}"
        case _ if may_go:
            some = f"{may_go} may fly {places}, not more"
            words = f"Of {article.count} × {article.name}, {some}{_together(article, chosen)}. {says}"
        case _:
            words = f"{name} {'stays' if article.count == 1 else 'stay'} home. {says}"
    return f"{words} {article.taken}".rstrip()


def _elsewhere(article: Article, found: Mapping[Stowage, Placed], where: tuple[Stowage, ...]) -> str:
    """Say what holds in the other bag, and end the sentence."""
    for place in ("cabin", "hold"):
        one = found.get(place)
        if one is None or place in where:
            continue
        match one.word:
            case "ask first":
                return f", {PLACES[place]} only {consent(article)}."
            case "say more":
                missing, cure = asks(article, one.missing)
                return f". {PLACES[place].capitalize()} it cannot be judged: {missing}. {cure}"
            case _:
                return f", not {PLACES[place]}."
    return "."


def _unasked(chosen: Placed) -> str:
    """Say how many need no asking, where only their number asks for it."""
    pool, body = chosen.ruling.pool, chosen.ruling.rule.body
    return f"; {pool.allowed} need no asking" if pool and pool.over and body.word == "may fly" else ""


def _together(article: Article, chosen: Placed) -> str:
    """Say how many are counted, where other articles count with this one."""
    pool = chosen.ruling.pool
    if pool is None or not pool.over or pool.carried == article.count:
        return ""
    return f": {pool.carried} are carried that count together, and {pool.allowed} may go"
