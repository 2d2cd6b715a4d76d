"""What is packed, what it is packed into, and what comes of it. Lengths in mm, masses in kg, volumes in mm3."""

from dataclasses import dataclass
from itertools import permutations
from typing import Literal

Sides = tuple[float, float, float]
"""Length, width and height in mm; height is upwards while packing."""


@dataclass(frozen=True, slots=True)
class Piece:
    """One thing to pack.

    Attributes:
        id: of the part; several pieces may share it.
        sides: length, width and height in mm as it stands upright, padding included.
        mass: kg; None where nobody has said it.
        fragile: whether nothing heavy may stand above it.
        upright: whether its height must stay upwards.
        soft: whether it is pressed into gaps, so that only its volume counts.
    """

    id: str
    sides: Sides
    mass: float | None = 0.0
    fragile: bool = False
    upright: bool = False
    soft: bool = False

    @property
    def volume(self) -> float:
        """Volume in mm3, padding included."""
        length, width, height = self.sides
        return length * width * height

    def turns(self) -> tuple[Sides, ...]:
        """Return the different ways in which it may stand, flattest first: six, or two where it stays upright."""
        return turns_of(self.sides, upright=self.upright)


def turns_of(sides: Sides, *, upright: bool) -> tuple[Sides, ...]:
    """Return the different ways in which a box may stand, flattest first: six, or two where it stays upright."""
    length, width, height = sides
    ways: set[Sides] = {(length, width, height), (width, length, height)}
    if not upright:
        ways = {(a, b, c) for a, b, c in permutations(sides)}
    return tuple(sorted(ways, key=lambda way: (way[2], way[1], way[0])))


@dataclass(frozen=True, slots=True)
class Bag:
    """What pieces are packed into: a box that lies open upwards.

    Attributes:
        id: unique among the bags of one rig.
        inner: length, width and height inside in mm.
        limit: largest mass in kg that it may carry; None where there is none or nobody has said it.
    """

    id: str
    inner: Sides
    limit: float | None = None

    @property
    def volume(self) -> float:
        """Inner volume in mm3."""
        length, width, height = self.inner
        return length * width * height


@dataclass(frozen=True, slots=True)
class Rules:
    """What a packing must keep to.

    Attributes:
        support: part of each piece's base that must rest on the floor or on other pieces, 0 to 1. Above one half,
            no piece can tip over: a line through the middle of a base has just half of it on either side.
        give: mm; hollows below a piece up to this depth are padded out and count as support.
        on_fragile: kg that may stand above a fragile piece in all.
        gaps: part of the room beside hard pieces that soft ones can fill, 0 to 1.
    """

    support: float = 0.6
    give: float = 10.0
    on_fragile: float = 1.0
    gaps: float = 0.7


@dataclass(frozen=True, slots=True)
class Placed:
    """Where one piece stands.

    Attributes:
        piece: its number among those to pack.
        corner: its left, front, lower corner in mm from that of the bag.
        sides: its extents along length, width and height of the bag, as turned.
    """

    piece: int
    corner: Sides
    sides: Sides

    @property
    def top(self) -> float:
        """Height of its upper face in mm."""
        return self.corner[2] + self.sides[2]


@dataclass(frozen=True, slots=True)
class Packing:
    """One bag packed.

    Attributes:
        placed: the hard pieces in the order in which they go in; each can be lowered straight down.
        gaps: numbers of the soft pieces that go into the gaps.
    """

    placed: tuple[Placed, ...] = ()
    gaps: tuple[int, ...] = ()

    @property
    def pieces(self) -> tuple[int, ...]:
        """Numbers of all pieces in it."""
        return (*(one.piece for one in self.placed), *self.gaps)


ReasonKind = Literal["mass", "volume", "too long", "too thick", "too large", "aslant only", "not both"]


@dataclass(frozen=True, slots=True)
class Reason:
    """Why something cannot fit.

    Attributes:
        kind: what stands against it. "mass" and "volume" are about all pieces together, or about one that is too heavy
            by itself; "not both" is about two, the others about one. "aslant only" says that it does not lie along the
            sides, in any turn; whether it goes in aslant is left open. The other kinds hold for every position.
        pieces: numbers of the pieces.
        amount: how much there is, in kg, mm3, mm or mm2.
        room: how much there is room for, in the same unit.
    """

    kind: ReasonKind
    pieces: tuple[int, ...]
    amount: float = 0.0
    room: float = 0.0


@dataclass(frozen=True, slots=True)
class Arrangement:
    """What a search found for several bags.

    Attributes:
        packings: one for each bag, in order.
        left: numbers of the pieces that it found no room for.
        steps: how many times it tried a piece in a bag, in all its turns and places.
    """

    packings: tuple[Packing, ...]
    left: tuple[int, ...]
    steps: int


@dataclass(frozen=True, slots=True)
class Answer:
    """Whether pieces go into one bag: shown by a packing, none found, or impossible for the reasons given."""

    kind: Literal["shown", "none found", "cannot"]
    packing: Packing | None = None
    reasons: tuple[Reason, ...] = ()
    steps: int = 0


def tolerance(bag: Bag) -> float:
    """Return the length in mm below which two lengths count as one: rounding only, no play."""
    return 1e-9 * max(bag.inner)
