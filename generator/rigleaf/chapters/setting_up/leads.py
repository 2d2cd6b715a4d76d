"""How many leads hang from what the mount turns down to the ground."""

from rigleaf.catalogue.catalogue import Item
from rigleaf.catalogue.models.mounting import Mount
from rigleaf.catalogue.models.power import Battery, Cable, CarLead, Computer
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.setting_up.condition import Condition

NAME = "Cables"
RIDING = ("train", "guiding", "rider", "mount")
DATA = ("data", "both")


def hanging(assembly: Assembly) -> int | None:
    """Return how many leads hang from the mount to the ground; None where the rig does not say what feeds what.

    They are the ways of power from the ground to what rides, built-in leads among them, and the data leads to a
    computer on the ground. Spares, and leads between things on the ground, hang nowhere.
    """
    if not assembly.rig.feeds:
        return None
    riding = {item.part.id for item in assembly.items if item.role in RIDING}
    parts = assembly.catalogue.parts
    up = [
        (feed, fed)
        for feed in assembly.rig.feeds
        for fed in feed.to
        if feed.source not in riding and fed in riding and not _built_in(parts[feed.source], feed.lead)
    ]
    used = {feed.lead for feed in assembly.rig.feeds if feed.lead is not None}
    by_computer = any(isinstance(parts[feed.source], Computer) for feed, _ in up)
    return len(up) + _data_leads(assembly, used, by_computer)


def _built_in(part: object, lead: str | None) -> bool:
    """Whether it sits inside what it feeds: it is installed there, or is changed for what is."""
    return isinstance(part, Battery) and lead is None and (bool(part.installed) or not part.outlets)


def _data_leads(assembly: Assembly, used: set[str], fed: bool) -> int:
    """Return how many more leads carry data to a computer on the ground.

    Args:
        assembly: the rig.
        used: ids of leads that are said to feed something.
        fed: whether a lead from that computer feeds something that rides, so that those for both are its spares.
    """
    computers = [item for item in assembly.items if isinstance(item.part, Computer)]
    if not computers or any(item.role in RIDING for item in computers):
        return 0
    return sum(item.count for item in _on_the_ground(assembly) if item.part.id not in used and _carries(item, fed))


def _carries(item: Item, fed: bool) -> bool:
    return isinstance(item.part, Cable) and item.part.carries in (("data",) if fed else DATA)


def _on_the_ground(assembly: Assembly) -> list[Item]:
    return [item for item in assembly.items if item.role == "power" and isinstance(item.part, Cable | CarLead)]


def cables(assembly: Assembly) -> Condition | None:
    """Return whether leads can catch as the mount turns; None where there is no mount."""
    if not any(assembly.parts(Mount, "mount")):
        return None
    count = hanging(assembly)
    if count is None:
        count = sum(item.count for item in _on_the_ground(assembly))
        if count > 1:
            why = f"{count} leads lie on the ground, and nobody has said which of them go up to the mount."
            cure = "Say under 'feeds' which lead feeds what, or tie into one all that go up."
            return Condition(NAME, "unsaid", why, "how many leads hang to the ground is unsaid", cure)
    if count <= 1:
        leads = "One lead hangs" if count else "No lead hangs"
        return Condition(NAME, "holds", f"{leads} from the mount to the ground.")
    why = f"{count} leads hang from the mount to the ground, and each can catch as it turns."
    cure = "Tie the leads into one, fastened near the axes."
    return Condition(NAME, "look in", why, f"{count} leads hang to the ground", cure)
