"""A carrier's limits and rules of its own, as rules like all others."""

from collections.abc import Iterator

from rigleaf.catalogue.exact import exact
from rigleaf.catalogue.models.carriers import Carrier
from rigleaf.catalogue.models.fields import Box
from rigleaf.catalogue.models.flight import RuleBody
from rigleaf.catalogue.models.flight_fields import FlightWord, Limits, SizeLimits, Stowage
from rigleaf.catalogue.models.place_fields import MONTHS
from rigleaf.quantities import Reading
from rigleaf.rules.articles import sides_of
from rigleaf.rules.register import Rule


def rules_of(carrier: Carrier) -> tuple[Rule, ...]:
    """Return the rules of a carrier: those that it states, and those that follow from its limits for bags."""
    own = [(rule.id, rule) for rule in carrier.rules]
    return tuple(_rule(carrier, id_, body) for id_, body in [*own, *_cabin(carrier), *_hold(carrier)])


def _rule(carrier: Carrier, id_: str, body: RuleBody) -> Rule:
    on = carrier.read_on
    read = f"by this guide on {on.day} {MONTHS[on.month - 1]} {on.year}" if on else "by this guide"
    document, edition = carrier.document or "", carrier.edition or ""
    # No id has two hyphens in a row, so that it is unlike that of any published rule.
    return Rule(f"{carrier.id}--{id_}", "carrier", carrier.name, body, document, edition, read, "high")


def _body(
    says: str,
    where: Stowage,
    word: FlightWord,
    *,
    mass: Limits | None = None,
    girth: Limits | None = None,
    size: SizeLimits | None = None,
    most: int | None = None,
) -> RuleBody:
    return RuleBody.model_construct(
        says=says, of=("bag",), where=(where,), word=word, mass=mass, girth=girth, size=size, most=most
    )


def _over(reading: Reading) -> Limits:
    return Limits(exact(reading), False, None, False, f"over {reading.text}")


def _up_to(reading: Reading) -> Limits:
    return Limits(None, False, exact(reading), True, f"up to {reading.text}")


def _centimetres(box: Box) -> str:
    return " x ".join(f"{round(side / 10, 1):g}" for side in box) + " cm"


def _size(box: Box, *, within: bool) -> SizeLimits:
    return SizeLimits(sides_of(box), within, f"{'within' if within else 'larger than'} {_centimetres(box)}")


def _cabin(carrier: Carrier) -> Iterator[tuple[str, RuleBody]]:
    cabin = carrier.cabin
    if cabin is None:
        return
    name = carrier.name
    if cabin.size is not None:
        says = f"{name} takes cabin bags of up to {_centimetres(cabin.size)}."
        yield "cabin-size", _body(says, "cabin", "may fly", size=_size(cabin.size, within=True))
        yield "cabin-too-large", _body(says, "cabin", "stays home", size=_size(cabin.size, within=False))
    if cabin.mass is not None:
        says = f"{name} takes cabin bags of up to {cabin.mass.text}."
        yield "cabin-mass", _body(says, "cabin", "may fly", mass=_up_to(cabin.mass))
        yield "cabin-too-heavy", _body(says, "cabin", "stays home", mass=_over(cabin.mass))
    if cabin.pieces is not None:
        counted = _size(cabin.small, within=False) if cabin.small else None
        many = "one cabin bag" if cabin.pieces == 1 else f"{cabin.pieces} cabin bags"
        besides = f" and a small one of up to {_centimetres(cabin.small)} besides" if cabin.small else ""
        says = f"{name} takes {many} for each person{besides}."
        yield "cabin-pieces", _body(says, "cabin", "may fly", size=counted, most=cabin.pieces)


def _hold(carrier: Carrier) -> Iterator[tuple[str, RuleBody]]:
    hold = carrier.hold
    if hold is None:
        return
    name = carrier.name
    if hold.mass is not None:
        says = f"{name} takes hold bags of up to {hold.mass.text} as they are."
        yield "hold-mass", _body(says, "hold", "may fly", mass=_up_to(hold.mass))
        yield "hold-heavy", _body(says, "hold", "ask first", mass=_over(hold.mass))
    if hold.most_mass is not None:
        says = f"{name} refuses hold bags above {hold.most_mass.text}."
        yield "hold-too-heavy", _body(says, "hold", "stays home", mass=_over(hold.most_mass))
    if hold.girth is not None:
        says = f"{name} asks about hold bags of more than {hold.girth.text} in sum of their sides."
        yield "hold-bulky", _body(says, "hold", "ask first", girth=_over(hold.girth))
