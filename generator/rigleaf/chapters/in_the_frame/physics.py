"""Geometry of framing: an ellipse on the sky in a rectangle that may be turned, and panels that cover it.

Everything happens on the plane that touches the sky at the target, in degrees of tangent plane (see
`rigleaf.sky.projection`). A frame's position angle is that of the way from its middle to its top edge; ``width``
is its side along the picture's rows. Functions take one angle or an array of them.
"""

from dataclasses import dataclass
from math import pi
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from rigleaf.sky.projection import Frame, position_angle, unproject

Array = NDArray[np.float64]

WIDEST: Final = 80.0
"""Half an outline's extent, in deg, beyond which it is cut: the tangent plane ends at 90 deg."""


def on_plane(half_axis_deg: float) -> float:
    """Length on the tangent plane of an angle from its centre, deg; exact, and never infinite."""
    return float(np.degrees(np.tan(np.radians(min(half_axis_deg, WIDEST)))))


@dataclass(frozen=True, slots=True)
class Ellipse:
    """An outline on the tangent plane: half axes in deg, and the position angle of the major one (0 for a circle)."""

    major: float
    minor: float
    angle: float = 0.0

    @property
    def round(self) -> bool:
        """Whether it looks the same at every angle."""
        return self.major == self.minor


def outline_on_plane(major_arcmin: float, minor_arcmin: float, angle_deg: float | None) -> Ellipse:
    """The outline of an object, given by its full axes on the sky, on the plane that touches the sky at its middle."""
    return Ellipse(on_plane(major_arcmin / 120), on_plane(minor_arcmin / 120), angle_deg or 0.0)


def half_extents(ellipse: Ellipse, angle: ArrayLike) -> tuple[Array, Array]:
    """Half of the ellipse's extent along the rows and along the columns of a frame at a position angle."""
    turn = np.radians(np.subtract(ellipse.angle, angle))
    sin, cos = np.sin(turn), np.cos(turn)
    across = np.hypot(ellipse.major * sin, ellipse.minor * cos)
    return np.asarray(across), np.asarray(np.hypot(ellipse.major * cos, ellipse.minor * sin))


def room(ellipse: Ellipse, width: float, height: float, angle: ArrayLike) -> Array:
    """The least distance from the centred ellipse to an edge of the frame, deg; below 0 where it is cut."""
    across, up = half_extents(ellipse, angle)
    return np.asarray(np.minimum(width / 2 - across, height / 2 - up))


def share_inside(
    ellipse: Ellipse, width: float, height: float, angle: ArrayLike, x: ArrayLike = 0.0, y: ArrayLike = 0.0
) -> Array:
    """Part of the ellipse's area inside a frame whose middle stands at (x, y) of the picture, 0 to 1; exact."""
    turn = np.radians(np.subtract(ellipse.angle, angle))
    turn, x, y = np.broadcast_arrays(turn, x, y)
    sin, cos = np.sin(turn)[..., None], np.cos(turn)[..., None]
    right = x[..., None] + np.array([-1, 1, 1, -1]) * width / 2
    up = y[..., None] + np.array([-1, -1, 1, 1]) * height / 2
    # In a picture with its top at the frame's angle the major axis points up and, as east is left, turned leftwards.
    along, aside = up * cos - right * sin, right * cos + up * sin
    return np.clip(np.abs(_disc_in_polygon(aside / ellipse.minor, along / ellipse.major)) / pi, 0.0, 1.0)


def _disc_in_polygon(x: Array, y: Array) -> Array:
    """Signed area that the unit disc shares with a polygon, whose corners are along the last axis."""
    dx, dy = np.roll(x, -1, axis=-1) - x, np.roll(y, -1, axis=-1) - y
    # Where an edge enters and leaves the disc, as parts of its length; the middle of it where it never does.
    square = np.maximum(dx * dx + dy * dy, 1e-300)
    half = -(x * dx + y * dy) / square
    inner = half * half - (x * x + y * y - 1) / square
    reach = np.sqrt(np.maximum(inner, 0.0))
    enter, leave = np.clip(half - reach, 0, 1), np.clip(half + reach, 0, 1)
    x1, y1, x2, y2 = x + enter * dx, y + enter * dy, x + leave * dx, y + leave * dy
    pieces = _sector(x, y, x1, y1) + (x1 * y2 - x2 * y1) / 2 + _sector(x2, y2, x + dx, y + dy)
    return np.asarray(pieces.sum(axis=-1))


def _sector(x1: Array, y1: Array, x2: Array, y2: Array) -> Array:
    """Signed area of the unit disc between the directions of two points."""
    return np.asarray(np.arctan2(x1 * y2 - x2 * y1, x1 * x2 + y1 * y2) / 2)


# --- The best angle -----------------------------------------------------------------------------------------


def angles_to_try(ellipse: Ellipse, whole_turn: bool = False) -> Array:
    """Every whole degree of half a turn, or of a whole one, and those at which the ellipse lies along the frame."""
    turn = 360 if whole_turn else 180
    along = [(ellipse.angle + quarter) % turn for quarter in range(0, turn, 90)]
    return np.unique(np.append(np.arange(float(turn)), [] if ellipse.round else along))


ALIKE: Final = 0.01
"""Part of the short side by which angles may differ in room and still be as good (a choice of this guide)."""


def good_angles(
    ellipse: Ellipse, width: float, height: float, angles: Array, wanted: float, alike: float = ALIKE
) -> NDArray[np.bool_]:
    """Which angles are as good as the best one.

    Where the whole ellipse fits, the room around it counts, and less by ``alike`` of the short side is as good, unless
    it takes the room below what is ``wanted`` (deg) or cuts the ellipse. Otherwise the part inside counts.
    """
    rooms = room(ellipse, width, height, angles)
    best = float(rooms.max())
    if best >= 0:
        floor = wanted if best >= wanted else 0.0
        return np.asarray(rooms >= max(floor, best - alike * min(width, height)) - 1e-12)
    shares = share_inside(ellipse, width, height, angles)
    return np.asarray(shares >= shares.max() - alike / 2)


def best_angle(ellipse: Ellipse, width: float, height: float, angles: Array, good: NDArray[np.bool_]) -> float:
    """The best of the good angles: most room, else the largest part inside; among equals the nearest to north up."""
    whole = float(room(ellipse, width, height, angles).max()) >= 0
    merit = (room if whole else share_inside)(ellipse, width, height, angles)
    if bool(good.all()):
        merit = np.zeros_like(merit)  # a difference that nobody sees is no reason to turn the camera
    best = merit[good].max()
    equal = angles[good & (merit >= best - 1e-9 * max(1.0, abs(best)))]
    return float(equal[np.argmin(np.abs((equal + 90) % 180 - 90) + equal * 1e-6)])


BRIGHT_ENOUGH: Final = 4.0
"""G magnitude beyond which more light helps no guide sensor (a choice of this guide)."""
EDGE: Final = 0.05
"""Part of a guide sensor's side, at each edge, that a guide star should keep away from (a choice of this guide)."""


@dataclass(frozen=True, slots=True)
class Beside:
    """A second sensor: place of its middle in the picture, to the right and up, and its sides, deg of tangent plane."""

    x: float
    y: float
    width: float
    height: float

    @property
    def reach(self) -> float:
        """Distance of its farthest corner from the middle of the picture."""
        return float(np.hypot(abs(self.x) + self.width / 2, abs(self.y) + self.height / 2))

    @property
    def inner(self) -> "Beside":
        """The part of it that guide stars may stand on."""
        return Beside(self.x, self.y, self.width * (1 - 2 * EDGE), self.height * (1 - 2 * EDGE))

    def frame(self, angle: float) -> Frame:
        """Its frame on the sky when the main frame has this position angle."""
        xi, eta = Frame(1.0, 1.0, angle).to_plane(self.x, self.y)
        return Frame(self.width, self.height, angle, float(xi), float(eta))


def light_at_angles(xi: Array, eta: Array, magnitude: Array, beside: Beside, angles: Array) -> Array:
    """Light of the stars on a second sensor at each position angle, in units of a star of magnitude 0.

    Args:
        xi: Places of the stars on the tangent plane, towards the east, deg.
        eta: The same towards the north.
        magnitude: Their magnitudes.
        beside: The second sensor.
        angles: Position angles of the main frame, deg.
    """
    turn, inner = np.radians(angles)[:, None], beside.inner
    x = eta * np.sin(turn) - xi * np.cos(turn) - inner.x
    y = xi * np.sin(turn) + eta * np.cos(turn) - inner.y
    on = (np.abs(x) <= inner.width / 2) & (np.abs(y) <= inner.height / 2)
    return np.asarray(on @ 10 ** (-0.4 * np.maximum(magnitude, BRIGHT_ENOUGH)))


# --- Mosaics ------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Grid:
    """A mosaic: panels along rows and columns, all parallel, and the position angle of the middle."""

    columns: int
    rows: int
    angle: float

    @property
    def cells(self) -> int:
        """Places in the grid; some of them may see nothing of the object."""
        return self.columns * self.rows


def panels_along(extent: ArrayLike, side: float, overlap: float) -> NDArray[np.int64]:
    """How many panels in a row reach over an extent, each overlapping the next by a part of its side."""
    step = side * (1 - overlap)
    number = np.ceil((np.asarray(extent) - side * overlap) / step - 1e-9)
    return np.asarray(np.maximum(number, 1), dtype=np.int64)


def smallest_grid(
    ellipse: Ellipse, width: float, height: float, margin: float, overlap: float, preferred: float = 0.0
) -> Grid:
    """The grid of fewest panels that covers an ellipse with a margin (deg) around it, over `angles_to_try`.

    Among equally many, that which leaves most room; among those, the angle nearest to ``preferred``.
    """
    angles = np.unique(np.append(angles_to_try(ellipse), preferred % 180))
    across, up = half_extents(ellipse, angles)
    columns = panels_along(2 * (across + margin), width, overlap)
    rows = panels_along(2 * (up + margin), height, overlap)
    fewest = np.flatnonzero(columns * rows == (columns * rows).min())
    spare = np.minimum(
        _covered(columns, width, overlap) / 2 - across, _covered(rows, height, overlap) / 2 - up
    )[fewest]  # fmt: skip
    fewest = fewest[spare >= spare.max() - 0.01 * min(width, height)]
    away = np.abs((angles[fewest] - preferred + 90) % 180 - 90)
    best = fewest[np.argmin(away)]
    return Grid(int(columns[best]), int(rows[best]), float(angles[best]))


def _covered(number: NDArray[np.int64], side: float, overlap: float) -> Array:
    return np.asarray(side * (number - (number - 1) * overlap), dtype=np.float64)


@dataclass(frozen=True, slots=True)
class Panel:
    """One panel of a mosaic: place in the grid from the top left, counted from 1, and where to point and turn."""

    column: int
    row: int
    ra: float
    dec: float
    position_angle: float


def panels(
    place: tuple[float, float],
    ellipse: Ellipse,
    width: float,
    height: float,
    grid: Grid,
    overlap: float,
    margin: float = 0.0,
) -> tuple[Panel, ...]:
    """The panels of a grid that see anything of an outline or of the margin (deg) around it, row by row.

    ``place`` is where the outline's middle stands. Each panel is a frame of the same size on the sky. Its position
    angle counts at its own middle: towards the poles meridians run together, so that parallel panels differ in it.
    """
    wide = Ellipse(ellipse.major + margin, ellipse.minor + margin, ellipse.angle)
    frame = Frame(width, height, grid.angle)
    found = []
    for row in range(grid.rows):
        for column in range(grid.columns):
            x = (column - (grid.columns - 1) / 2) * width * (1 - overlap)
            y = ((grid.rows - 1) / 2 - row) * height * (1 - overlap)
            if grid.cells > 1 and float(share_inside(wide, width, height, grid.angle, x, y)) < 1e-9:
                continue
            xi, eta = frame.to_plane(x, y)
            there = unproject(xi, eta, *place)
            above = unproject(*frame.to_plane(x, y + height / 1000), *place)
            found.append(
                Panel(column + 1, row + 1, float(there[0]), float(there[1]), float(position_angle(*there, *above)))
            )
    return tuple(found)


# --- Size in the picture ------------------------------------------------------------------------------------


def pixels_along(arcmin: float, arcsec_per_pixel: float) -> float:
    """Length in pixels of an extent near the middle of the field."""
    return 60 * arcmin / arcsec_per_pixel


def finest_detail(star_arcsec: float, arcsec_per_pixel: float) -> float:
    """Width in arcsec of the finest detail that a picture holds: a star's width, or two pixels if these are wider."""
    return max(star_arcsec, 2 * arcsec_per_pixel)


def resolved_elements(arcmin: float, detail_arcsec: float) -> float:
    """How many of the finest details stand side by side along an extent."""
    return 60 * arcmin / detail_arcsec
