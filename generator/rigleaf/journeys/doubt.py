"""Batteries of which nobody can say whether they are spare batteries or power banks: what the other answer would be."""

from dataclasses import dataclass, replace

from rigleaf.journeys.judging import Judged, judge
from rigleaf.journeys.result import BatteryStudy, Left
from rigleaf.journeys.trials import TRIAL_STEPS, Tried, tried


@dataclass(frozen=True)
class Doubt:
    """What comes of a journey if all batteries in doubt are taken for what else they may be.

    Attributes:
        called: by the id of each part in doubt, what else it may be.
        judged: the answers to what is packed then, all in the same place.
        left: how many of each part are left then, packed anew.
    """

    called: dict[str, str]
    judged: Judged
    left: dict[str, int]


def doubt(first: Tried) -> Doubt | None:
    """Return what the other class would change; None where nothing flies or no class is in doubt."""
    stowed = first.stowed
    plan = stowed.plan
    called = {
        id_: str(article.or_else)
        for id_, articles in plan.articles.items()
        for article in articles
        if article.or_else is not None
    }
    if plan.flights is None or not called:
        return None
    other = replace(plan, renamed=True, steps=TRIAL_STEPS)
    left = tried(other).stowed.left if any(one.part.id in called for one in stowed.left) else stowed.left
    counts: dict[str, int] = {}
    for one in left:
        counts[one.part.id] = counts.get(one.part.id, 0) + one.count
    return Doubt(called, judge(replace(stowed, plan=other), plan.flights), counts)


def battery_in_doubt(found: BatteryStudy, doubted: Doubt | None, keys: tuple[str, ...]) -> BatteryStudy:
    """Return a battery with the other answer, where its class is in doubt and the other one is answered otherwise."""
    if doubted is None or found.part not in doubted.called or found.word is None:
        return found
    for one in doubted.judged.ruled:
        key = "" if one.bag is None else keys[one.bag]
        same = one.part is not None and (one.part.id, key, one.traveller) == (found.part, found.bag, found.traveller)
        if same and one.word != found.word:
            words = f"Whoever takes it for a {doubted.called[found.part]} says {one.word}: {one.answer.sentence}"
            return replace(found, sentence=f"{found.sentence} {words}")
    return found


def left_in_doubt(found: Left, doubted: Doubt | None) -> Left:
    """Return what is left, and how many less it would be if it were taken for what else it may be."""
    if doubted is None or found.part not in doubted.called:
        return found
    less = found.count - doubted.left.get(found.part, 0)
    if less <= 0:
        return found
    many = "it" if found.count == less == 1 else f"{less} of {found.count}"
    words = f"Whoever takes it for a {doubted.called[found.part]} lets {many} go along: ask the carrier which it is."
    return replace(found, sentence=f"{found.sentence} {words}")
