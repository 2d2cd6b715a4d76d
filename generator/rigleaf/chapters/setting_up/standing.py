"""How tripod, pillar or table is set up: what its feet stand on, which way one of them points, and what else holds."""

from rigleaf.catalogue.models.mounting import Mount
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.footing.above import above
from rigleaf.chapters.footing.stance import stance, tripod_of
from rigleaf.chapters.footing.words import compass

NAMES: dict[str, str] = {"pier": "Pillar", "table": "Table tripod"}
FEET: dict[str, str] = {"pier": "All feet flat on firm ground", "table": "Feet spread, on something that does not rock"}
TAKEN: dict[str, str] = {"pier": "Feet wiped; carried upright.", "table": "Feet wiped, legs folded."}


def stays_put(assembly: Assembly) -> bool:
    """Whether a rig never leaves its place, such as a balcony or a terrace."""
    return set(assembly.rig.travels) == {"stays put"}


def tethered(assembly: Assembly) -> bool:
    """Whether its tube is to be tied to something: a pillar that stays put may well stand on a balcony."""
    tripod = tripod_of(assembly)
    return tripod is not None and tripod.form == "pier" and stays_put(assembly)


def leg_towards(assembly: Assembly) -> float | None:
    """Return the azimuth of one leg, deg, that leaves the widest margin, as the chapter on footing finds it.

    Where that cannot be told, or makes next to no difference, one leg points below the pole, as is common practice.
    None where the mount has no polar axis and no leg is better than another.
    """
    load, _ = above(assembly)
    tripod = tripod_of(assembly)
    stands = stance(load, tripod) if load is not None and tripod is not None else None
    if stands is not None and not stands.indifferent:
        return stands.best_leg
    mount = next(assembly.parts(Mount, "mount"), None)
    if mount is not None and mount.drive == "alt-azimuth":
        return None
    latitude = assembly.place.latitude if assembly.place is not None else None
    return 180.0 if latitude is not None and latitude.value < 0 else 0.0


def setting(assembly: Assembly) -> tuple[str, str]:
    """Return what the step is called that sets the support up, and what is done in it."""
    tripod = tripod_of(assembly)
    form = tripod.form if tripod is not None and tripod.form is not None else ""
    ground = ", feet flat on the floor" if stays_put(assembly) else " and trodden in"
    feet = FEET.get(form, f"Legs spread to the stop{ground}")
    azimuth = leg_towards(assembly)
    leg = f", one to the {compass(azimuth)}" if azimuth is not None else ""
    mount = next(assembly.parts(Mount, "mount"), None)
    care = " with care" if mount is not None and mount.drive == "alt-azimuth" else ""
    return NAMES.get(form, "Tripod"), f"{feet}{leg}; level it{care}."


def taking(assembly: Assembly) -> tuple[str, str]:
    """Return the same for taking it away."""
    tripod = tripod_of(assembly)
    form = tripod.form if tripod is not None and tripod.form is not None else ""
    return NAMES.get(form, "Tripod"), TAKEN.get(form, "Feet wiped, legs in.")
