"""The gnomonic projection, angles on the sky, and the rectangle that a camera sees.

All angles are in degrees. Positions are right ascension and declination of one frame and equinox, here always
ICRS. Functions take floats or numpy arrays that broadcast against each other, and return arrays (0-dimensional
for floats). Position angles count from north through east.

On the tangent plane, ``xi`` grows towards the east and ``eta`` towards the north. Both are lengths in units of
the focal length, given in degrees as an angle of one radian for a length of one; near the centre they are the
angles on the sky, away from it they are larger, as they are on the sensor of a distortion-free lens.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]


def separation(ra1: ArrayLike, dec1: ArrayLike, ra2: ArrayLike, dec2: ArrayLike) -> Array:
    """Angle between two directions, 0 to 180 deg; accurate for the smallest and the largest."""
    step, one, two = np.radians(np.subtract(ra2, ra1)), np.radians(dec1), np.radians(dec2)
    east = np.cos(two) * np.sin(step)
    north = np.cos(one) * np.sin(two) - np.sin(one) * np.cos(two) * np.cos(step)
    along = np.sin(one) * np.sin(two) + np.cos(one) * np.cos(two) * np.cos(step)
    return np.asarray(np.degrees(np.arctan2(np.hypot(east, north), along)))


def position_angle(ra1: ArrayLike, dec1: ArrayLike, ra2: ArrayLike, dec2: ArrayLike) -> Array:
    """Direction in which the second point is seen from the first, from north through east, 0 to 360 deg."""
    step, one, two = np.radians(np.subtract(ra2, ra1)), np.radians(dec1), np.radians(dec2)
    east = np.cos(two) * np.sin(step)
    north = np.cos(one) * np.sin(two) - np.sin(one) * np.cos(two) * np.cos(step)
    return _full_turn(np.degrees(np.arctan2(east, north)))


def point_at(ra: ArrayLike, dec: ArrayLike, angle: ArrayLike, distance: ArrayLike) -> tuple[Array, Array]:
    """RA and Dec of the point at a position angle and distance from another, along a great circle."""
    lat, turn, far = np.radians(dec), np.radians(angle), np.radians(distance)
    east = np.sin(far) * np.sin(turn)
    outward = np.cos(lat) * np.cos(far) - np.sin(lat) * np.sin(far) * np.cos(turn)
    up = np.sin(lat) * np.cos(far) + np.cos(lat) * np.sin(far) * np.cos(turn)
    new_ra = np.add(ra, np.degrees(np.arctan2(east, outward)))
    return _full_turn(new_ra), np.asarray(np.degrees(np.arctan2(up, np.hypot(east, outward))))


def project(ra: ArrayLike, dec: ArrayLike, ra0: ArrayLike, dec0: ArrayLike) -> tuple[Array, Array]:
    """Project onto the plane that touches the sphere at (ra0, dec0).

    Returns:
        ``xi`` and ``eta`` in degrees of tangent plane; NaN for what is 90 deg or more from the centre, which has
        no place on the plane.
    """
    step, lat, lat0 = np.radians(np.subtract(ra, ra0)), np.radians(dec), np.radians(dec0)
    along = np.sin(lat0) * np.sin(lat) + np.cos(lat0) * np.cos(lat) * np.cos(step)
    # The limit of 1e-12 is the rounding of cos 90 deg; a point there would be projected to somewhere at random.
    along = np.where(along > 1e-12, along, np.nan)
    xi = np.cos(lat) * np.sin(step) / along
    eta = (np.cos(lat0) * np.sin(lat) - np.sin(lat0) * np.cos(lat) * np.cos(step)) / along
    return np.asarray(np.degrees(xi)), np.asarray(np.degrees(eta))


def unproject(xi: ArrayLike, eta: ArrayLike, ra0: ArrayLike, dec0: ArrayLike) -> tuple[Array, Array]:
    """RA (0 to 360) and Dec of points on the plane that touches the sphere at (ra0, dec0)."""
    x, y, lat0 = np.radians(xi), np.radians(eta), np.radians(dec0)
    outward = np.cos(lat0) - y * np.sin(lat0)
    up = np.sin(lat0) + y * np.cos(lat0)
    ra = np.add(ra0, np.degrees(np.arctan2(x, outward)))
    return _full_turn(ra), np.asarray(np.degrees(np.arctan2(up, np.hypot(x, outward))))


def _full_turn(angle: ArrayLike) -> Array:
    """The same angle from 0 up to, but without, 360."""
    turned = np.mod(angle, 360.0)
    return np.asarray(np.where(turned >= 360.0, 0.0, turned))  # a tiny negative angle is rounded up to 360


@dataclass(frozen=True, slots=True)
class Frame:
    """A rectangle on the tangent plane of a target: a sensor, or another stop, with its turn and its place.

    Attributes:
        width: Full width in degrees of tangent plane: degrees(width of the sensor / focal length).
        height: Full height, likewise.
        position_angle: Position angle of the direction from the middle to the top edge, deg.
        xi: Place of the middle on the tangent plane, towards the east, deg.
        eta: The same towards the north.
        mirrored: True where an odd number of mirrors, or a diagonal, reverses left and right.
    """

    width: float
    height: float
    position_angle: float = 0.0
    xi: float = 0.0
    eta: float = 0.0
    mirrored: bool = False

    def __post_init__(self) -> None:
        if not (self.width > 0 and self.height > 0):
            raise ValueError("a frame needs a width and a height above 0")

    @property
    def parity(self) -> int:
        """+1 where the picture shows the sky as the eye sees it, north up then east left; -1 where mirrored."""
        return -1 if self.mirrored else 1

    def to_frame(self, xi: ArrayLike, eta: ArrayLike) -> tuple[Array, Array]:
        """Place in the picture, deg from its middle: x to the right, y to the top."""
        east, north = np.subtract(xi, self.xi), np.subtract(eta, self.eta)
        sin, cos = self._turn()
        x = self.parity * (north * sin - east * cos)
        return np.asarray(x), np.asarray(east * sin + north * cos)

    def to_plane(self, x: ArrayLike, y: ArrayLike) -> tuple[Array, Array]:
        """Place on the tangent plane of a place in the picture; undoes `to_frame`."""
        right, up = self.parity * np.asarray(x, dtype=np.float64), np.asarray(y, dtype=np.float64)
        sin, cos = self._turn()
        return np.asarray(self.xi + up * sin - right * cos), np.asarray(self.eta + up * cos + right * sin)

    def contains(self, xi: ArrayLike, eta: ArrayLike, margin: float = 0.0) -> NDArray[np.bool_]:
        """Which points lie in the picture, edges included, at least ``margin`` deg from each edge.

        A negative margin widens the frame. NaN, which `project` returns for the far hemisphere, is never inside.
        """
        x, y = self.to_frame(xi, eta)
        return np.asarray((np.abs(x) <= self.width / 2 - margin) & (np.abs(y) <= self.height / 2 - margin))

    def corners(self) -> Array:
        """The corners on the tangent plane as (4, 2) array of xi and eta: top left, then clockwise as seen."""
        half = np.array([self.width, self.height]) / 2
        x, y = (np.array([[-1, 1], [1, 1], [1, -1], [-1, -1]]) * half).T
        return np.stack(self.to_plane(x, y), axis=-1)

    def _turn(self) -> tuple[float, float]:
        angle = np.radians(self.position_angle)
        return float(np.sin(angle)), float(np.cos(angle))
