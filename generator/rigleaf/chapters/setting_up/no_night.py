"""Why a rig has no night to be reckoned for, and what would give it one."""

from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.under_the_sky.place_sky import site_of


def why_no_night(assembly: Assembly) -> tuple[str, str]:
    """Return, in words, what is missing for the times of a night, and how to mend it."""
    place = assembly.place
    if place is None:
        return "neither the rig nor the guide names a place", "Write 'place:' in the rig or in guide.yml."
    if site_of(place) is None:
        how = "Read them off a map or a phone and write them in places.yml, like 'latitude: 52.4 deg'."
        return f"{place.name} states no latitude and longitude", how
    return (
        f"it does not grow dark at {place.name} that night",
        "Choose another date under 'night', or say there when pictures begin.",
    )
