"""The names that a guide has given, which stay what they are in every language."""

from rigleaf.catalogue.catalogue import Catalogue


def names_in(catalogue: Catalogue) -> frozenset[str]:
    """Return the names that a guide has given to things, and its own rules: nobody translates them."""
    kinds = (catalogue.parts, catalogue.rigs, catalogue.places, catalogue.trips, catalogue.carriers)
    found = {entry.name for kind in kinds for entry in kind.values()}
    for person in (person for trip in catalogue.trips.values() for person in trip.travellers):
        found |= {person.called, person.called[:1].upper() + person.called[1:]}
    for target in catalogue.targets.values():
        found |= {target.source} if target.source else set()
        if target.name not in ("Moon", "Sun"):  # words of the interface, too
            found |= {target.name, *([target.object] if target.object else [])}
    rules = (rule for carrier in catalogue.carriers.values() for rule in carrier.rules)
    found |= {rule.says.rstrip(".") for rule in (*rules, *catalogue.rules.values())}
    return frozenset(found | {name.partition(",")[0] for name in (place.name for place in catalogue.places.values())})
