"""How a mount is balanced and its cables are tried: by hand where it has a clutch, else by tape and under power."""

from rigleaf.catalogue.models.mounting import Counterweight, Mount
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.on_the_mount.balance_study import hold
from rigleaf.chapters.on_the_mount.bodies import turned
from rigleaf.chapters.on_the_mount.counterweights import hung

BY_CLUTCH = ("worm", "star-tracker")
"""Drives that are turned by hand once their clutch is loose; one that is unsaid may have none and is not pushed."""


def by_hand(mount: Mount) -> bool:
    """Whether a mount may be turned by hand."""
    return mount.drive in BY_CLUTCH


def balanced(assembly: Assembly, mount: Mount) -> bool:
    """Whether setting it up has a step for balance."""
    return mount.drive == "worm" or any(assembly.parts(Counterweight, "counterweight"))


def balance(assembly: Assembly, mount: Mount) -> str:
    """Return what is done to balance it."""
    if by_hand(mount):
        return "Everything on it and in place; declination first, one hand always on the bar while a clutch is loose."
    held = hold(turned(assembly)) if hung(assembly, mount).hangs else None
    if held is None:
        return (
            "Never push the tube by hand, for it may have no clutch. Where the weights belong is unsaid: the chapter "
            "on the mount says what is missing."
        )
    where = f"{assembly.say(held.place, 'length')} from the polar axis"
    return f"It has no clutch to feel it by: with a tape, set the middle of the weights {where}, and lock them."
