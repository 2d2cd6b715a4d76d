"""What the search works on and what it finds: plain data, lengths in mm."""

from dataclasses import dataclass

from rigleaf.catalogue.models.connections import Connection

TO_BUY = ""
"""Stands for the id of a ring that nobody has yet."""


@dataclass(frozen=True, slots=True)
class Ring:
    """An adapter or spacer on the shelf; lengths, tolerance and free diameter in mm.

    An adjustable one also has `shortest` and `longest`. Ids are unique, `count` is how many there are.
    """

    id: str
    length: float
    tolerance: float | None
    front: Connection
    rear: Connection
    count: int = 1
    clear_aperture: float | None = None
    shortest: float | None = None
    longest: float | None = None

    @property
    def reach(self) -> tuple[float, float]:
        """Shortest and longest length in mm; the same where it cannot be adjusted."""
        return (
            self.length if self.shortest is None else self.shortest,
            self.length if self.longest is None else self.longest,
        )


@dataclass(frozen=True, slots=True)
class Shim:
    """A thin ring that can be laid into any joint whose thread has this diameter (mm)."""

    id: str
    thickness: float
    diameter: float
    count: int = 1


@dataclass(frozen=True, slots=True)
class Gap:
    """A place between two fixed pieces. Where a side is unsaid nothing is put into it.

    `clear` is the free diameter in mm that the light needs here: rings known to be narrower are not used.
    """

    rear_of_previous: Connection | None
    front_of_next: Connection | None
    clear: float = 0.0


@dataclass(frozen=True, slots=True)
class Bridge:
    """Rings that join two sides, from sky to camera, and the length in mm that they add."""

    rings: tuple[Ring, ...]
    length: float


@dataclass(frozen=True, slots=True)
class GapFilling:
    """What stands in one gap: ids of rings from sky to camera, and of shims."""

    rings: tuple[str, ...] = ()
    shims: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Filling:
    """A way to fill all gaps.

    Attributes:
        gaps: one entry for each gap, in order.
        length: length in mm that all pieces add together.
        error: that length less the target.
        settings: id and length in mm of each adjustable ring, in order.
    """

    gaps: tuple[GapFilling, ...]
    length: float
    error: float
    settings: tuple[tuple[str, float], ...] = ()

    @property
    def pieces(self) -> int:
        """Number of rings and shims."""
        return sum(len(gap.rings) + len(gap.shims) for gap in self.gaps)


@dataclass(frozen=True, slots=True)
class Purchase:
    """The one ring to buy that makes everything fit.

    Attributes:
        gap: index of the gap that it goes into.
        front: its side towards the sky.
        rear: its side towards the camera.
        length: length in mm to ask for; to a tenth, unless the tolerance is finer than that.
        shortest: least length in mm that would do.
        longest: greatest length in mm that would do.
        filling: the whole arrangement; the bought ring stands in it under the id TO_BUY.
    """

    gap: int
    front: Connection
    rear: Connection
    length: float
    shortest: float
    longest: float
    filling: Filling
