"""The filter at a total eclipse of the Sun: off during totality alone, by stated times and by somebody's call."""

from rigleaf.catalogue.models.rig import Totality
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.setting_up.leave_home import Item
from rigleaf.chapters.setting_up.steps import sort_of

SPARE = 20
"""Seconds before the end of totality at which the filter is on again; a choice of this guide, as computed times err by
some ten seconds."""


def looks_at_eclipses(assembly: Assembly) -> bool:
    """Whether a rig photographs eclipses of the Sun through a filter in front."""
    return "eclipses" in assembly.rig.purpose and sort_of(assembly).day


def stated(assembly: Assembly) -> Totality | None:
    """Return when totality begins and ends; None unless the rig states that and the date that it is for."""
    night = assembly.rig.night
    return night.totality if night is not None and night.date is not None else None


def clock(seconds: int) -> str:
    """Write seconds since midnight as clocks show them: "10:45:07"."""
    return f"{seconds // 3600:02}:{seconds // 60 % 60:02}:{seconds % 60:02}"


def items(assembly: Assembly) -> list[Item]:
    """Return what is done with the filter, in order; nothing for rigs that are not for eclipses."""
    if not looks_at_eclipses(assembly):
        return []
    times = stated(assembly)
    alone = "for the camera alone, and no eye at the optic. In doubt it stays on."
    partial = Item(
        "Filter on", "From first to last, and taped. A partial or ring-shaped eclipse has no moment without it."
    )
    defers = (
        "The call of those who run the event goes before all else. Viewers, to ISO 12312-2, are for eyes alone, and "
        "come off in totality only."
    )
    if times is None:
        return [
            partial,
            Item("Filter off", f"Only during totality, by the organiser's call; {alone}"),
            Item("Filter on again", "By the organiser's call, before the first bead of light shows."),
            Item("Whose call counts", f"No times are stated for this rig. {defers}"),
        ]
    back = times.ends - SPARE
    source = f"Times by the clocks of the place, {times.source}. " if times.source else ""
    return [
        partial,
        Item(f"Filter off, not before {clock(times.begins)}",
             f"Only when the last bead of light is gone and somebody has called it aloud; {alone}"),
        Item(f"Filter on again, by {clock(back)}",
             f"{SPARE} seconds before totality ends at {clock(times.ends)}; at once if a bead shows sooner."),
        Item("Whose call counts", f"{source}{defers}"),
    ]  # fmt: skip
