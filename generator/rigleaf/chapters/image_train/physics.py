"""Lengths, threads and coverage of an image train as pure functions.

Every function takes plain floats or numpy arrays and returns the same kind, elementwise, unless its signature
says otherwise. Units are in the parameter names and docstrings. Nothing here judges: `study` does. The light's
way through the train is in `light_physics`; sources and outside checks stand in `methods.yml` beside this file.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from itertools import pairwise
from math import hypot, inf, pi, sqrt
from types import MappingProxyType

import numpy as np

from rigleaf.chapters.scale_and_field.physics import N, elementwise

N_BK7 = 1.5168
"""Refractive index of N-BK7 at 587.6 nm, the usual glass of filters (glass catalogue, through a library)."""

FLANGE_MM: Mapping[str, float] = MappingProxyType({"C": 17.526, "CS": 12.526, "T": 55.0})
"""Distance from flange to sensor by lens interface. C and CS carry 1-32 UN, T carries M42 x 0.75.

C is 0.69 in exactly and CS is 5 mm less; 12.5, 12.52 and 0.49 in are also printed for CS. For T no standard was
found: 55 mm is what shops and makers agree on.
"""


# --- Lengths ------------------------------------------------------------------------------------------------


def glass_shift(thickness_mm: N, index: N | float = N_BK7) -> N:
    """How far flat glass in a converging beam moves the focus towards the camera, in mm; near the axis."""
    return thickness_mm * (1 - 1 / index)


def glass_shift_marginal(thickness_mm: N, index: N | float, focal_ratio: N | float) -> N:
    """The same shift in mm for the ray from the edge of the aperture: exact, and larger in fast optics."""
    slope = 1 / (2 * focal_ratio)
    sine = slope / np.sqrt(1 + slope * slope) / index
    part: N = 1 - sine / np.sqrt(1 - sine * sine) / slope
    return elementwise(np.multiply, part, thickness_mm)


def stack_uncertainty(tolerances_mm: Iterable[float]) -> float:
    """Uncertainty in mm of a sum of lengths whose errors are independent: root sum of squares; 0 for none."""
    return hypot(*tolerances_mm)


def reducer_factor_at(factor_at_nominal: N, nominal_mm: N | float, actual_mm: N | float) -> N:
    """Factor of a thin reducer or extender at another distance from the sensor than the one it is made for.

    The focal length of the thin lens follows from factor and nominal distance. Makers count from a shoulder, and
    the lens sits ahead of it by an unpublished length: the true change is smaller than this estimate.
    """
    return 1 - (1 - factor_at_nominal) * (actual_mm / nominal_mm)


# --- Threads ------------------------------------------------------------------------------------------------

THREAD_HEIGHT = sqrt(3) / 2  # of the sharp 60-degree triangle, in pitches


def thread_pitch_diameter(diameter_mm: N, pitch_mm: N | float) -> N:
    """Pitch diameter of a 60-degree thread in mm, inside and outside alike: D - 0.6495 P."""
    return diameter_mm - 2 * (3 / 8) * THREAD_HEIGHT * pitch_mm


def female_hole(diameter_mm: N, pitch_mm: N | float) -> N:
    """Free hole of a female thread in mm, its minor diameter D1 = D - 1.0825 P; less where a collar stands in it."""
    return diameter_mm - 2 * (5 / 8) * THREAD_HEIGHT * pitch_mm


def male_root(diameter_mm: N, pitch_mm: N | float) -> N:
    """Diameter in mm at the rounded root of a male thread, d3 = d - 1.2269 P."""
    return diameter_mm - 2 * (17 / 24) * THREAD_HEIGHT * pitch_mm


def male_bore(diameter_mm: N, pitch_mm: N | float, wall_mm: N | float) -> N:
    """Free hole in mm of a tube with a male thread and so much wall left below the thread."""
    return male_root(diameter_mm, pitch_mm) - 2 * wall_mm


@dataclass(frozen=True, slots=True)
class Thread:
    """A thread by diameter and pitch, both in mm."""

    diameter: float
    pitch: float

    @property
    def name(self) -> str:
        """The thread as the trade writes it, such as "M48 x 0.75"."""
        return f"M{self.diameter:g} x {self.pitch:g}"


THREADS: tuple[Thread, ...] = tuple(
    Thread(diameter, pitch)
    for diameter, pitch in (
        (28.5, 0.6), (42.0, 0.75), (48.0, 0.75), (54.0, 0.75), (56.0, 0.75), (63.0, 1.0), (68.0, 1.0), (72.0, 1.0),
        (82.0, 1.0),
    )
)  # fmt: skip
"""Threads that the trade uses behind telescopes, narrowest first (common practice, no source)."""


def smallest_thread(
    clear_mm: float, *, wall_mm: float | None = None, threads: Iterable[Thread] = THREADS
) -> Thread | None:
    """Return the narrowest thread that leaves so much free diameter, or None where even the widest does not.

    Args:
        clear_mm: free diameter that the light needs.
        wall_mm: wall of a male-threaded tube, whose bore then counts; None counts the hole of a female thread.
        threads: threads to choose from, in any order.
    """
    for thread in sorted(threads, key=lambda one: (one.diameter, one.pitch)):
        hole = female_hole(thread.diameter, thread.pitch)
        if wall_mm is not None:
            hole = min(hole, male_bore(thread.diameter, thread.pitch, wall_mm))
        if hole >= clear_mm:
            return thread
    return None


# --- Coverage and tilt --------------------------------------------------------------------------------------


def farthest_corner(width_mm: N, height_mm: N | float, x_mm: N | float = 0.0, y_mm: N | float = 0.0) -> N:
    """Distance in mm from the axis to the farthest corner of a sensor whose centre stands at x, y."""
    across: N = np.abs(x_mm) + width_mm / 2
    up: N = np.abs(y_mm) + height_mm / 2
    return elementwise(np.hypot, across, up)


def circle_margin(circle_mm: N, corner_mm: N | float) -> N:
    """Radius of the image circle beyond the farthest corner in mm; negative where the corner lies outside."""
    margin: N = circle_mm / 2 - corner_mm
    return margin


def share_in_circle(
    circle_mm: N, width_mm: N | float, height_mm: N | float, x_mm: N | float = 0.0, y_mm: N | float = 0.0
) -> N:
    """Part of a sensor's area, 0 to 1, that lies inside an image circle about the axis; exact."""
    radius: N | float = circle_mm / 2
    left, right = x_mm - width_mm / 2, x_mm + width_mm / 2
    low, high = y_mm - height_mm / 2, y_mm + height_mm / 2
    inside: N = (
        _quarter(radius, right, high) - _quarter(radius, left, high)
        - _quarter(radius, right, low) + _quarter(radius, left, low)
    )  # fmt: skip
    return elementwise(np.clip, inside / (width_mm * height_mm), 0.0, 1.0)


def _quarter(radius: N | float, x: N | float, y: N | float) -> N:
    """Area of the disc inside the rectangle from the axis to (x, y), with the sign of x times y."""

    def under_arc(t: N) -> N:
        arc: N = t * np.sqrt(np.maximum(radius * radius - t * t, 0)) + radius * radius * np.arcsin(t / radius)
        return 0.5 * arc

    across, up = np.minimum(np.abs(x), radius), np.minimum(np.abs(y), radius)
    leaves = np.minimum(across, np.sqrt(radius * radius - up * up))  # where the arc dips below y
    area = leaves * up + under_arc(across) - under_arc(leaves)
    signed: N = np.sign(x) * np.sign(y) * area
    return signed


def tilt_allowance(half_depth_um: N, reach_mm: N | float) -> N:
    """Tilt in arcmin that takes the farthest point of a sensor to the edge of the depth of focus.

    Args:
        half_depth_um: depth of focus to one side.
        reach_mm: distance of that point from the centre, which is in focus: half the diagonal of the main
            sensor, or the farthest corner of a second sensor.
    """
    return elementwise(np.arctan, half_depth_um * 1e-3 / reach_mm) * (180 * 60 / pi)


def tilt_rise(tilt_arcmin: N, length_mm: N | float) -> N:
    """Difference of height in um that a tilt makes over a length: a sensor's diagonal, or a flange to be shimmed."""
    return elementwise(np.tan, tilt_arcmin * (pi / 180 / 60)) * length_mm * 1e3


# --- Guiding through a filter -------------------------------------------------------------------------------

WHITE_NM = (400.0, 700.0)
"""The band in which an unfiltered guide sensor is taken to see, evenly (an assumption)."""


@dataclass(frozen=True, slots=True)
class Band:
    """A pass band, taken as a box: centre and full width in nm, transmission 0 to 1."""

    centre_nm: float
    width_nm: float
    transmission: float


def guide_exposure_factor(bands: Iterable[Band], white_nm: tuple[float, float] = WHITE_NM) -> float:
    """How many times longer a guide sensor must expose behind a filter for the same light of a white star.

    What the bands pass inside the white band is set against all of it; where bands overlap the brighter counts.
    Infinite where nothing passes.
    """
    kept = [(band, band.centre_nm - band.width_nm / 2, band.centre_nm + band.width_nm / 2) for band in bands]
    least, most = white_nm
    edges = sorted({least, most, *(min(max(edge, least), most) for _, low, high in kept for edge in (low, high))})
    passed = sum(
        (high - low) * max((band.transmission for band, a, b in kept if a < (low + high) / 2 < b), default=0.0)
        for low, high in pairwise(edges)
    )
    return (most - least) / passed if passed else inf


def magnitudes_lost(factor: N) -> N:
    """How many magnitudes fainter a star is that needs so many times the exposure; 2.5 for ten times."""
    return 2.5 * elementwise(np.log10, factor)
