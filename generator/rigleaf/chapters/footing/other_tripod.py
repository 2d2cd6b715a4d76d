"""Another tripod from the shelf that would hold the wind under the same load."""

from dataclasses import dataclass

from rigleaf.catalogue.models.mounting import Tripod
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.footing import ballast, wind
from rigleaf.chapters.footing.above import Above
from rigleaf.chapters.footing.stance import stance
from rigleaf.chapters.footing.wind import Sail, Wind
from rigleaf.chapters.image_train.mating import mates


@dataclass(frozen=True, slots=True)
class Other:
    """A tripod of the shelf and the ballast in kg that it needs."""

    tripod: Tripod
    ballast: float


def other_tripod(assembly: Assembly, load: Above, sails: Sail, blowing: Wind) -> Other | None:
    """Return the tripod that holds the wind with the least ballast, the lightest of equals; None where none does.

    It is owned, lent out, takes the mount's thread and bears the load with the margin that the guide asks for.
    """
    found: list[tuple[float, float, str, Tripod]] = []
    for part in assembly.catalogue.of_kind(Tripod):
        if part.id == assembly.rig.tripod or not _to_be_had(assembly, part):
            continue
        share = 1 - assembly.choice("load_margin").value
        too_weak = part.capacity is not None and load.mass > share * part.capacity.value
        stands = stance(load, part)
        if stands is None or too_weak or not mates(part.top, load.mount.base):
            continue
        moments = wind.drag_moment(stands, sails, wind.leg_width(assembly, part))
        kg = ballast.needed(stands, stands.best_leg, blowing, moments, blowing.factor)
        hangs = kg == 0 or ballast.can_hang(load.mass, stands, kg)
        if kg <= assembly.choice("most_ballast").value and hangs:
            found.append((kg, stands.mass, part.id, part))
    if not found:
        return None
    kg, _, _, tripod = min(found, key=lambda one: one[:3])
    return Other(tripod, kg)


def _to_be_had(assembly: Assembly, part: Tripod) -> bool:
    """Whether the club owns it and does not keep it for practice alone."""
    catalogue = assembly.catalogue
    users = [catalogue.rigs[id_] for id_ in catalogue.used_by.get(part.id, ()) if id_ in catalogue.rigs]
    return part.owned != 0 and not (users and all(rig.for_training for rig in users))
