"""Which of the club's rigs frames a target best: found without trying all of them, and the same as if all were."""

from itertools import islice
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.catalogue.models.guide import Target
from rigleaf.catalogue.models.kinds import KINDS
from rigleaf.catalogue.targets import resolve
from rigleaf.chapters.in_the_frame import fleet
from rigleaf.chapters.in_the_frame.bounds import frames_of, most_scores
from rigleaf.chapters.in_the_frame.framing import FEW_ELEMENTS, Framed, Wishes, frame_target, wishes_of
from rigleaf.chapters.in_the_frame.view import View
from rigleaf.sky.targets import SkyTarget
from tests.chapters.small_guide import catalogue

degrees = st.floats(0.05, 30.0)
views = st.builds(
    lambda width, height, blur: View(width, height, blur / 2, blur, blur / 2), degrees, degrees, st.floats(0.2, 60.0)
)
targets = st.builds(
    lambda long, part, turn, sort: Target.model_validate(
        {
            "id": "target", "name": "Target", "sort": sort, "ra": "5h", "dec": "10 deg", "major_axis": f"{long} deg",
            "minor_axis": f"{long * part} deg", "position_angle": f"{turn} deg",
        }
    ),
    st.floats(0.01, 20.0), st.floats(0.1, 1.0), st.floats(0.0, 180.0), st.sampled_from(["nebula", "planet"]),
)  # fmt: skip
margins = st.floats(0.0, 0.4)


@given(views, targets, margins)
@settings(max_examples=100)
def test_no_score_of_a_roomy_frame_exceeds_its_bound(view: View, target: Target, margin: float) -> None:
    wishes, sky = Wishes(margin, 0.2), resolve(target)
    framed = frame_target(view, sky, wishes)
    assert framed is not None
    (most,) = most_scores(frames_of([view]), sky, wishes)
    if framed.roomy(wishes) and framed.elements >= FEW_ELEMENTS:
        assert framed.score(wishes) <= most


def club(count: int, seed: int = 0) -> Catalogue:
    """A club of rigs with lenses of every length, several of them alike, one for training and one for the Sun."""
    chance = np.random.default_rng(seed)
    small = catalogue()
    lengths = [round(float(10 ** chance.uniform(1.2, 3.3)), 1) for _ in range(count)]
    lengths[count // 2 :] = lengths[: count - count // 2]
    data = {f"lens-{number:04}": f"{length} mm" for number, length in enumerate(lengths)}
    optic = KINDS["optic"].model
    lenses = {
        id_: optic.model_validate(
            {"id": id_, "kind": "optic", "name": id_, "focal_length": length, "aperture": "60 mm"}
        )
        for id_, length in data.items()
    }
    film = KINDS["front-filter"].model.model_validate({"id": "film", "kind": "front-filter", "name": "Film"})
    rig = small.rigs["rig"]
    first, _, camera = rig.train
    rigs = {
        id_: rig.model_copy(
            update={"id": id_, "train": (first.model_copy(update={"part": id_}), camera), "for_training": number == 1}
        )
        for number, id_ in enumerate(lenses)
    }
    solar = rigs["lens-0000"]
    rigs["lens-0000"] = solar.model_copy(update={"train": (first.model_copy(update={"part": "film"}), *solar.train)})
    return Catalogue(small.root, small.guide, {**small.parts, **lenses, "film": film}, rigs)


def one_target(size: str, narrow: str, **more: str) -> SkyTarget:
    data = {"name": "Target", "sort": "galaxy", "ra": "5h", "dec": "10 deg", "major_axis": size, "minor_axis": narrow}
    return resolve(Target.model_validate({"id": f"{size}-{narrow}".replace(" ", "-"), **data, **more}))


@pytest.mark.parametrize("seed", range(3))
@pytest.mark.parametrize(
    "sizes", [("3 deg", "1 deg"), ("1 deg", "1 deg"), ("10 arcmin", "4 arcmin"), ("1 arcsec",) * 2]
)
def test_the_best_two_are_the_first_two_of_all_that_are_good(seed: int, sizes: tuple[str, str]) -> None:
    guide, target = club(30, seed), one_target(*sizes, position_angle="30 deg")
    wishes = wishes_of(guide.guide)
    good = (
        one for one in fleet.ranking(guide, target)
        if one.framed.roomy(wishes) and one.framed.elements >= FEW_ELEMENTS
    )  # fmt: skip
    assert fleet.best_two(guide, target) == tuple(islice(good, 2))


@pytest.mark.parametrize(("narrow", "most"), [("1 deg", 4), ("30 arcmin", 20)])
def test_a_long_row_of_rigs_does_not_let_many_of_them_be_tried(
    monkeypatch: pytest.MonkeyPatch, narrow: str, most: int
) -> None:
    tried: list[View] = []

    def noted(view: View, *more: Any, **named: Any) -> Framed | None:
        tried.append(view)
        return frame_target(view, *more, **named)

    monkeypatch.setattr(fleet, "frame_target", noted)
    for many in (20, 200):
        tried.clear()
        assert len(fleet.best_two(club(many), one_target("1 deg", narrow, position_angle="30 deg"))) == 2
        assert len(tried) <= most
