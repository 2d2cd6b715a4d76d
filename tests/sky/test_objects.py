"""Finding objects as people write them, and what the hand-written files must and must not say."""

from importlib.resources import files
from typing import Any

import pytest
import yaml

from rigleaf.sky.objects import CATALOGUE, SkyObject, all_objects, find, nearest_designation

DATA = files("rigleaf.sky") / "data"
FIELDS = {"major", "minor", "position_angle", "b_mag", "v_mag", "kind", "names", "designations", "at", "called"}


def entries(name: str) -> list[dict[str, Any]]:
    read: list[dict[str, Any]] = yaml.safe_load((DATA / name).read_text("utf-8"))
    return read


def found(text: str) -> SkyObject:
    thing = find(text)
    assert thing is not None, text
    return thing


@pytest.mark.parametrize(
    ("texts", "designation"),
    [
        (("M 31", "M31", "m31", "Messier 31", "MESSIER 031", "NGC 224", "ngc0224", "NGC-224", "UGC 454"), "M 31"),
        (("NGC 7000", "ngc7000", " NGC  7000 ", "ngc_7000", "C 20", "Caldwell 20", "Sh2-117"), "NGC 7000"),
        (("IC 1396", "ic1396", "Sharpless 131"), "IC 1396"),
        (("C 9", "c9", "Caldwell 9", "Sh2-155", "sh 2-155", "SH2 155", "Sharpless 2-155", "Sharpless 155"), "C 9"),
        (("Barnard 33", "B33", "B 33", "Horsehead Nebula", "the horsehead nebula"), "B 33"),
        (("Melotte 22", "Mel 22", "Pleiades", "M 45"), "M 45"),
        (("Collinder 399", "Cr 399"), "Cr 399"),
        (("vdB 141", "van den Bergh 141", "Sh2-136"), "vdB 141"),
        (("Simeis 147", "Sh2-240"), "Sh2-240"),
        (("Abell 39",), "Abell 39"),
        (("PK 164+31 1", "pk164+31 1"), "PK 164+31 1"),
        (("Markarian's Chain", "markarian’s chain"), "Markarian's Chain"),
        (("ESO 56-115", "ESO056-115", "Large Magellanic Cloud"), "ESO 56-115"),
        (("NGC 2244", "NGC 2239", "C 50"), "NGC 2244"),
        (("IC 11", "NGC 281"), "NGC 281"),
        (("IC 2118", "NGC 1909"), "IC 2118"),
        (("IC 80 NED01", "IC 0080 NED01"), "IC 80 NED01"),
    ],
)
def test_an_object_is_found_by_all_that_it_goes_by(texts: tuple[str, ...], designation: str) -> None:
    assert {text: found(text).designation for text in texts} == dict.fromkeys(texts, designation)


@pytest.mark.parametrize("text", ["", " ", "M", "M 111", "NGC 99999", "NGC", "Sh2-", "7000", "no such thing", "M 31 x"])
def test_what_is_no_object_is_none(text: str) -> None:
    assert find(text) is None


@pytest.mark.parametrize(
    ("text", "meant"),
    [
        ("NCG 7000", "NGC 7000"),
        ("NGC 70000", "NGC 7000"),
        ("Mesier 31", "M 31"),
        ("M 111", "M 11"),
        ("Sh2-1555", "Sh2-155"),
        ("Sharples 155", "Sh2-155"),
        ("Andromda Galaxy", "Andromeda Galaxy"),
        ("Caldwel 9", "C 9"),
        ("M 31", "M 31"),
        ("xyzzy", None),
        ("", None),
        ("NGC " + "7" * 500, None),
    ],
)
def test_a_slip_leads_to_what_was_meant(text: str, meant: str | None) -> None:
    assert nearest_designation(text) == meant
    assert meant is None or find(meant) is not None


def test_every_messier_and_caldwell_number_has_its_object() -> None:
    numbers = [f"M {number}" for number in range(1, 111)] + [f"C {number}" for number in range(1, 110)]
    assert [name for name in numbers if find(name) is None] == []
    # Between the two lists no object stands twice, and M 102 is not M 101.
    assert len({found(name).designation for name in numbers}) == 219


def test_every_designation_leads_back_to_its_object() -> None:
    objects = all_objects()
    assert len(objects) > 13_000
    by_name: dict[str, SkyObject] = {}
    for thing in objects:
        for designation in thing.designations:
            assert by_name.setdefault(designation, thing) is thing, f"{designation} is given twice"
    samples = [*list(by_name.items())[::40], *list(by_name.items())[-200:]]
    assert [name for name, thing in samples if find(name) != thing] == []
    assert [name for name, thing in samples if nearest_designation(name) != thing.designation] == []


def test_values_are_within_what_can_be() -> None:
    for thing in all_objects():
        assert thing.designations
        assert thing.kind
        assert len(thing.constellation) == 3
        assert 0 <= thing.ra < 360
        assert -90 <= thing.dec <= 90
        assert thing.major is None or thing.major > 0
        assert thing.minor is None or (thing.major is not None and 0 < thing.minor <= thing.major)
        assert thing.position_angle is None or 0 <= thing.position_angle <= 180


def test_an_outline_without_a_measured_angle_is_a_circle() -> None:
    for thing in all_objects():
        if thing.outline is None:
            assert thing.major is None
        elif thing.outline[2] is None:
            assert thing.outline[0] == thing.outline[1] == thing.major
    assert found("NGC 7000").outline == (120, 120, None)
    assert found("M 31").outline == (177.83, 69.66, 35)
    assert found("M 13").outline == (16.5, 16.5, None)
    assert found("Galactic Centre").outline is None


def test_a_value_says_where_it_comes_from() -> None:
    america = found("NGC 7000")
    assert america.source("major") == "from memory"
    assert america.source("names") == CATALOGUE
    assert found("M 31").sources == ()
    assert found("Sh2-101").source("ra") == "from memory"


def test_overrides_name_known_objects_and_fields_and_a_source_and_change_something() -> None:
    lines = (DATA / "objects.csv").read_text("utf-8").splitlines()[1:]
    shipped = {name for line in lines for name in line.split(",")[0].split("; ")}
    for entry in entries("objects_overrides.yml"):
        assert set(entry) == {"object", "values", "source", "why"}
        assert set(entry["values"]) <= FIELDS
        assert entry["values"]
        assert entry["source"]
        assert entry["why"]
        assert entry["object"] in shipped


def test_additions_are_not_in_the_catalogue_and_have_a_source() -> None:
    lines = (DATA / "objects.csv").read_text("utf-8").splitlines()[1:]
    shipped = {name.casefold() for line in lines for name in line.split(",")[0].split("; ")}
    for entry in entries("objects_additions.yml"):
        assert set(entry) <= FIELDS | {"constellation", "source"}
        assert {"designations", "kind", "constellation", "at", "source"} <= set(entry)
        assert not shipped & {name.casefold() for name in entry["designations"]}


def test_the_table_can_be_split_at_its_commas() -> None:
    lines = (DATA / "objects.csv").read_text("utf-8").splitlines()
    assert {line.count(",") for line in lines} == {10}
    assert not any('"' in line for line in lines)


def test_licences_and_sources_travel_with_the_data() -> None:
    data = {path.name for path in DATA.iterdir()}
    said = (DATA / "LICENSES.md").read_text("utf-8")
    assert {name for name in data if name.endswith((".npz", ".csv", ".yml")) and f"`{name}`" not in said} == set()
    assert {"SOURCES.md", "CC-BY-SA-4.0.txt"} <= data
