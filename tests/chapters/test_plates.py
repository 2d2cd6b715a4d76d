"""Plates: well-formed SVG with a text equivalent, safe against what people write, and with ids of their own."""

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from lxml import etree

from rigleaf.chapters.figures import Drawing
from rigleaf.chapters.study import RigStudy
from rigleaf.chapters.svg import PLATE_WIDTH, Plate, number
from tests.chapters.small_guide import catalogue, mass, parts, scale

HOSTILE = "<script>alert('1')</script> & \"quotes\" {{ 7*7 }} {% raw %}"


@pytest.fixture(scope="module")
def plates(demo_studies: tuple[RigStudy, ...]) -> dict[str, Drawing]:
    return {
        f"{study.rig.id}/{drawing.id}": drawing
        for study in demo_studies
        for _, found in study.studies
        for drawing in found.drawings
    }


def parsed(drawing: Drawing) -> etree._Element:
    return etree.fromstring(drawing.svg.encode(), etree.XMLParser(resolve_entities=False))


def test_each_rig_of_the_demo_has_its_plates(plates: dict[str, Drawing]) -> None:
    assert {name.partition("/")[2] for name in plates} >= {"field", "star", "mass"}


def test_every_plate_is_well_formed_and_names_itself(plates: dict[str, Drawing]) -> None:
    for name, drawing in plates.items():
        svg = parsed(drawing)
        labels = [svg.find(f".//*[@id='{id_}']") for id_ in svg.attrib["aria-labelledby"].split()]
        texts = [label.text or "" for label in labels if label is not None]
        assert [label.tag for label in labels if label is not None] == ["title", "desc"], name
        assert texts == [drawing.title, drawing.description]
        assert svg.attrib["role"] == "img"
        assert drawing.caption.endswith((".", ")")), name


def test_all_ids_of_all_plates_differ_and_every_reference_leads_to_one(plates: dict[str, Drawing]) -> None:
    ids = [id_ for drawing in plates.values() for id_ in parsed(drawing).xpath("//@id")]
    assert len(ids) == len(set(ids)) > 2 * len(plates)
    for drawing in plates.values():
        own = set(parsed(drawing).xpath("//@id"))
        assert set(re.findall(r"url\(#([^)]+)\)", drawing.svg)) <= own


def test_plates_use_the_style_sheets_classes_and_no_colour_of_their_own(
    plates: dict[str, Drawing], package: Path
) -> None:
    sheet = (package / "site" / "static" / "assets" / "rigleaf" / "plates.css").read_text("utf-8")
    known = set(re.findall(r"\.([a-z][\w-]*)", sheet))
    for name, drawing in plates.items():
        used = {word for style in parsed(drawing).xpath("//@class") for word in style.split()}
        assert used <= known | {"plate-480"}, name
        assert not re.search(r"#[0-9a-fA-F]{3,6}\b(?=[\"';])|rgb\(|(?:fill|stroke)=\"(?!url|none)", drawing.svg), name


def coordinates(svg: etree._Element) -> Iterator[tuple[float, float]]:
    for element in svg.iter("text", "rect", "line", "circle"):
        pairs = (("x", "y"), ("x1", "y1"), ("x2", "y2"), ("cx", "cy"))
        yield from (
            (float(element.get(x, "")), float(element.get(y, ""))) for x, y in pairs if element.get(x) is not None
        )


def test_nothing_is_drawn_outside_the_plate(plates: dict[str, Drawing]) -> None:
    for name, drawing in plates.items():
        svg = parsed(drawing)
        width, height = map(float, svg.attrib["viewBox"].split()[2:])
        assert width == PLATE_WIDTH
        outside = [
            (x, y) for x, y in coordinates(svg) if not (-0.01 <= x <= width + 0.01 and -0.01 <= y <= height + 0.01)
        ]
        assert outside == [], name


def test_every_number_in_a_plate_is_a_number(plates: dict[str, Drawing]) -> None:
    assert [name for name, drawing in plates.items() if re.search(r"\b(?:nan|inf)\b|\de[+-]?\d", drawing.svg)] == []


@settings(deadline=None)
@given(st.text(st.characters(codec="utf-8", exclude_categories=["Cc", "Cs", "Cn"], exclude_characters="\ufffe\uffff")))
def test_whatever_is_written_on_a_plate_comes_back_as_text(words: str) -> None:
    plate = Plate("some", 100, 100, words, words)
    plate.text(1, 2, words)
    plate.dimension(0, 0, 50, 0, words)
    plate.dimension(0, 0, 0, 50, words)
    svg = etree.fromstring(plate.render().encode())
    assert [element.text or "" for element in svg.iter("title", "desc", "text")] == [words] * 5


def test_hostile_names_stay_text() -> None:
    shelf = parts(tube={"name": HOSTILE}, head={"name": HOSTILE})
    found = catalogue(shelf, rig={"name": HOSTILE})
    drawings = scale(found).drawings + mass(found).drawings
    assert len(drawings) == 3
    for drawing in drawings:
        assert "<script" not in drawing.svg
        etree.fromstring(drawing.svg)


def test_a_hatched_plate_defines_its_hatching_once() -> None:
    plate = Plate("some", 100, 100, "Some", "Some plate.")
    assert "pattern" not in plate.render()
    plate.rect(0, 0, 10, 10, "ink hatch")
    plate.rect(20, 0, 10, 10, "ink hatch")
    assert plate.render().count("<pattern") == 1
    assert plate.render().count('fill="url(#some-hatch)"') == 2


@pytest.mark.parametrize(
    ("value", "text"),
    [(0.0, "0"), (-0.001, "0"), (1.0, "1"), (1.5, "1.5"), (1.256, "1.26"), (100.0, "100"), (-3.1, "-3.1")],
)
def test_coordinates_are_short(value: float, text: str) -> None:
    assert number(value) == text


def test_a_path_may_be_closed() -> None:
    plate = Plate("some", 10, 10, "Some", "Some plate.")
    plate.path([(0, 0), (5, 0), (5, 5)], close=True)
    plate.path([(0, 0), (5, 5)])
    assert 'd="M0 0 L5 0 L5 5 Z"' in plate.render()
    assert 'd="M0 0 L5 5"' in plate.render()


def test_the_star_fills_the_middle_pixel_most() -> None:
    star = next(drawing for drawing in scale(catalogue()).drawings if drawing.id == "star")
    shades = [float(style) for style in re.findall(r'fill-opacity="([\d.]+)"', star.svg)]
    assert len(shades) % 2 == 1
    assert max(shades) == shades[len(shades) // 2]
    assert shades == pytest.approx(shades[::-1])


def test_letters_of_the_mosaic_stand_on_colour_sensors_only() -> None:
    def letters(mosaic: str) -> int:
        sensor = {"pixels": "3000 x 2000", "pixel": "3.76 um", "mosaic": mosaic}
        star = next(one for one in scale(catalogue(parts(camera={"sensor": sensor}))).drawings if one.id == "star")
        return len(re.findall(r">[RGB]</text>", star.svg))

    assert letters("mono") == 0
    assert letters("colour") in {n * n for n in range(5, 17, 2)}


@pytest.mark.parametrize(("circle_mm", "drawn"), [(28, True), (34, True), (36, False)])
def test_an_image_circle_beyond_the_drawing_is_not_promised(circle_mm: int, drawn: bool) -> None:
    shelf = parts(tube={"image_circle": f"{circle_mm} mm"}, camera={"guide_sensor": None})
    found = scale(catalogue(shelf, rig={"train": ["tube", "camera"]}))
    field = next(one for one in found.drawings if one.id == "field")
    assert ("stroke-dasharray" in field.svg) == ("Dashed: the image circle" in field.caption) == drawn
    assert f"image circle of the optic, {circle_mm}\u00a0mm across" in field.caption


@pytest.mark.parametrize("side", [-17.5, 17.5])
def test_the_guide_sensor_is_drawn_on_the_side_it_stands_on(side: float) -> None:
    second = {"pixels": "1920 x 1080", "pixel": "2.9 um", "offset": ["0 mm", f"{side} mm"]}
    field = next(one for one in scale(catalogue(parts(camera={"guide_sensor": second}))).drawings if one.id == "field")
    main, guide = (
        [float(box.get(edge, "")) for edge in ("y", "height")]
        for box in parsed(field).xpath("//*[name()='rect'][@class]")
    )
    above = guide[0] + guide[1] / 2 < main[0] + main[1] / 2
    assert above == (side > 0)  # up on the plate is up on the sensor
