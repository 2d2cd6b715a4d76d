"""How well rigs can frame a target at the very best: bounds for many frames at once, without trying any angle."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from rigleaf.chapters.in_the_frame import physics
from rigleaf.chapters.in_the_frame.framing import FEW_ELEMENTS, Wishes
from rigleaf.chapters.in_the_frame.view import QUICK, View
from rigleaf.sky.targets import SkyTarget

Array = NDArray[np.float64]

SLACK: Final = 1e-8
"""By which rooms, elements and scores are taken for larger, so that no rounding makes a bound too low."""


@dataclass(frozen=True, slots=True)
class Frames:
    """Frames of several rigs: sides in deg of tangent plane, and the width in arcsec of the finest detail."""

    width: Array
    height: Array
    detail: Array
    quick_detail: Array


def frames_of(views: Sequence[View]) -> Frames:
    """Return the frames of several rigs, in their order."""
    rows = np.array([(one.width, one.height, one.detail, one.quick_detail) for one in views]).reshape(-1, 4)
    return Frames(*rows.T.copy())


def most_scores(frames: Frames, target: SkyTarget, wishes: Wishes) -> Array:
    """Return for each frame a bound that no rig's score for a target exceeds; 0 where it cannot be held with room.

    It is 0 as well where the rig shows less than FEW_ELEMENTS of it. The score of a roomy frame rises with the part
    that is filled. Of the outline's half extents along the sides, whatever the angle, each lies between its half axes,
    and their squares come to those of the half axes; so each is largest where the other is smallest.
    """
    none = np.zeros_like(frames.width)
    if target.outline is None or target.major_arcmin is None:
        return none
    ellipse = physics.outline_on_plane(*target.outline)
    short = np.minimum(frames.width, frames.height)
    detail = frames.quick_detail if target.sort in QUICK else frames.detail
    elements = physics.resolved_elements(target.major_arcmin, 1.0) / detail * (1 + SLACK)
    # The frame is turned to where there is about most room, and so to no less than along or across the outline.
    along = np.minimum(frames.width / 2 - ellipse.major, frames.height / 2 - ellipse.minor)
    aside = np.minimum(frames.width / 2 - ellipse.minor, frames.height / 2 - ellipse.major)
    room = np.maximum(wishes.margin * short, np.maximum(along, aside) - physics.ALIKE * short) - SLACK * short
    across, up = frames.width / 2 - room, frames.height / 2 - room
    both = ellipse.major**2 + ellipse.minor**2
    least_across = np.maximum(ellipse.minor, np.sqrt(np.maximum(both - np.minimum(up, ellipse.major) ** 2, 0.0)))
    least_up = np.maximum(ellipse.minor, np.sqrt(np.maximum(both - np.minimum(across, ellipse.major) ** 2, 0.0)))
    holds = (least_across <= across * (1 + SLACK)) & (least_up <= up * (1 + SLACK)) & (elements >= FEW_ELEMENTS)
    fill = 2 * np.maximum(
        np.minimum(ellipse.major, across) / frames.width, np.minimum(ellipse.major, up) / frames.height
    )
    framed = np.sqrt(np.clip(fill * (1 + SLACK) / (1 - 2 * wishes.margin), 0.0, 1.0))
    return np.asarray(np.where(holds, framed * np.minimum(1.0, elements / (2 * FEW_ELEMENTS)) * (1 + SLACK), none))
