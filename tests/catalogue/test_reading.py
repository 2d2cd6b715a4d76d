"""A sound guide is read as it is written: values, order, places, users."""

import datetime as dt
from collections.abc import Iterator
from pathlib import Path

import pytest

from rigleaf.catalogue.catalogue import ON_THE_MOUNT, ON_THE_TRIPOD, ROLES, Catalogue, Source
from rigleaf.catalogue.faults import CatalogueError
from rigleaf.catalogue.models.cameras import Camera
from rigleaf.catalogue.models.carrying import Bag
from rigleaf.catalogue.models.fields import Box, Offset, Pixels
from rigleaf.catalogue.models.optics import Optic
from rigleaf.catalogue.models.power import Battery
from rigleaf.catalogue.models.rig import Use, UsedBag
from rigleaf.catalogue.reading import read_catalogue
from rigleaf.processes import apart
from rigleaf.quantities import Reading


def optic(good: Catalogue) -> Optic:
    part = good.parts["refractor-80"]
    assert isinstance(part, Optic)
    return part


def test_measured_wins_over_stated_and_remembers_it(good: Catalogue) -> None:
    focal_length = optic(good).focal_length
    assert focal_length == Reading(
        478.6,
        "optical_length",
        "measured",
        0.8,
        dt.date(2026, 3, 21),
        "478.6 mm +- 0.8 mm",
        stated=Reading(480.0, "optical_length", "stated", text="480 mm"),
    )


def test_stated_alone_is_stated(good: Catalogue) -> None:
    assert optic(good).mass == Reading(3.4, "mass", "stated", text="3.4 kg")


def test_what_is_not_said_is_none(good: Catalogue) -> None:
    assert optic(good).image_circle is None
    assert good.rigs["south"].mount is None
    assert good.rigs["south"].riders == ()


def test_values_inside_a_part(good: Catalogue) -> None:
    camera, battery, bag = good.parts["camera"], good.parts["brick"], good.parts["day-bag"]
    assert isinstance(camera, Camera)
    assert isinstance(battery, Battery)
    assert isinstance(bag, Bag)
    assert camera.sensor is not None
    assert camera.guide_sensor is not None
    assert battery.charge is not None
    assert battery.outlets is not None
    assert camera.sensor.pixels == Pixels(6248, 4176)
    assert camera.guide_sensor.offset == Offset(0.0, -17.5)
    assert bag.inner == Box(420.0, 180.0, 160.0)
    assert battery.charge.value == pytest.approx(20.0)
    assert battery.installed is False
    assert [(outlet.kind, outlet.count) for outlet in battery.outlets] == [("car socket", None), ("USB-C", 2)]
    assert str(optic(good).rear) == "M63 x 1 male"


def test_a_part_cannot_be_changed(good: Catalogue) -> None:
    with pytest.raises(ValueError, match="frozen"):
        good.parts["brick"].name = "Stone"  # type: ignore[misc]


def test_parts_come_in_the_order_of_files_and_lines(good: Catalogue) -> None:
    assert list(good.parts)[:3] == ["refractor-80", "reducer", "camera"]
    assert list(good.parts)[-1] == "hammer"
    assert list(good.rigs) == ["south", "travel"]


def test_sources_name_file_and_line(good: Catalogue) -> None:
    assert good.source("part", "refractor-80") == Source("parts/a-first.yml", 1)
    assert good.source("part", "reducer") == Source("parts/a-first.yml", 15)
    assert good.source("part", "hammer") == Source("parts/b-second.yml", 16)
    assert good.source("rig", "travel") == Source("travel.yml", 1)
    assert good.source("place", "meadow") == Source("places.yml", 6)


def test_items_come_in_the_order_of_roles_whatever_the_order_in_the_file(good: Catalogue) -> None:
    items = good.items(good.rigs["travel"])
    assert [(item.role, item.part.id, item.count, item.note) for item in items] == [
        ("train", "refractor-80", 1, None),
        ("train", "reducer", 1, None),
        ("train", "camera", 1, "cooled"),
        ("guiding", "scope", 1, None),
        ("guiding", "guider", 1, None),
        ("mount", "head", 1, None),
        ("counterweight", "bar", 1, None),
        ("counterweight", "disc", 1, None),
        ("tripod", "legs", 1, None),
        ("power", "brick", 2, "one in the coat"),
        ("bag", "day-bag", 1, None),
        ("carried", "hammer", 1, None),
        ("carried", "brick", 1, None),
    ]
    order = list(ROLES)
    assert [order.index(item.role) for item in items] == sorted(order.index(item.role) for item in items)


def test_roles_on_mount_and_tripod() -> None:
    assert ON_THE_MOUNT < ON_THE_TRIPOD < set(ROLES)


def test_used_by_names_each_rig_once(good: Catalogue) -> None:
    assert good.used_by["refractor-80"] == ("south", "travel")
    assert good.used_by["brick"] == ("travel",)
    assert "sun-cap" not in good.used_by


def test_the_home_place_is_the_rigs_or_the_guides(good: Catalogue) -> None:
    assert good.place_of(good.rigs["south"]) is good.places["ridge"]
    assert good.place_of(good.rigs["travel"]) is good.places["meadow"]


def test_without_a_home_place_there_is_none(tmp_path: Path) -> None:
    (tmp_path / "new.yml").write_text("id: new\nname: New\n")
    catalogue = read_catalogue(tmp_path)
    assert catalogue.place_of(catalogue.rigs["new"]) is None
    assert catalogue.guide.name == "Field guide"
    assert catalogue.guide.units == "metric"


def test_units_of_any_system(good: Catalogue) -> None:
    ridge, disc = good.places["ridge"], good.parts["disc"]
    assert ridge.elevation is not None
    assert disc.mass is not None
    assert ridge.elevation.value == pytest.approx(1100 * 0.3048)
    assert disc.mass.value == pytest.approx(4 * 0.45359237)


def test_the_guide_is_found_in_the_folder_rigs(good_folder: Path, tmp_path: Path) -> None:
    (tmp_path / "rigs").symlink_to(good_folder)
    (tmp_path / "notes.yml").write_text("not: ours\n")
    assert list(read_catalogue(tmp_path).rigs) == ["south", "travel"]


def test_a_folder_rigs_inside_a_guide_is_not_the_guide(tmp_path: Path) -> None:
    (tmp_path / "rigs").mkdir()
    (tmp_path / "guide.yml").write_text("name: New\n")
    assert read_catalogue(tmp_path).root == tmp_path


def test_a_folder_that_is_not_there() -> None:
    with pytest.raises(FileNotFoundError, match="there is no folder 'nowhere'"):
        read_catalogue(Path("nowhere"))


def test_hidden_files_schemas_and_other_files_are_passed_over(tmp_path: Path) -> None:
    for name in (".hidden.yml", "parts/.swap.yml", "schema/rig.yml", ".git/config.yml", "notes.txt"):
        path = tmp_path / name
        path.parent.mkdir(exist_ok=True)
        path.write_text("{")
    (tmp_path / "guide.yml").write_text("name: New\n")
    (tmp_path / "parts" / "empty.yml").write_text("# nothing yet\n")
    catalogue = read_catalogue(tmp_path)
    assert (dict(catalogue.parts), dict(catalogue.rigs)) == ({}, {})


def test_parts_in_folders_of_parts(tmp_path: Path) -> None:
    deep = tmp_path / "parts" / "of" / "many" / "kinds.yml"
    deep.parent.mkdir(parents=True)
    deep.write_text("- {id: hammer, kind: tool, name: Hammer}\n")
    assert read_catalogue(tmp_path).source("part", "hammer") == Source("parts/of/many/kinds.yml", 1)


def test_links_inside_the_guide_are_followed(tmp_path: Path) -> None:
    (tmp_path / "kept").mkdir()
    (tmp_path / "kept" / "rig.txt").write_text("id: new\nname: New\n")
    (tmp_path / "new.yml").symlink_to("kept/rig.txt")
    assert list(read_catalogue(tmp_path).rigs) == ["new"]


def test_photos_that_are_there(tmp_path: Path) -> None:
    (tmp_path / "parts").mkdir()
    (tmp_path / "Hammer.JPG").write_bytes(b"")
    (tmp_path / "parts" / "a.yml").write_text("- {id: a, kind: tool, name: A, photo: Hammer.JPG}\n")
    assert read_catalogue(tmp_path).parts["a"].photo == "Hammer.JPG"


def test_a_photo_with_a_name_longer_than_any_system_takes(tmp_path: Path) -> None:
    (tmp_path / "parts").mkdir()
    (tmp_path / "parts" / "a.yml").write_text(f"- {{id: a, kind: tool, name: A, photo: {'x' * 300}.jpg}}\n")
    with pytest.raises(CatalogueError, match="cannot be read: file name too long"):
        read_catalogue(tmp_path)


def test_a_folder_that_may_not_be_read_is_reported(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "guide.yml").write_text("name: New\n")
    (tmp_path / "parts" / "locked").mkdir(parents=True)
    listed = Path.iterdir

    def refusing(folder: Path) -> Iterator[Path]:
        if folder.name == "locked":
            raise PermissionError(13, "Permission denied")
        return listed(folder)

    monkeypatch.setattr(Path, "iterdir", refusing)
    with pytest.raises(CatalogueError) as error:
        read_catalogue(tmp_path)
    assert str(error.value) == "parts/locked/:1:1: this folder cannot be read: permission denied"


def test_parts_that_rigs_name_by_id_alone_are_held_once_and_nothing_else_is_shared(tmp_path: Path) -> None:
    (tmp_path / "parts").mkdir()
    (tmp_path / "parts" / "all.yml").write_text(
        "- {id: tube, name: Tube, kind: optic}\n"
        "- {id: sack, name: Sack, kind: bag}\n"
        "- {id: ring, name: Ring, kind: adapter}\n"
    )
    for name, train in (("one", "[tube]"), ("two", "[tube, {part: ring, note: Behind.}]"), ("three", "[{part: tube}]")):
        (tmp_path / f"{name}.yml").write_text(
            f"id: {name}\nname: {name}\ntrain: {train}\nbags: [sack]\ncarried: [sack]\n"
        )
    rigs = read_catalogue(tmp_path).rigs
    (one,), (two, behind), (three,) = (rigs[name].train for name in ("one", "two", "three"))
    assert one is two
    assert (one.part, one.count, one.note) == ("tube", 1, None)
    assert behind.note == "Behind."
    assert three == one
    assert type(rigs["one"].bags[0]) is UsedBag
    assert type(rigs["one"].carried[0]) is Use


def test_an_id_that_no_part_can_have_is_refused_wherever_it_stands(tmp_path: Path) -> None:
    for name in ("one", "two"):
        (tmp_path / f"{name}.yml").write_text(f"id: {name}\nname: {name}\ntrain:\n- Bad Id\n- 7\n")
    for _ in range(2):
        with pytest.raises(CatalogueError) as caught:
            read_catalogue(tmp_path)
        places = [(fault.file, fault.line) for fault in caught.value.faults]
        assert places == [("one.yml", 4), ("one.yml", 5), ("two.yml", 4), ("two.yml", 5)]
    with pytest.raises(CatalogueError) as there:
        apart(lambda: read_catalogue(tmp_path))
    assert there.value.faults == caught.value.faults


def test_a_guide_that_another_process_has_read_is_the_same(good: Catalogue) -> None:
    assert apart(lambda: good) == good
