"""Answers in words: one sentence or two that stand alone when read aloud."""

from collections.abc import Mapping
from decimal import Decimal

from rigleaf.catalogue.models.flight_fields import Stowage
from rigleaf.rules.articles import Article
from rigleaf.rules.energy import Amount
from rigleaf.rules.rulings import Placed

PLACES: dict[Stowage, str] = {
    "cabin": "in the cabin",
    "person": "on the person",
    "hold": "in the hold",
    "gate": "in a bag that is taken at the gate",
}

_ASKS: dict[str, tuple[str, str]] = {
    "chemistry": ("its chemistry is unsaid", "Read on its label whether it is lithium-ion, lead-acid or another."),
    "voltage": ("its voltage is unsaid", "Read the nominal voltage on its label."),
    "lithium": ("the lithium in it is unsaid", "Its maker's data sheet says how many grams it holds."),
    "length": ("its length is unsaid or too close to a limit", "Measure it from end to end."),
    "blade": ("the length of its blade or shaft is unsaid", "Measure it without the handle."),
    "volume": ("the volume of its container is unsaid", "Read it on the container; what is left in it does not count."),
    "mass": ("nobody has weighed it packed", "Weigh it packed."),
    "girth": ("its outer size is unsaid", "Measure it with wheels and handles."),
    "size": ("its outer size is unsaid", "Measure it with wheels and handles."),
    "laser_power": ("the power of its light is unsaid", "Read it on its label."),
    "no CCC mark": ("nobody says whether it bears the CCC mark", "Look for the mark on its case."),
    "unmarked": ("nobody says what is marked on it", "Look for volts, ampere-hours or watt-hours on its case."),
    "flammable": ("nobody says whether it burns", "Read its label."),
    "battery_removable": ("nobody says whether its battery comes out", "Try whether the battery comes out by hand."),
}


def plain(value: Decimal) -> str:
    """Write an exact decimal without a power of ten and without needless zeros."""
    text = f"{value:f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def energy_words(energy: Amount) -> str:
    """Say what is known of an energy in Wh."""
    if energy.most is None:
        return (
            f"its energy is unsaid, and more than {plain(energy.least)} Wh" if energy.least else "its energy is unsaid"
        )
    if energy.least == energy.most:
        return f"it holds {plain(energy.least)} Wh"
    return f"it holds between {plain(energy.least)} and {plain(energy.most)} Wh, by what is said of it"


def asks(article: Article, missing: tuple[str, ...]) -> tuple[str, str]:
    """Return what is missing, and how to find it out, in words."""
    if "energy" in missing:
        return energy_words(article.energy), "Read watt-hours, or volts and ampere-hours of its cells, on its label."
    return next((_ASKS[name] for name in missing if name in _ASKS), ("something is unsaid", "Complete its entry."))


def sentence(article: Article, found: Mapping[Stowage, Placed], where: tuple[Stowage, ...]) -> str:
    """Return the answer in words, from the answers at each place and the places where it fares best."""
    chosen = found[where[0]]
    name = article.name if article.count == 1 else f"{article.name} ({article.count} of them)"
    places = _listed([PLACES[place] for place in where], "or")
    says = chosen.ruling.rule.body.says
    match chosen.word:
        case "may fly":
            words = f"{name} may fly {places}{_elsewhere(article, found, where)}"
        case "ask first":
            words = f"{name} may fly {places} once you have asked. {says}"
        case "say more":
            missing, cure = asks(article, chosen.missing)
            words = f"{name} cannot be judged: {missing}. {cure}"
        case _:
            words = f"{name} stays home. {says}"
    return " ".join((words, *_numbers(article, chosen), *([article.taken] if article.taken else ())))


def _elsewhere(article: Article, found: Mapping[Stowage, Placed], where: tuple[Stowage, ...]) -> str:
    """Say what holds in the other bag, and end the sentence."""
    for place in ("cabin", "hold"):
        one = found.get(place)
        if one is None or place in where:
            continue
        match one.word:
            case "ask first":
                return f", {PLACES[place]} only once you have asked."
            case "say more":
                missing, cure = asks(article, one.missing)
                return f". {PLACES[place].capitalize()} it cannot be judged: {missing}. {cure}"
            case _:
                return f", not {PLACES[place]}."
    return "."


def _numbers(article: Article, chosen: Placed) -> list[str]:
    """Say how many may go, where a limit of number speaks."""
    pool = chosen.ruling.pool
    if pool is None or not pool.over:
        return []
    together = "" if pool.carried == article.count else f" With the others that count, {pool.carried} are carried."
    return [f"{pool.allowed} may go.{together}".strip()]


def _listed(words: list[str], joint: str) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} {joint} {words[-1]}"
