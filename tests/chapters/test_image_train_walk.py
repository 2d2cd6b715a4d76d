"""The train as it is walked, what is said of any train however much is left out, and what the demo shows."""

import re
from collections.abc import Iterator
from typing import Any

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.catalogue.models.train import Filter
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.figures import Study
from rigleaf.chapters.image_train.study import study
from rigleaf.chapters.image_train.train import Train, shift_of, walk
from tests.chapters.small_guide import Data, finding
from tests.chapters.small_train import DUO, M54, TRAIN, judged, made, shelf, spacer


def walked(parts: dict[str, Data] | None = None, train: list[Any] | None = None) -> Train:
    found = made(parts, train)
    return walk(Assembly(found, found.rigs["rig"]))


def test_filters_lie_in_the_piece_before_them_and_shims_in_the_joint_behind_it() -> None:
    shim: Data = {"kind": "shim", "name": "Shim", "thickness": "0.5 mm"}
    train = walked(shelf(shim=shim), ["glass", *TRAIN[:4], "shim", {"part": "ring", "count": 2}, "camera"])
    assert [piece.part.id for piece in train.pieces] == ["tube", "reducer", "drawer", "ring", "ring", "camera"]
    assert [one.id for one in train.pieces[2].filters] == ["glass"]
    assert [one.id for one in train.pieces[2].shims] == ["shim"]
    assert [one.id for one in train.loose] == ["glass"]
    assert train.ends_in_camera
    assert [piece.counts for piece in train.pieces] == [False, True, True, True, True, True]


def test_back_focus_counts_from_the_last_corrector_or_else_from_the_optic() -> None:
    parts = shelf(tube={"back_focus": {"distance": "90 mm"}}, extender={"kind": "corrector", "name": "Extender"})
    assert walked(parts).origin == 1
    two = walked(parts, ["tube", "reducer", "extender", "camera"])
    assert (two.origin, two.back_focus) == (2, None)
    bare = walked(parts, ["tube", "ring", "camera"])
    assert bare.origin == 0
    assert [piece.part.id for piece in bare.behind] == ["ring", "camera"]
    assert walked(train=["tube", "ring", "camera"]).origin is None
    assert walked(train=["tube", "ring", "camera"]).behind == ()


def test_glass_before_the_surface_that_counts_does_not() -> None:
    before = walked(train=["tube", "drawer", "glass", "reducer", "ring", "camera"])
    assert before.glass == 0
    assert walked().glass == pytest.approx(1.0)
    glass = walked().pieces[2].filters[0]
    assert shift_of(glass) == pytest.approx(1.0)
    assert shift_of(Filter(id="bare", name="Bare")) is None


# --- Any train ----------------------------------------------------------------------------------------------

PICK_OFF: Data = {
    "kind": "off-axis-pick-off", "name": "Pick-off", **M54, "optical_length": "18 mm", "clear_aperture": "40 mm",
    "prism": "8 mm", "prism_offset": "17 mm", "guide_length": "9 mm",
}  # fmt: skip
WHEEL: Data = {"kind": "filter-wheel", "name": "Wheel", "front": "M54 x 0.75 female", "rear": "M48 x 0.75 male",
               "optical_length": "20.3 mm +- 0.2 mm", "positions": 2, "filter_size": "36 mm disc"}  # fmt: skip
RICH = shelf(
    camera=DUO, prism=PICK_OFF, wheel=WHEEL,
    shim={"kind": "shim", "name": "Shim", "thickness": "0.3 mm", "fits_thread": "54 mm"},
    screw=spacer(7.0, shortest="6 mm", longest="9 mm", clear_aperture="36.123 mm"),
    eye={"kind": "guide-camera", "name": "Eye", "flange_to_sensor": "17.5 mm"},
    dark={"kind": "filter", "name": "Dark", "mount_size": "36 mm disc", "glass_thickness": "2 mm",
          "clear_aperture": "33 mm", "bands": [{"centre": "656 nm", "width": "7 nm"}]},
)  # fmt: skip
MIDDLE = ["drawer", "glass", "ring", "wheel", "dark", "prism", "shim", "screw", "reducer"]

Gap = tuple[str, str]
optional = sorted((id_, key) for id_, data in RICH.items() for key in data if key not in ("kind", "name"))


@st.composite
def trains(draw: st.DrawFn) -> tuple[list[str], set[Gap]]:
    train = [
        "tube",
        *draw(st.lists(st.sampled_from(MIDDLE), max_size=6)),
        *draw(st.sampled_from([["camera"], ["camera"], []])),
    ]
    return train, draw(st.sets(st.sampled_from(optional), max_size=8))


def without(parts: dict[str, Data], gone: set[Gap]) -> dict[str, Data]:
    return {id_: {key: value for key, value in data.items() if (id_, key) not in gone} for id_, data in parts.items()}


def sentences(found: Study) -> Iterator[str]:
    for one in found.findings:
        yield one.sentence
        if one.remedy:
            yield one.remedy
    for drawing in found.drawings:
        yield from (drawing.caption, drawing.description)
    yield from (f"{figure.note}." for figure in found.figures if figure.note)


def assert_reads_well(found: Study) -> None:
    for text in sentences(found):
        assert text.endswith("."), text
        assert not re.search(r"  | [.,;:]|\.\.|\bNone\b|\bnan\b|∞|[\[\]{}()]\)|\d\.\d{4}|\d{6}", text), text
        assert not re.search(r"\b1 (?:places|filters|joints)\b|−0\b", text), text
    names = [one.id for one in found.findings]
    assert len(names) == len(set(names))
    for one in found.findings:
        assert bool(one.remedy) == (one.verdict != "sound"), one


@settings(max_examples=250, deadline=None)
@given(trains())
@example((["tube", "camera"], {("camera", "flange_to_sensor")}))
@example((["tube", "reducer", "wheel", "dark", "dark", "camera"], {("wheel", "positions"), ("wheel", "filter_size")}))
def test_whatever_is_left_out_is_said_and_breaks_nothing(case: tuple[list[str], set[Gap]]) -> None:
    train, gone = case
    parts = without(RICH, gone)
    found = judged(parts, train, guiding={"camera": "eye"}, carried=["dark"])
    assert_reads_well(found)
    for one in found.findings:
        assert set(one.parts) <= set(parts)
        assert all(parts[id_]["name"] in one.sentence + one.remedy for id_ in one.parts), one
        assert all(id_ in found.index for id_ in one.figures), one
    seen = walked(parts, train)
    if len(seen.pieces) < 2:
        return
    unknown = seen.origin is None or any(piece.length is None for piece in seen.behind) or not seen.ends_in_camera
    unknown |= seen.back_focus is None
    unknown |= any(shift_of(one) is None for piece in seen.pieces[seen.origin or 0 :] for one in piece.filters)
    assert (finding(found, "back-focus").verdict == "unsaid") == (
        unknown or any(shim.thickness is None for piece in seen.pieces[seen.origin or 0 :] for shim in piece.shims)
    )
    judged_light = finding(found, "light")
    if any(piece.length is None for piece in seen.pieces[(seen.origin or 0) + 1 :]):
        assert judged_light.verdict != "sound"
    for joint, (before, after) in enumerate(zip(seen.pieces, seen.pieces[1:], strict=False), 1):
        if before.rear is None or after.front is None:
            assert finding(found, f"joint-{joint}").verdict == "unsaid"


# --- The demo -----------------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def studies(demo: Catalogue) -> dict[str, Study]:
    return {rig.id: study(Assembly(demo, rig)) for rig in demo.rigs.values()}


def test_the_workshop_rig_shows_each_misfit_with_its_remedy(demo: Catalogue, studies: dict[str, Study]) -> None:
    found = studies["workshop-misfits"]
    failing = {one.id: one for one in found.findings if one.verdict == "fails"}
    assert set(failing) == {"joint-2", "filter-size", "back-focus", "light-guide"}
    assert "two male threads" in failing["joint-2"].sentence
    assert failing["joint-2"].remedy == "See back focus: the same rings mend both."
    assert failing["back-focus"].remedy.startswith("One change mends joint 2 and the back focus")
    assert "does not fit" in failing["filter-size"].sentence
    mount_size = demo.parts["workshop-drawer"].filter_size  # type: ignore[attr-defined]
    assert [demo.parts[id_].mount_size for id_ in failing["filter-size"].parts] == [mount_size]  # type: ignore[attr-defined]
    assert "12.3\u00a0mm too long" in failing["back-focus"].sentence
    assert "from the shelf" in failing["back-focus"].remedy
    assert "coupler-m48" in failing["back-focus"].parts
    assert "workshop-drawer" in failing["light-guide"].parts
    assert finding(found, "match").parts == ("godwit-reducer",)


def test_the_other_rigs_of_the_demo_are_sound_or_tight(studies: dict[str, Study]) -> None:
    for rig, found in studies.items():
        if rig != "workshop-misfits":
            assert {one.verdict for one in found.findings} <= {"sound", "tight"}, rig


def test_everything_that_the_demo_says_reads_well(demo: Catalogue, studies: dict[str, Study]) -> None:
    for found in studies.values():
        assert_reads_well(found)
        for one in found.findings:
            assert all(demo.parts[id_].name in one.sentence + one.remedy for id_ in one.parts)


def test_a_train_of_the_demo_is_listed_piece_by_piece(studies: dict[str, Study]) -> None:
    (table,) = studies["curlew-twin"].tables
    assert [row[0].text for row in table.rows] == [str(n + 1) for n in range(len(table.rows))]
    assert all(row[1].part for row in table.rows)
    assert table.rows[0][4].figure is None
    assert all(row[4].figure is not None for row in table.rows[1:])
