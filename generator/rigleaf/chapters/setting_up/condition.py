"""One thing that must hold if a rig is to run by itself."""

from dataclasses import dataclass
from typing import Literal

State = Literal["holds", "look in", "unsaid"]


@dataclass(frozen=True, slots=True)
class Condition:
    """One thing that must hold.

    Attributes:
        name: what it is.
        state: whether it holds, asks for a look now and then, or is unsaid.
        why: what was found, as a sentence.
        brief: the same as a few words that follow "because" in a sentence; empty where it holds.
        cure: what would mend it, as a sentence; empty where nothing does.
        parts: ids of parts that the cure names.
        every: s after which it asks for the next look, where that is known.
        always: whether it is so of every rig, so that it decides nothing.
    """

    name: str
    state: State
    why: str
    brief: str = ""
    cure: str = ""
    parts: tuple[str, ...] = ()
    every: float | None = None
    always: bool = False
