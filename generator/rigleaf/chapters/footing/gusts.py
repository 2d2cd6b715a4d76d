"""Judgement in wind: the gust that tips the loaded tripod, the ballast against it, and what else would help."""

from math import sqrt

import numpy as np
from numpy.typing import NDArray

from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.figures import Figure, Finding, Verdict
from rigleaf.chapters.footing import ballast, physics, wind
from rigleaf.chapters.footing.above import Above
from rigleaf.chapters.footing.other_tripod import other_tripod
from rigleaf.chapters.footing.stance import THIRDS, Stance
from rigleaf.chapters.footing.wind import Sail, Wind
from rigleaf.chapters.footing.words import compass, points, short_points, wind_name

AREA, AIR, TIPPING, BALLAST = "footing-drag-area", "footing-air", "footing-wind", "footing-ballast"

SAME_SPEED = 0.05
"""Difference in m/s of two tipping winds that no forecast knows."""

Array = NDArray[np.float64]


def judge_wind(assembly: Assembly, load: Above, stands: Stance, sails: Sail) -> tuple[list[Figure], Finding]:
    """Return the figures of the wind and what it does to the loaded tripod, one leg put in the best way."""
    blowing = wind.wind_of(assembly)
    width = wind.leg_width(assembly, stands.tripod)
    moments = wind.drag_moment(stands, sails, width)
    speeds = wind.tipping(stands, stands.best_leg, moments, blowing.density)
    gust = float(speeds.min())
    worst = float(wind.tipping(stands, stands.worst_leg, moments, blowing.density).min())
    held = (gust / blowing.gust) ** 2
    kg = ballast.needed(stands, stands.best_leg, blowing, moments, blowing.factor)
    own = ballast.own_ballast(assembly, stands)
    with_own = _with(stands, own, moments, blowing)
    verdict: Verdict = "sound" if held >= blowing.factor else "tight" if max(held, with_own) >= 1 else "fails"
    sides = list(stands.weakest(stands.best_leg, speeds, SAME_SPEED))
    all_sides = len(sides) == len(THIRDS)
    origin = "any side" if all_sides else points(sides, "or")
    steady = gust * blowing.steady / blowing.gust
    figures = [
        *_figures(assembly, stands, sails, blowing, width),
        Figure("tipping-gust", "Gust that tips it, one leg put best", gust, "speed", TIPPING),
        Figure("tipping-from", "Blowing from", "any side" if all_sides else short_points(sides, "or"), "text", TIPPING),
        Figure("tipping-wind", "Steady wind that brings such gusts", steady, "speed", TIPPING),
        Figure("tipping-gust-worst", "Gust that tips it, legs put worst", worst, "speed", TIPPING),
        Figure("ballast", "Ballast that holds the wind asked for", kg, "mass", BALLAST,
               note="hung in the middle of the tripod", shown=kg > 0),
    ]  # fmt: skip
    behind = ("tipping-gust", "tipping-wind", "design-wind", "drag-area", "ballast")
    sentence = _sentence(assembly, stands, blowing, gust, origin, held)
    if verdict == "sound":
        return figures, Finding("wind", verdict, "In wind", sentence, behind, TIPPING)
    if own and held < 1 <= with_own:
        sentence += " With the ballast that the rig carries it holds."
    remedy, named = _remedy(assembly, load, stands, sails, blowing, kg, gust)
    return figures, Finding("wind", verdict, "In wind", sentence, behind, TIPPING, remedy, named)


def _with(stands: Stance, kg: float, moments: Array, blowing: Wind) -> float:
    """Return how many times the gust's moment the weight holds with ballast in the middle."""
    pushed = physics.wind_moment(moments, blowing.density, blowing.gust)
    held = physics.holding_moment(np.full_like(pushed, stands.mass), stands.at(stands.best_leg))
    return float(((held + physics.holding_moment(kg, stands.radius / 2)) / pushed).min())


def _sentence(assembly: Assembly, stands: Stance, blowing: Wind, gust: float, origin: str, held: float) -> str:
    say = assembly.say
    gusts = say(blowing.gust, "speed")
    asked = f"the wind to stand is {say(blowing.steady, 'speed')} with gusts of {gusts}, {blowing.whose}"
    if gust <= 0:
        return f"The loaded tripod tips without any wind; {asked}."
    leg = "" if stands.indifferent else f", with one leg to the {compass(stands.best_leg)}"
    steady = gust * blowing.steady / blowing.gust
    return (
        f"A gust of {say(gust, 'speed')} from {origin} tips the loaded tripod{leg}. Such gusts come with a steady wind "
        f"of {say(steady, 'speed')} ({wind_name(steady)}). {asked[:1].upper()}{asked[1:]}: the weight holds "
        f"{say(held, 'factor')} their moment, and {say(blowing.factor, 'factor')} are wanted."
    )


def _figures(assembly: Assembly, stands: Stance, sails: Sail, blowing: Wind, width: float) -> list[Figure]:
    place = assembly.place
    stated = place.wind if place is not None else None
    basis = stated.basis if stated is not None else assembly.choice("design_wind").basis
    legs = wind.legs_area(stands, width)
    rest = f"of it the tube {_area(sails.tube)}, the head {_area(sails.head)}, the legs {_area(legs)}"
    out = f"; without {', '.join(sails.left_out)}, of unsaid size" if sails.left_out else ""
    assumed = "" if stands.tripod.leg_width is not None else f"; legs taken as {assembly.say(width, 'length')} thick"
    return [
        Figure("design-wind", "Steady wind to stand", blowing.steady, "speed", TIPPING, basis, note=blowing.whose),
        Figure("design-gust", "Gusts that come with it", blowing.gust, "speed", TIPPING),
        Figure("density", "Density of the air", blowing.density, "air_density", AIR, note=blowing.air),
        Figure("drag-area", "Drag area, tube broadside to the wind", sails.tube + sails.beside + sails.head + legs,
               "drag_area", AREA, note=rest + assumed + out),
    ]  # fmt: skip


def _area(value: float) -> str:
    return f"{value:.3f}\u00a0m²"


def _remedy(
    assembly: Assembly, load: Above, stands: Stance, sails: Sail, blowing: Wind, kg: float, gust: float
) -> tuple[str, tuple[str, ...]]:
    """Say which ballast holds the wind; where none does that people carry, what else would."""
    say = assembly.say
    if kg <= assembly.choice("most_ballast").value:
        return ballast.proposal(assembly, stands, kg)
    words = (
        f"It would take {say(kg, 'mass')} of ballast, more than people hang under a tripod "
        f"({say(assembly.choice('most_ballast').value, 'mass')})."
    )
    named: tuple[str, ...] = ()
    other = other_tripod(assembly, load, sails, blowing)
    if other is not None:
        ballasted = f" with {say(other.ballast, 'mass')} of ballast" if other.ballast else " without ballast"
        words += f" The club's {other.tripod.name} holds it{ballasted}."
        named = (other.tripod.id,)
    words += " Otherwise set the legs lower, tie the head to three pegs with guy lines or stand behind a wall"
    reserve = gust / sqrt(blowing.factor)
    words += f", and take the tube down when gusts reach {say(reserve, 'speed')}." if reserve > 0 else "."
    return words, named
