"""The section of the train: inside its frame whatever the train, to one scale, and marked where something is wrong."""

import re
from pathlib import Path
from typing import Any

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from lxml import etree

from rigleaf.catalogue.reading import read_catalogue
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.figures import Drawing
from rigleaf.chapters.image_train.study import study
from rigleaf.chapters.svg import PLATE_WIDTH
from tests.chapters.small_guide import Data
from tests.chapters.small_train import DUO, M54, TRAIN, judged, shelf

SLACK = 1.0
SVG = "{http://www.w3.org/2000/svg}"


def section(parts: dict[str, Data] | None = None, train: list[str] | None = None) -> Drawing:
    (drawing,) = judged(parts, train).drawings
    return drawing


def marks(drawing: Drawing, tag: str) -> list[dict[str, str]]:
    root = etree.fromstring(drawing.svg.encode())
    return [dict(one.attrib) for one in root.iter() if isinstance(one.tag, str) and one.tag.removeprefix(SVG) == tag]


def assert_inside(drawing: Drawing) -> None:
    root = etree.fromstring(drawing.svg.encode())
    _, _, width, height = map(float, root.attrib["viewBox"].split())
    assert width == PLATE_WIDTH
    assert 0 < height < 400
    for line in marks(drawing, "line"):
        for axis, most in (("x", width), ("y", height)):
            assert all(-SLACK <= float(line[f"{axis}{end}"]) <= most + SLACK for end in (1, 2)), line
    for rect in marks(drawing, "rect"):
        for start, size, most in (("x", "width", width), ("y", "height", height)):
            first = float(rect[start])
            assert -SLACK <= first <= first + float(rect[size]) <= most + SLACK, rect
    for text in marks(drawing, "text"):
        assert 0 <= float(text["x"]) <= width - 8, text
        assert 12 <= float(text["y"]) <= height, text


def scale_of(drawing: Drawing, lengths: list[float]) -> list[float]:
    """Plate units for each mm of the pieces' lengths, from the upper walls that are drawn one after another."""
    walls = [one for one in marks(drawing, "rect") if one["class"] in ("ink fill-tint", "ink hidden-line")][::2]
    assert len(walls) == len(lengths)
    return [float(wall["width"]) / length for wall, length in zip(walls, lengths, strict=True)]


def test_every_piece_is_drawn_to_one_scale_and_in_order() -> None:
    drawing = section()
    scales = scale_of(drawing, [20, 20, 18.5, 17.5])
    assert scales == pytest.approx([scales[0]] * 4, rel=2e-3)
    walls = [one for one in marks(drawing, "rect") if one["class"] == "ink fill-tint"][::2]
    ends = [(float(one["x"]), float(one["x"]) + float(one["width"])) for one in walls]
    assert [end for _, end in ends[:-1]] == pytest.approx([start for start, _ in ends[1:]], abs=0.03)
    (glass,) = (one for one in marks(drawing, "rect") if "hatch" in one["class"])
    assert float(glass["width"]) == pytest.approx(3 * scales[0], abs=0.01)
    assert float(glass["height"]) == pytest.approx(48 * scales[0], abs=0.01)


def test_pieces_are_numbered_as_in_the_list_and_lengths_written_where_there_is_room() -> None:
    found = judged()
    texts = re.findall(r"<text[^>]*>([^<]*)</text>", found.drawings[0].svg)
    assert [text for text in texts if text in "2345"] == ["2", "3", "4", "5"]
    # The words stand where there is room for them at the size that lettering has on a narrow screen.
    assert {"drawer 20", "18.5", "17.5", "56\u00a0mm"} <= set(texts)
    many = section(shelf(ring={"optical_length": "2 mm"}), [*TRAIN[:4], *["ring"] * 50, "camera"])
    assert not re.search("drawer|spacer", re.sub("<(title|desc).*?</", "", many.svg))
    assert [row[0].text for row in found.tables[0].rows] == ["1", "2", "3", "4", "5"]


def crosses(drawing: Drawing) -> list[dict[str, str]]:
    """Strokes of the crosses: they slant both ways across the same 12 units."""
    return [
        one for one in marks(drawing, "line")
        if one["class"] == "accent" and abs(abs(float(one["x1"]) - float(one["x2"])) - 12) < 0.02
        and abs(abs(float(one["y1"]) - float(one["y2"])) - 12) < 0.02
    ]  # fmt: skip


def test_a_cross_stands_where_light_is_cut() -> None:
    whole, cut = section(), section(shelf(ring={"clear_aperture": "25 mm"}))
    assert crosses(whole) == []
    assert "Crosses" not in whole.caption
    (one, other) = crosses(cut)
    assert "Crosses mark every wall that cuts light." in cut.caption
    assert "keeps" in cut.description
    walls = [wall for wall in marks(cut, "rect") if wall["class"] == "ink fill-tint"]
    ring = walls[4]  # upper wall of the third piece behind the optic
    middle = (float(one["x1"]) + float(one["x2"])) / 2
    assert float(ring["x"]) - 0.1 <= middle <= float(ring["x"]) + float(ring["width"]) + 0.1
    assert (float(other["y1"]) + float(other["y2"])) / 2 == pytest.approx(
        float(ring["y"]) + float(ring["height"]), abs=0.05
    )


def strokes(drawing: Drawing) -> int:
    return sum(one["class"] == "accent hidden-line" for one in marks(drawing, "line"))


def test_a_stroke_stands_across_each_joint_that_does_not_mate() -> None:
    assert strokes(section()) == 0
    clashing = section(shelf(drawer={"front": "M54 x 0.75 male"}, ring={"front": "M48 x 0.75 female"}))
    assert strokes(clashing) == 2
    assert "do not mate" in clashing.caption
    assert strokes(section(shelf(drawer={"front": None}))) == 0


def test_the_guide_sensor_and_its_cone_are_drawn_where_there_is_one() -> None:
    with_guide, without = section(shelf(camera=DUO)), section()
    assert "(g)" in with_guide.caption
    assert "(g)" not in without.caption
    assert sum("fill-accent" in one["class"] for one in marks(with_guide, "rect")) == 1
    assert len(marks(with_guide, "line")) == len(marks(without, "line")) + 2


@pytest.mark.parametrize(("offset", "below"), [(["0 mm", "-16 mm"], True), (["0 mm", "16 mm"], False),
                                                (["-20 mm", "0 mm"], True), (["20 mm", "0 mm"], False)])  # fmt: skip
def test_the_guide_sensor_stands_on_its_own_side_of_the_axis(offset: list[str], below: bool) -> None:
    drawing = section(shelf(camera={"guide_sensor": {**DUO["guide_sensor"], "offset": offset}}))
    (sensor,) = (one for one in marks(drawing, "rect") if "fill-accent" in one["class"])
    axis = float(next(one for one in marks(drawing, "line") if one["class"] == "ink-2 hidden-line")["y1"])
    assert (float(sensor["y"]) > axis) == below
    cone = [one for one in marks(drawing, "line") if one["class"] == "accent"]
    assert all((float(one["y2"]) > axis) == below for one in cone)
    assert_inside(drawing)


def test_every_wall_that_a_ray_runs_into_has_its_cross() -> None:
    one = section(shelf(camera=DUO, ring={"clear_aperture": "30 mm"}))
    two = section(shelf(camera=DUO, ring={"clear_aperture": "30 mm"}, drawer={"clear_aperture": "30 mm"}))
    places = [{float(cross["x1"]) // 1 for cross in crosses(drawing)} for drawing in (one, two)]
    assert len(places[1]) > len(places[0])
    axis = float(next(line for line in marks(two, "line") if line["class"] == "ink-2 hidden-line")["y1"])
    middles = [(float(cross["y1"]) + float(cross["y2"])) / 2 for cross in crosses(two)]
    assert {middle > axis for middle in middles} == {True, False}  # the corner's above, the guide sensor's below


def test_an_unsaid_size_is_drawn_dashed_and_said() -> None:
    drawing = section(shelf(ring={"optical_length": None}))
    assert sum(one["class"] == "ink hidden-line" for one in marks(drawing, "rect")) == 2
    assert "Dashed pieces have a size that is not given." in drawing.caption
    assert ">?<" in drawing.svg
    assert "56" not in re.findall(r"<text[^>]*>([^<]*)</text>", drawing.svg)
    assert not re.search("hidden-line", "".join(one["class"] for one in marks(section(), "rect")))


# --- Any train ----------------------------------------------------------------------------------------------

PRISM: Data = {
    "kind": "off-axis-pick-off",
    "name": "Prism",
    **M54,
    "optical_length": "18 mm",
    "clear_aperture": "40 mm",
}
lengths = st.one_of(
    st.none(), st.sampled_from([0.0, 0.1, 900.0, 20000.0]), st.floats(0.1, 60).map(lambda x: round(x, 2))
)
positive = st.one_of(st.none(), st.sampled_from([0.1, 5.0, 900.0]), st.floats(1, 90).map(lambda x: round(x, 2)))


def text(value: float | None) -> str | None:
    return None if value is None else f"{value!r} mm"


@st.composite
def drawn(draw: st.DrawFn) -> tuple[dict[str, Any], list[str]]:
    changes: dict[str, Any] = {
        "tube": {"aperture": draw(st.sampled_from(["80 mm", "8 mm", "400 mm", None]))},
        "drawer": {"optical_length": text(draw(lengths)), "clear_aperture": text(draw(positive))},
        "ring": {"optical_length": text(draw(lengths)), "clear_aperture": text(draw(positive))},
        "glass": {"glass_thickness": text(draw(lengths)), "clear_aperture": text(draw(positive))},
        "camera": {"flange_to_sensor": text(draw(lengths)), "clear_aperture": text(draw(positive)),
                   **draw(st.sampled_from([{}, DUO, {"sensor": None}]))},
        "prism": {**PRISM, "prism": text(draw(positive)), "prism_offset": text(draw(lengths))},
        "shim": {"kind": "shim", "name": "Shim", "thickness": text(draw(lengths))},
    }  # fmt: skip
    middle = draw(st.lists(st.sampled_from(["reducer", "drawer", "glass", "ring", "prism", "shim"]), max_size=9))
    return changes, ["tube", *middle, "camera"]


@settings(max_examples=200, deadline=None)
@given(drawn())
@example(({"camera": {"flange_to_sensor": "0 mm"}}, ["tube", "camera"]))
@example(({"tube": {"aperture": "400 mm"}, "drawer": {"optical_length": "900 mm"}}, TRAIN))
@example(({}, ["tube", *["ring"] * 40, "camera"]))
def test_whatever_the_train_the_plate_stays_inside_its_frame(case: tuple[dict[str, Any], list[str]]) -> None:
    changes, train = case
    drawing = section(shelf(**changes), train)
    assert_inside(drawing)
    root = etree.fromstring(drawing.svg.encode())
    found = [one.attrib["id"] for one in root.iter() if "id" in one.attrib]
    assert len(found) == len(set(found))
    assert drawing.description.endswith(".")
    assert drawing.caption.endswith(".")


def test_the_plates_of_the_demo_stay_inside_their_frames(project: Path) -> None:
    demo = read_catalogue(project)
    for rig in demo.rigs.values():
        (drawing,) = study(Assembly(demo, rig)).drawings
        assert_inside(drawing)
        assert (crosses(drawing) != []) == ("Crosses" in drawing.caption)
        assert (strokes(drawing) > 0) == (rig.id == "workshop-misfits")
