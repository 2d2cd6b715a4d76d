"""Which parts on the shelf go onto which: both ways round, never onto themselves, and on the demo's pages."""

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rigleaf.catalogue.reading import read_catalogue
from rigleaf.chapters.image_train.mating import mates
from rigleaf.chapters.image_train.neighbours import neighbours
from tests.chapters.small_guide import Data
from tests.chapters.small_train import SHELF, made, shelf, spacer

sides = st.one_of(
    st.none(),
    st.just("fixed"),
    st.builds(
        lambda body, gender: f"{body} {gender}",
        st.sampled_from(["M48 x 0.75", "M54 x 0.75", "2 in barrel", "50.8 mm barrel", "bayonet P18"]),
        st.sampled_from(["male", "female"]),
    ),
)


@given(st.lists(st.tuples(sides, sides), min_size=1, max_size=8))
def test_a_part_lists_another_where_both_sides_mate_and_only_there(pairs: list[tuple[str | None, str | None]]) -> None:
    shelf: dict[str, Data] = {
        f"p{n}": {key: value for key, value in spacer(1.0, front=front, rear=rear).items() if value is not None}
        for n, (front, rear) in enumerate(pairs)
    }
    parts = made(shelf, []).parts
    around = neighbours(parts)
    for one in parts.values():
        behind, before = around.behind(one), around.before(one)
        assert one.id not in {*behind, *before}
        assert len(set(behind)) == len(behind)
        for other in parts.values():
            if other is not one:
                fits = mates(getattr(one, "rear", None), getattr(other, "front", None))
                assert (other.id in behind) == fits
                assert (one.id in around.before(other)) == fits


def test_parts_without_sides_have_no_neighbours() -> None:
    parts = made({"legs": {"kind": "tripod", "name": "Legs"}, "ring": spacer(1.0)}, []).parts
    around = neighbours(parts)
    assert around.behind(parts["legs"]) == around.before(parts["legs"]) == ()


def test_a_corrector_is_listed_only_on_the_optics_that_it_is_made_for() -> None:
    parts = made(
        shelf(
            reducer={"made_for": ["tube"]}, other={**SHELF["tube"], "name": "Other"},
            anyone={**SHELF["reducer"], "name": "Any"},
        ),
    ).parts  # fmt: skip
    around = neighbours(parts)
    assert {"reducer", "anyone"} <= set(around.behind(parts["tube"]))
    assert "anyone" in around.behind(parts["other"])
    assert "reducer" not in around.behind(parts["other"])
    assert "tube" in around.before(parts["reducer"])
    assert "other" not in around.before(parts["reducer"])
    assert "ring" in around.before(parts["reducer"])  # a ring is no optic


@pytest.mark.parametrize("id_", ["coupler-m48", "spacer-m54-10", "pick-off-48"])
def test_pages_of_the_demos_parts_name_what_goes_onto_them(demo_site: Path, project: Path, id_: str) -> None:
    demo = read_catalogue(project)
    around = neighbours(demo.parts)
    part = demo.parts[id_]
    html = (demo_site / "parts" / f"{id_}.html").read_text("utf-8")
    shown = html[html.index('id="mating"') :]
    named = {*around.behind(part), *around.before(part)}
    assert named
    assert "Threads that mate" in html
    for other in named:
        assert f'{other}.html"' in shown, other
