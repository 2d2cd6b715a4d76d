"""The club's batteries that could stand in for one that may not fly, in groups of which one answer holds for all.

A shelf is long, and rules see little of a battery: what they cannot tell apart is asked about once.
"""

from collections.abc import Callable, Collection
from dataclasses import dataclass, field

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.catalogue.models.power import Battery
from rigleaf.quantities import Reading
from rigleaf.rules.articles import Article, articles_of
from rigleaf.rules.carriers import rules_of
from rigleaf.rules.likeness import Likeness
from rigleaf.rules.register import register_of

Choice = tuple[Battery, Article]


@dataclass(frozen=True)
class Group:
    """Batteries that neither rules nor devices tell apart, with their places in order, those of most energy first."""

    outlets: frozenset[str]
    voltage: Reading | None
    members: list[tuple[int, Choice]] = field(default_factory=list)

    def stands_in_for(self, part: Battery) -> bool:
        """Say whether they could feed what another battery feeds."""
        mine = _kinds(part)
        same_volts = part.nominal_voltage == self.voltage
        return bool(mine & self.outlets) if mine else not self.outlets and same_volts


def _kinds(part: Battery) -> frozenset[str]:
    return frozenset(outlet.kind for outlet in part.outlets or ())


def groups_of(catalogue: Catalogue) -> tuple[Group, ...]:
    """Return the loose batteries that the club owns and lends, not those that it keeps for practice alone."""
    rigs = catalogue.rigs
    found: list[Choice] = []
    for part in catalogue.of_kind(Battery):
        users = catalogue.used_by.get(part.id, ())
        if part.installed or not part.owned or (users and all(rigs[user].for_training for user in users)):
            continue
        found.append((part, articles_of(part)[0]))
    guide, carrier = catalogue.guide, catalogue.carriers.get(catalogue.guide.carrier or "")
    register = register_of(tuple(catalogue.rules.values()), guide.rules_read_on)
    likeness = Likeness((*register.rules.values(), *(rules_of(carrier) if carrier else ())))
    groups: dict[object, Group] = {}
    for place, (part, article) in enumerate(sorted(found, key=lambda pair: -(pair[1].energy.most or 0))):
        kinds, voltage = _kinds(part), part.nominal_voltage
        group = groups.setdefault((kinds, voltage, likeness.of(article)), Group(kinds, voltage))
        group.members.append((place, (part, article)))
    return tuple(groups.values())


def first_that(
    may: Callable[[Article], bool], catalogue: Catalogue, part: Battery, taken: Collection[str]
) -> Battery | None:
    """Return the battery of most energy that could stand in for one and may fly; of equals the first on the shelf.

    Args:
        may: says whether an article may fly; asked of one of each group.
        catalogue: the guide.
        part: the battery that may not.
        taken: ids of parts that the rig has already.
    """
    groups = (one for one in catalogue.once(groups_of) if one.stands_in_for(part))
    left = (next((one for one in group.members if one[1][0].id not in taken), None) for group in groups)
    firsts = sorted((one for one in left if one is not None), key=lambda one: one[0])
    return next((battery for _, (battery, article) in firsts if may(article)), None)
