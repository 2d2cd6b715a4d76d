"""Sampling of the Moon, the planets and the Sun: short exposures are judged by what diffraction passes."""

from math import ceil

from rigleaf.catalogue.models.optics import Corrector
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.figures import Finding
from rigleaf.chapters.image_train.mating import mates
from rigleaf.chapters.image_train.train import walk
from rigleaf.chapters.scale_and_field import physics
from rigleaf.chapters.scale_and_field.inputs import Known

FAR_TOO_COARSE = 2.0
"""Pixel over the pixel wanted beyond which most of the detail that the optic passes is out of reach."""

BEHIND = ("pixel", "critical-pixel")
START = "Short exposures catch moments of steady air."


def judge_in_steady_air(assembly: Assembly, known: Known) -> Finding:
    """Judge the pixel against the one that holds all that diffraction passes."""
    say = assembly.say
    wanted = physics.critical_pixel(known.ratio, assembly.choice("wavelength").value)
    coarser = known.pixel / wanted
    pixel, asked = say(known.pixel, "small_length"), say(wanted, "small_length")
    if coarser <= 1:
        finer = "is as fine as" if pixel == asked else "is finer than"
        sentence = f"{START} The {pixel} pixel {finer} the {asked} that diffraction asks for: nothing is lost."
        return Finding("sampling", "sound", "Sampling", sentence, BEHIND, "critical-pixel")
    remedy, parts = _extender(assembly, known, coarser)
    if coarser <= FAR_TOO_COARSE:
        sentence = (
            f"{START} The {pixel} pixel is {say(coarser - 1, 'fraction')} wider than the {asked} that diffraction asks "
            "for: the finest detail is lost."
        )
        return Finding("sampling", "tight", "Sampling", sentence, BEHIND, "critical-pixel", remedy, parts)
    sentence = (
        f"{START} The {pixel} pixel is {say(coarser, 'factor')} as wide as the {asked} that diffraction asks for: most "
        "of what the optic resolves is lost."
    )
    return Finding("sampling", "fails", "Sampling", sentence, BEHIND, "critical-pixel", remedy, parts)


def _extender(assembly: Assembly, known: Known, coarser: float) -> tuple[str, tuple[str, ...]]:
    """Return the shelf's weakest extender that is strong enough and goes onto the optic, or the factor to look for."""
    factor = known.factor * coarser
    instead = " in place of what is there" if assembly.correctors else ""
    fitting = [
        (part.factor.value, part.id, part.name)
        for part in assembly.catalogue.of_kind(Corrector)
        if part.factor and part.factor.value >= factor and _goes_on(assembly, part)
    ]
    if not fitting:
        least = ceil(factor * 10 - 1e-9) / 10  # rounded up: a weaker one would not do
        return (
            f"An extender of {least:g} times or more{instead} would hold it, at the cost of a field as much narrower.",
            (),
        )
    strength, id_, name = min(fitting)
    left = physics.field_of_view(known.width, known.native * strength)
    return f"Take the club's {name}{instead}; the field is then {assembly.say(left, 'angle')} wide.", (id_,)


def _goes_on(assembly: Assembly, corrector: Corrector) -> bool:
    """Whether a corrector goes onto the optic, and something of the train onto the corrector."""
    optic = assembly.optic
    if optic is None or corrector in assembly.correctors:
        return False
    if corrector.made_for and optic.id not in corrector.made_for:
        return False
    behind = walk(assembly).pieces
    return mates(optic.rear, corrector.front) and any(mates(corrector.rear, piece.front) for piece in behind)
