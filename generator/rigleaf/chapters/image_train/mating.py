"""Whether two sides of a joint go together, and what lies on both sides where they do not."""

from dataclasses import replace
from functools import lru_cache
from typing import Literal

from rigleaf.catalogue.models.connections import Connection, Form, Gender

Join = Literal["mates", "clashes", "unsaid"]

DIAMETER_SLACK = 0.02  # mm by which two stated diameters of one thread may differ ...
PITCH_SLACK = 0.002  # ... and two stated pitches: 1-32 UN is M25.4 x 0.794, but not M25.4 x 0.8
PUSH_FIT_SLACK = 0.1  # mm, for barrels and clamps

_NOUNS: dict[Form, tuple[str, str]] = {
    "thread": ("a thread", "threads"),
    "bayonet": ("a bayonet", "bayonets"),
    "barrel": ("a push-fit barrel", "barrels"),
    "clamp": ("a clamp", "clamps"),
    "fixed": ("a side that does not come apart", "fixed sides"),
}
_OTHER: dict[Gender, Gender] = {"male": "female", "female": "male"}


@lru_cache(maxsize=4096)
def join(rear: Connection | None, front: Connection | None) -> Join:
    """Say whether a rear side takes the front side behind it; "unsaid" where a side is not stated.

    Threads need opposite gender, equal diameter and equal pitch, whatever series they are named by; bayonets one
    name, barrels and clamps one size, all with opposite gender; a fixed side only another fixed side.
    """
    if rear is None or front is None:
        return "unsaid"
    return "clashes" if _reasons(rear, front) else "mates"


def mates(rear: Connection | None, front: Connection | None) -> bool:
    """Whether two sides are known to go together."""
    return join(rear, front) == "mates"


def mismatch(rear: Connection | None, front: Connection | None) -> str:
    """Say what lies on both sides and why it does not go together or is not known to; empty where it does.

    Such as "M48 x 0.75 male meets M48 x 0.75 male: two male threads".
    """
    if rear is None and front is None:
        return "neither side is stated"
    if rear is None or front is None:
        return f"{_side(rear)} meets {_side(front)}"
    reasons = _reasons(rear, front)
    return f"{_side(rear)} meets {_side(front)}: {', '.join(reasons)}" if reasons else ""


def counterpart(side: Connection) -> Connection:
    """Return the side that a part must have to mate with this one; a fixed side has only itself."""
    return side if side.gender is None else replace(side, gender=_OTHER[side.gender])


def _side(side: Connection | None) -> str:
    return "a side that is not stated" if side is None else str(side)


def _reasons(rear: Connection, front: Connection) -> list[str]:
    """Everything that keeps two sides apart, in words."""
    if rear.form != front.form:
        return [f"{_NOUNS[rear.form][0]} against {_NOUNS[front.form][0]}"]
    if rear.form == "fixed":
        return []
    reasons = []
    if rear.gender == front.gender:
        reasons.append(f"two {rear.gender} {_NOUNS[rear.form][1]}")
    if rear.form == "bayonet" and rear.series != front.series:
        reasons.append("two different bayonets")
    slack = DIAMETER_SLACK if rear.form == "thread" else PUSH_FIT_SLACK
    if _differ(rear.diameter, front.diameter, slack):
        reasons.append(f"{rear.diameter or 0:.5g} mm against {front.diameter or 0:.5g} mm")
    if _differ(rear.pitch, front.pitch, PITCH_SLACK):
        reasons.append(f"a pitch of {rear.pitch or 0:.4g} mm against {front.pitch or 0:.4g} mm")
    return reasons


def _differ(one: float | None, other: float | None, slack: float) -> bool:
    """Whether two sizes differ by more than the slack; forms without that size have None on both sides."""
    return one is not None and other is not None and abs(one - other) > slack + 1e-9
