"""Where other plans of a journey are tried: what comes of each, and how many may be tried."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.catalogue.models.flight_fields import FlightWord
from rigleaf.catalogue.models.trip import Trip
from rigleaf.chapters.figures import Verdict
from rigleaf.journeys.choosing import Plan
from rigleaf.journeys.judging import Judged, judge
from rigleaf.journeys.result_nights import NightStudy
from rigleaf.journeys.stowing import Stowed, stow
from rigleaf.journeys.words import OUTCOMES, names

TRIAL_STEPS = 150
MOST_TRIALS = 8
"""How many other plans are packed for one journey; a choice of this guide, about a second at most."""


@dataclass(frozen=True)
class Tried:
    """A plan tried: its judgement, or None where nothing flies."""

    stowed: Stowed
    judged: Judged | None

    @property
    def word(self) -> FlightWord | Verdict:
        """The answer for the whole journey."""
        if self.judged is not None:
            return self.judged.word
        return "fails" if self.stowed.left else "sound"

    @property
    def goes(self) -> bool:
        """Whether everything goes along, asked or not."""
        return not self.stowed.left and self.word not in ("stays home", "fails")


@dataclass
class Desk:
    """Where plans are tried: what the journey was found to be, and how many trials are left."""

    catalogue: Catalogue
    trip: Trip
    called: dict[str, str]
    first: Tried
    nights: Sequence[NightStudy] = ()
    trials: int = MOST_TRIALS

    @property
    def plan(self) -> Plan:
        """The plan of the journey."""
        return self.first.stowed.plan

    def without_left(self, keep: Sequence[str] = ()) -> Plan:
        """Return the plan without what is left, but for some parts."""
        cargo = self.plan.cargo
        less = Counter({one.part.id: one.count for one in self.first.stowed.left if one.part.id not in keep})
        counts = {id_: cargo.count(id_) - count for id_, count in less.items()}
        return replace(self.plan, cargo=cargo.with_counts(counts, self.catalogue.parts), steps=TRIAL_STEPS)

    def try_out(self, plan: Plan) -> Tried | None:
        """Return what comes of a plan; None when no more may be tried."""
        if self.trials <= 0:
            return None
        self.trials -= 1
        return tried(plan)


def tried(plan: Plan) -> Tried:
    """Stow and judge a plan."""
    stowed = stow(plan)
    return Tried(stowed, judge(stowed, plan.flights) if plan.flights is not None else None)


def rank(word: FlightWord | Verdict) -> int:
    """Return how far a word is from the best one."""
    order: tuple[FlightWord | Verdict, ...] = (
        "may fly", "sound", "tight", "ask first", "unsaid", "say more", "stays home", "fails",
    )  # fmt: skip
    return order.index(word)


def and_leave(desk: Desk, keep: Sequence[str] = ()) -> str:
    """Say what else stays at home then: all that is left but some parts."""
    rest = [(one.part.name, one.count) for one in desk.first.stowed.left if one.part.id not in keep]
    return f", and leave {names(rest)} at home" if rest else ""


def outcome(word: FlightWord | Verdict) -> str:
    """Say what comes of it."""
    return f"then {OUTCOMES[word]}"
