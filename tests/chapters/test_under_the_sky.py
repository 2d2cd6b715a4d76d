"""The chapter on nights and seasons: what it finds, what it says when something is missing, and the year's plate."""

import re
from dataclasses import replace
from itertools import pairwise
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from lxml import etree

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.catalogue.models.guide import Place, Target
from rigleaf.catalogue.models.place_fields import MONTHS
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.figures import Finding, Study
from rigleaf.chapters.guiding_and_exposure import tracking
from rigleaf.chapters.under_the_sky import place_sky, study, year_plate
from rigleaf.chapters.under_the_sky.gaps import gap_in_words, stretches
from rigleaf.sky.night import Nights, nights
from rigleaf.sky.seasons import season
from rigleaf.sky.site import Site
from tests.chapters.small_guide import catalogue, finding, parts

FIELD = {"latitude": "50 deg", "longitude": "8 deg", "elevation": "300 m", "timezone": "Europe/Berlin"}
SOUTH = {"latitude": "-23.4 deg", "longitude": "16.6 deg", "timezone": "Africa/Windhoek"}
TARGETS: dict[str, dict[str, str]] = {
    "galaxy": {"name": "Galaxy", "ra": "10.7 deg", "dec": "41.3 deg"},
    "low": {"name": "Low", "ra": "266 deg", "dec": "-29 deg"},
    "hidden": {"name": "Hidden", "ra": "160 deg", "dec": "-60 deg"},
    "moon": {"name": "Moon", "sort": "Moon"},
}


def guide(
    *targets: str, places: dict[str, dict[str, Any]] | None = None, mount: str = "worm", **more: Any
) -> Catalogue:
    """A guide of the year 2027 with one rig, its home in the first of the places, for the targets named."""
    found = catalogue(parts(head={"drive": mount}), rig={"targets": list(targets)}, year=2027, **more)
    given_places = {"field": FIELD} if places is None else places
    rig = found.rigs["rig"].model_copy(update={"place": next(iter(given_places), None)})
    return replace(
        found,
        rigs={"rig": rig},
        places={
            id_: Place.model_validate({"id": id_, "name": id_.title(), **one}) for id_, one in given_places.items()
        },
        targets={id_: Target.model_validate({"id": id_, **one}) for id_, one in TARGETS.items()},
    )


def studied(*targets: str, **more: Any) -> Study:
    found = guide(*targets, **more)
    return study.study(Assembly(found, found.rigs["rig"]))


def only(found: Study, id_: str) -> Finding:
    return finding(found, id_)


def test_without_a_place_it_says_where_to_name_one() -> None:
    found = studied("galaxy", places={})
    assert only(found, "place").verdict == "unsaid"
    assert "places.yml" in only(found, "place").remedy
    assert (found.figures, found.drawings, found.tables) == ((), (), ())


@pytest.mark.parametrize(
    ("stated", "words"),
    [
        ({}, "no latitude and no longitude."),
        ({"latitude": "50 deg"}, "no longitude."),
        ({"longitude": "8 deg"}, "no latitude."),
    ],
)
def test_without_coordinates_it_says_which_are_missing(stated: dict[str, str], words: str) -> None:
    found = only(studied("galaxy", places={"field": stated}), "place")
    assert found.verdict == "unsaid"
    assert found.sentence.endswith(words)


def test_a_place_with_dark_nights_is_sound_and_says_when_there_are_none() -> None:
    """At 50 deg north it stays light while the Sun's declination is above 22 deg: from 1 June to 11 July."""
    found = studied()
    assert only(found, "darkness").verdict == "sound"
    assert "It does not grow dark from 1 June to 11 July." in only(found, "darkness").sentence.replace("\u00a0", " ")
    assert found.value("dark-hours-june") == 0
    assert found.value("dark-hours-december") == pytest.approx(12.0, abs=0.1)
    assert found.tables == ()


def test_more_darkness_than_any_month_has_is_tight_and_names_a_darker_place() -> None:
    choices = {"season_hours": "230 h"}
    found = only(studied(choices=choices, places={"field": FIELD, "south": SOUTH}), "darkness")
    assert found.verdict == "tight"
    assert found.remedy.startswith("South has 1")
    alone = only(studied(choices=choices), "darkness")
    assert alone.remedy.startswith("No place of this guide has more")


def test_targets_are_judged_by_their_best_month() -> None:
    found = studied("galaxy", "low", "hidden", "moon", places={"field": FIELD, "south": SOUTH})
    assert [(one.id, one.verdict) for one in found.findings] == [
        ("darkness", "sound"), ("season-low", "fails"), ("season-hidden", "fails"), ("seasons", "sound"),
    ]  # fmt: skip
    assert "Galaxy: September to January" in only(found, "seasons").sentence
    assert "never stands higher than 11.1°" in only(found, "season-low").sentence
    assert "never rises" in only(found, "season-hidden").sentence
    assert re.match(r"From South it has 1\d\d(\.\d)?\u00a0h in", only(found, "season-low").remedy)


def test_a_target_with_few_hours_is_tight() -> None:
    found = only(studied("low", choices={"lowest_altitude": "10 deg", "season_hours": "30 h"}), "season-low")
    assert found.verdict == "tight"
    assert re.search(r"has \d+(\.\d)?\u00a0h dark, moonless and above 10.0° .*; 30\u00a0h are wanted", found.sentence)
    assert found.remedy == "No place of this guide shows it better: choose a target that stands higher."


def test_a_target_that_is_up_by_daylight_only_fails() -> None:
    """In the far north a target of the summer sky stands high only while there is no darkness."""
    north = {"latitude": "66 deg", "longitude": "15 deg"}
    found = studied("low", places={"north": north}, choices={"lowest_altitude": "20 deg"})
    assert only(found, "season-low").verdict == "fails"
    walled = {**FIELD, "horizon": [{"azimuth": "0 deg", "altitude": "89 deg"}]}
    hidden = only(studied("galaxy", places={"yard": walled}), "season-galaxy")
    assert hidden.verdict == "fails"
    assert "hides behind the skyline" in hidden.sentence


def test_tables_show_each_target_once_with_its_figures() -> None:
    found = studied("galaxy", "low", "moon")
    seasons, months = found.tables
    assert [row[0].text for row in seasons.rows] == ["Galaxy", "Low"]
    assert [cell.figure.id if cell.figure else cell.text for cell in seasons.rows[1]] == [
        "Low", "low-best-months", "low-best-hours", "–", "low-highest",
    ]  # fmt: skip
    assert "Europe/Berlin" in seasons.caption
    # Kasten and Young's air mass at 11 deg is 5.1, and 1.01 close to the zenith.
    assert [found.index[f"{id_}-highest"].note for id_ in ("galaxy", "low")] == ["air mass 1.0", "air mass 5.1"]
    assert months.columns[0] == "Target"
    assert len(months.columns) == 13
    hours = season(Site(50.0, 8.0, 300.0, "Europe/Berlin"), 2027, (10.7, 41.3), 30.0).by_month
    shown = [0 if cell.text == "–" else int(cell.text) for cell in months.rows[0][1:]]
    assert shown == pytest.approx(hours.tolist(), abs=0.5)
    assert found.value("galaxy-best-hours") == pytest.approx(float(hours.max()))


def test_times_follow_the_clock_of_the_place() -> None:
    """The galaxy's best month is October, in summer time; without a zone the same instant is given in UTC."""
    here = studied("galaxy").index["galaxy-meridian"]
    nowhere = studied("galaxy", places={"field": {**FIELD, "timezone": None}})
    assert here.value == "00:35"
    assert nowhere.index["galaxy-meridian"].value == "22:35"
    assert "UTC" in nowhere.tables[0].caption


def test_the_field_turns_on_an_alt_azimuth_mount_only() -> None:
    assert "galaxy-turn" not in studied("galaxy").index
    found = studied("galaxy", mount="alt-azimuth")
    turn, exposure = found.value("galaxy-turn"), found.value("galaxy-turn-exposure")
    assert turn is not None
    assert exposure is not None
    assert 1 < turn < 15
    corner = (6248**2 + 4176**2) ** 0.5 / 2
    trail = tracking.rotation_trail(turn * 60 * exposure / 3600, corner)
    assert trail == pytest.approx(1.0)


def test_rigs_at_one_place_share_its_nights() -> None:
    found, again = guide("galaxy"), guide("galaxy")
    place = found.places["field"]
    assert place_sky.nights_of(found, place) is place_sky.nights_of(again, again.places["field"])
    target = Assembly(found, found.rigs["rig"]).targets[0]
    assert place_sky.season_of(found, place, target) is place_sky.season_of(again, again.places["field"], target)


def test_guides_in_memory_store_nothing_and_others_beside_their_folder() -> None:
    found = guide()
    assert place_sky.store_of(found) is None
    root = found.root / "guide"
    assert place_sky.store_of(replace(found, root=root / "rigs")) == root / ".cache" / "rigleaf"
    assert place_sky.store_of(replace(found, root=root)) == root / ".cache" / "rigleaf"


@pytest.mark.parametrize(
    ("months", "words"),
    [
        ((), ""),
        ((5,), "June"),
        ((0, 9, 10, 11), "October to January"),
        ((0, 1, 5, 11), "June and December to February"),
        ((0, 2, 4), "January, March and May"),
        (range(12), "the whole year"),
    ],
)
def test_months_in_words(months: tuple[int, ...], words: str) -> None:
    assert place_sky.months_in_words(months) == words


@settings(deadline=None)
@given(st.sets(st.integers(0, 11), max_size=11))
def test_every_month_lies_in_one_range(months: set[int]) -> None:
    words = place_sky.months_in_words(sorted(months))
    found: list[int] = []
    for part in re.split(", | and ", words) if words else []:
        first, _, last = part.partition(" to ")
        begin, end = MONTHS.index(first), MONTHS.index(last or first)
        found += [month % 12 for month in range(begin, end + (12 if end < begin else 0) + 1)]
    assert sorted(found) == sorted(months)


def found_nights(latitude: float, zone: str = "") -> Nights:
    return nights(Site(latitude, 10.0, 0.0, zone), 2027)


def test_a_stretch_without_darkness_may_run_over_the_turn_of_the_year() -> None:
    """At 60 deg south the Sun's declination must be above -12 deg: it is below from 25 October to 16 February."""
    ((first, last),) = stretches(found_nights(-60.0))
    assert first > last
    assert gap_in_words(found_nights(-60.0)).replace("\u00a0", " ") == "from 25 October to 16 February"
    assert stretches(found_nights(30.0)) == []
    assert gap_in_words(found_nights(30.0)) == ""


@pytest.mark.parametrize("latitude", [-90.0, -66.0, -30.0, 0.0, 48.0, 52.0, 60.0, 70.0, 90.0])
def test_the_plate_is_small_whole_and_stays_inside(latitude: float) -> None:
    found = found_nights(latitude)
    seasons = [
        (name, season(found.site, 2027, (ra, 20.0), 30.0))
        for name, ra in zip("ABCDEFGH", range(0, 360, 45), strict=True)
    ]
    drawing = year_plate.year_plate("some", "Some place", found, seasons)
    assert len(drawing.svg) < 10_000
    svg = etree.fromstring(drawing.svg.encode())
    bands = [path.get("d") or "" for path in svg.iter("path") if path.get("class") == "shade"]
    assert 1 <= len(bands) <= 4
    height = (svg.find(".//g").get("transform") or "").split("scale(")[1].rstrip(")").split()[1]  # type: ignore[union-attr]
    for band in bands:
        for x, y in corners(band):
            assert 0 <= x <= 365
            assert -1 <= y <= year_plate.HEIGHT / float(height) + 1


def corners(path: str) -> list[tuple[int, int]]:
    """Absolute corners of closed paths of relative lines."""
    found = []
    for piece in re.findall(r"M(\d+) (-?\d+)l([^z]*)z", path):
        x, y = int(piece[0]), int(piece[1])
        found.append((x, y))
        numbers = [int(number) for number in re.findall(r"-?\d+", piece[2])]
        for step_x, step_y in zip(numbers[::2], numbers[1::2], strict=True):
            x, y = x + step_x, y + step_y
            found.append((x, y))
    return found


def test_the_plates_bands_and_strokes_hold_the_hours_that_they_stand_for() -> None:
    found = found_nights(40.0)
    drawing = year_plate.year_plate("some", "Some place", found)
    svg = etree.fromstring(drawing.svg.encode())
    *bands, strokes = [path.get("d") or "" for path in svg.iter("path")][:5]
    hours = [24 - found.bands[:, : level + 1].sum(axis=1).mean() for level in range(4)]
    for band, mean in zip(bands, hours, strict=True):
        points = corners(band)
        area = sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(points, points[1:] + points[:1], strict=True)) / 2
        assert abs(area) * year_plate.UNIT / 3600 / 365 == pytest.approx(mean, abs=0.1)
    length = sum(int(stroke) for stroke in re.findall(r"v(\d+)", strokes))
    assert length * year_plate.UNIT / 3600 == pytest.approx(found.moonless.sum(), rel=0.005)


def test_clock_changes_leave_no_step_in_the_plate() -> None:
    drawing = year_plate.year_plate("some", "Some place", found_nights(50.0, "Europe/Berlin"))
    first_band = re.search(r'd="(M\d+ \d+l[^"]+)"', drawing.svg)
    assert first_band is not None
    points = corners(first_band[1])
    steps = [abs(b[1] - a[1]) for a, b in pairwise(points) if b[0] > a[0]]
    assert max(steps) * year_plate.UNIT < 1200  # five nights change dusk by a quarter of an hour at the most


def test_the_description_says_what_the_plate_shows() -> None:
    words = year_plate.year_plate("some", "Some place", found_nights(30.0)).description
    assert "Darkness lasts longest in the night of 2" in words
    assert "shortest" in words
    assert "moonless" in words
