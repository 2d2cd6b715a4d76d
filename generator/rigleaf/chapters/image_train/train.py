"""The image train as it is screwed together: pieces in order, what lies in them, and where each stands."""

from dataclasses import dataclass, field

from rigleaf.catalogue.models.cameras import Camera
from rigleaf.catalogue.models.connections import Connection
from rigleaf.catalogue.models.optics import BackFocus, Corrector, Optic
from rigleaf.catalogue.models.part import Part
from rigleaf.catalogue.models.train import Filter, FilterDrawer, FilterWheel, Shim, TrainPiece
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.image_train.physics import N_BK7, glass_shift
from rigleaf.quantities import Reading

HOLDERS = (FilterDrawer, FilterWheel)
"""Pieces that filters lie in."""


@dataclass
class Piece:
    """One piece with two sides, and what lies in it or in the joint behind it.

    ``length`` is what it adds along the light: nothing for the optic, whose rear is where the train begins, and the
    distance from flange to sensor for the camera. ``filters`` are those in the light here, ``shims`` those in the joint
    towards the camera.
    """

    part: Part
    front: Connection | None
    rear: Connection | None
    length: Reading | None
    clear: float | None
    filters: list[Filter] = field(default_factory=list)
    shims: list[Shim] = field(default_factory=list)

    @property
    def counts(self) -> bool:
        """Whether it adds length behind the surface that back focus counts from (the optic's own does not)."""
        return not isinstance(self.part, Optic)


@dataclass(frozen=True)
class Train:
    """The whole train.

    ``origin`` is the index of the piece whose rear the back focus counts from, None where no piece asks for any;
    ``loose`` are filters that stand in front of everything, with nothing to hold them.
    """

    pieces: tuple[Piece, ...]
    origin: int | None
    back_focus: BackFocus | None
    loose: tuple[Filter, ...] = ()

    @property
    def behind(self) -> tuple[Piece, ...]:
        """Pieces behind the surface that counts, the camera last."""
        return self.pieces[self.origin + 1 :] if self.origin is not None else ()

    @property
    def ends_in_camera(self) -> bool:
        """Whether a camera closes the train."""
        return bool(self.pieces) and isinstance(self.pieces[-1].part, Camera)

    @property
    def glass(self) -> float:
        """How far the filters behind the surface that counts move the focus towards the camera, in mm."""
        return sum((shift_of(one) or 0.0 for piece in self.pieces[self.origin or 0 :] for one in piece.filters), 0.0)


def shift_of(one: Filter) -> float | None:
    """Return how far a filter moves the focus, in mm, or None where its thickness is unsaid."""
    if one.glass_thickness is None:
        return None
    return glass_shift(one.glass_thickness.value, one.glass_index.value if one.glass_index else N_BK7)


def walk(assembly: Assembly) -> Train:
    """Walk the rig's train from optic to camera."""
    pieces: list[Piece] = []
    loose: list[Filter] = []
    for item in assembly.items:
        if item.role != "train":
            continue
        for _ in range(item.count):
            _add(item.part, pieces, loose)
    asking = [i for i, piece in enumerate(pieces) if isinstance(piece.part, Corrector)]
    asking = asking or [i for i, piece in enumerate(pieces) if isinstance(piece.part, Optic) and piece.part.back_focus]
    origin = asking[-1] if asking else None
    asked = pieces[origin].part if origin is not None else None
    back_focus = asked.back_focus if isinstance(asked, (Corrector, Optic)) else None
    return Train(tuple(pieces), origin, back_focus, tuple(loose))


def _add(part: Part, pieces: list[Piece], loose: list[Filter]) -> None:
    """Put one part behind what is there already."""
    match part:
        case Optic():
            clear = part.rear_clear_aperture
            pieces.append(Piece(part, None, part.rear, None, clear.value if clear else None))
        case Camera():
            clear = part.clear_aperture
            pieces.append(Piece(part, part.front, None, part.flange_to_sensor, clear.value if clear else None))
        case Corrector() | TrainPiece():
            clear = part.clear_aperture
            pieces.append(Piece(part, part.front, part.rear, part.optical_length, clear.value if clear else None))
        case Filter() if pieces:
            pieces[-1].filters.append(part)
        case Filter():
            loose.append(part)
        case Shim() if pieces:
            pieces[-1].shims.append(part)
