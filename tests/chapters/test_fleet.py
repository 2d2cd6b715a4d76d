"""How the club's rigs frame its targets, once one of them is another one: the others are not looked at again."""

from collections.abc import Iterator
from dataclasses import replace
from typing import Any

import pytest

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.chapters.in_the_frame import fleet, framing
from rigleaf.chapters.in_the_frame.fleet import framings_of, hand_on, views_of


def framed_by(monkeypatch: pytest.MonkeyPatch) -> list[Any]:
    """Return what each framing from now on is made of, as they come."""
    asked: list[Any] = []
    frame = framing.frame_target

    def noted(view: Any, *rest: Any, **more: Any) -> Any:
        asked.append(view)
        return frame(view, *rest, **more)

    monkeypatch.setattr(fleet, "frame_target", noted)
    return asked


def changed(demo: Catalogue) -> Iterator[tuple[str, Catalogue]]:
    """Yield guides that differ from the demo in one thing."""
    first, second, *rest = demo.rigs.values()
    tight = second.model_copy(update={"train": first.train, "targets": first.targets})
    yield "another train", replace(demo, rigs={**demo.rigs, second.id: tight})
    yield "for training", replace(demo, rigs={**demo.rigs, first.id: first.model_copy(update={"for_training": True})})
    yield "one less", replace(demo, rigs={id_: rig for id_, rig in demo.rigs.items() if id_ != first.id})
    yield "one more", replace(demo, rigs={**demo.rigs, "more": second.model_copy(update={"id": "more"})})
    yield "in another order", replace(demo, rigs={rig.id: rig for rig in (*rest, second, first)})
    optic = next(use.part for use in first.train if demo.parts[use.part].kind == "optic")
    other = next(part for part in demo.parts.values() if part.kind == "optic" and part.id != optic)
    yield "a part", replace(demo, parts={**demo.parts, optic: other.model_copy(update={"id": optic})})
    guide = demo.guide.model_copy(update={"place": None})
    yield "the guide", replace(demo, guide=guide)
    target = next(iter(demo.targets))
    yield "a target less", replace(demo, targets={id_: one for id_, one in demo.targets.items() if id_ != target})


def test_what_is_handed_on_is_what_is_found_anew(demo: Catalogue) -> None:
    before = replace(demo)
    framings_of(before)
    for name, after in changed(demo):
        hand_on(before, after)
        anew = replace(after)
        assert views_of(after) == views_of(anew), name
        assert framings_of(after) == framings_of(anew), name


def test_only_the_rig_that_is_another_one_is_framed_again(demo: Catalogue, monkeypatch: pytest.MonkeyPatch) -> None:
    before = replace(demo)
    framings_of(before)
    name, after = next(changed(demo))
    assert name == "another train"
    second = list(demo.rigs)[1]
    asked = framed_by(monkeypatch)
    hand_on(before, after)
    framings_of(after)
    (view,) = (view for rig, view in views_of(after) if rig.id == second)
    best = {id(one.view) for ranked in framings_of(after).values() for one in ranked[:1]}
    assert asked
    assert {id(one) for one in asked} <= {id(view), *best}
    assert len(asked) < len(after.rigs) * len(after.targets) / 4


def test_nothing_is_handed_on_of_what_was_never_asked(demo: Catalogue, monkeypatch: pytest.MonkeyPatch) -> None:
    asked = framed_by(monkeypatch)
    hand_on(replace(demo), replace(demo))
    assert asked == []
