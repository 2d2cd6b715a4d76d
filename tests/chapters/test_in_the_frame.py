"""Framing: what must hold for every outline, frame and target, and how the chapter judges."""

from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from lxml import etree

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.catalogue.models.guide import Target
from rigleaf.catalogue.targets import resolve
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.figures import Study
from rigleaf.chapters.in_the_frame import fleet, physics, words
from rigleaf.chapters.in_the_frame.framing import Wishes, frame_target
from rigleaf.chapters.in_the_frame.framing_plate import framing_plate
from rigleaf.chapters.in_the_frame.physics import Beside, Ellipse
from rigleaf.chapters.in_the_frame.study import study
from rigleaf.chapters.in_the_frame.view import View, view_of
from rigleaf.sky.projection import Frame, project, unproject
from rigleaf.sky.stars import stars_in_cone
from tests.chapters.small_guide import Data, catalogue, finding, number, parts

WISHES = Wishes(0.1, 0.2)

axes = st.floats(0.01, 20.0)
ellipses = st.builds(
    lambda a, b, turn: Ellipse(max(a, b), min(a, b), turn), axes, axes, st.floats(0, 180)
)  # fmt: skip
sides = st.floats(0.2, 30.0)
turns = st.floats(-720, 720)


def framed_guide(*targets: Data, shelf: dict[str, Data] | None = None, **rig: Any) -> Catalogue:
    """The small guide with targets of its own, all of them those of its one rig."""
    made = [Target.model_validate({"name": data["id"], **data}) for data in targets]
    small = catalogue(shelf, rig={"targets": [target.id for target in made], **rig})
    return Catalogue(
        small.root, small.guide, small.parts, small.rigs, small.places, {target.id: target for target in made}
    )


def framed(*targets: Data, shelf: dict[str, Data] | None = None, **rig: Any) -> Study:
    guide = framed_guide(*targets, shelf=shelf, **rig)
    return study(Assembly(guide, guide.rigs["rig"]))


def own(id_: str, major: str, minor: str | None = None, **more: Any) -> Data:
    data: Data = {"id": id_, "sort": "nebula", "ra": "5h 35.3m", "dec": "-5d 23'", "major_axis": major, **more}
    return data | ({"minor_axis": minor} if minor else {})


# --- what holds always --------------------------------------------------------------------------------------


@given(ellipses, sides, sides, turns, st.floats(-40, 40), st.floats(-40, 40))
def test_the_share_lies_between_nothing_and_the_whole(
    ellipse: Ellipse, width: float, height: float, angle: float, x: float, y: float
) -> None:
    share = float(physics.share_inside(ellipse, width, height, angle, x, y))
    assert 0 <= share <= 1
    assert share <= width * height / (np.pi * ellipse.major * ellipse.minor) + 1e-9


@given(ellipses, sides, sides, turns)
def test_all_of_it_is_inside_just_when_there_is_room(
    ellipse: Ellipse, width: float, height: float, angle: float
) -> None:
    room = float(physics.room(ellipse, width, height, angle))
    share = float(physics.share_inside(ellipse, width, height, angle))
    if room >= 0:
        assert share == pytest.approx(1, abs=1e-9)
    if room < -0.01 * ellipse.major:
        assert share < 1


@given(ellipses, sides, sides, turns, turns)
def test_turning_both_changes_nothing_and_half_a_turn_neither(
    ellipse: Ellipse, width: float, height: float, angle: float, turn: float
) -> None:
    turned = Ellipse(ellipse.major, ellipse.minor, ellipse.angle + turn)
    share = float(physics.share_inside(ellipse, width, height, angle))
    assert float(physics.share_inside(turned, width, height, angle + turn)) == pytest.approx(share, abs=1e-7)
    assert float(physics.share_inside(ellipse, width, height, angle + 180)) == pytest.approx(share, abs=1e-7)


@given(ellipses, sides, sides)
def test_the_best_angle_is_no_worse_than_any_other(ellipse: Ellipse, width: float, height: float) -> None:
    angles, short = physics.angles_to_try(ellipse), min(width, height)
    good = physics.good_angles(ellipse, width, height, angles, 0.1 * short)
    best = physics.best_angle(ellipse, width, height, angles, good)
    rooms = physics.room(ellipse, width, height, angles)
    here = float(physics.room(ellipse, width, height, best))
    shares = physics.share_inside(ellipse, width, height, angles)
    if rooms.max() >= 0:
        assert here >= max(0.0, rooms.max() - 0.01 * short) - 1e-9
        assert here >= 0.1 * short - 1e-9 or rooms.max() < 0.1 * short
    else:
        assert float(physics.share_inside(ellipse, width, height, best)) >= shares.max() - 0.005 - 1e-9
    if not good.all():
        # Half degrees are no better by more than the outline's ends move meanwhile.
        between = physics.room(ellipse, width, height, np.arange(0, 180, 0.25))
        assert between.max() <= rooms.max() + np.radians(0.5) * ellipse.major


@settings(max_examples=60)
@given(
    st.floats(0, 360),
    st.floats(-90, 90),
    st.floats(0.1, 6.0),
    st.floats(0.05, 1.0),
    st.floats(0, 180),
    st.floats(0.8, 4.0),
    st.floats(0.8, 4.0),
    st.floats(0.05, 0.5),
)
def test_panels_cover_the_target_wherever_it_stands(
    ra: float, dec: float, major: float, flat: float, tilt: float, width: float, height: float, overlap: float
) -> None:
    ellipse = Ellipse(major, major * flat, tilt)
    grid = physics.smallest_grid(ellipse, width, height, 0.0, overlap)
    panels = physics.panels((ra, dec), ellipse, width, height, grid, overlap)
    turn = np.linspace(0, 2 * np.pi, 60)
    seen = np.zeros((4, 60), dtype=bool)
    for ring, part in enumerate((0.2, 0.5, 0.8, 0.999)):
        along, aside = part * ellipse.major * np.cos(turn), part * ellipse.minor * np.sin(turn)
        angle = np.radians(tilt)
        xi, eta = along * np.sin(angle) + aside * np.cos(angle), along * np.cos(angle) - aside * np.sin(angle)
        places = unproject(xi, eta, ra, dec)
        for panel in panels:
            frame = Frame(width, height, panel.position_angle)
            seen[ring] |= frame.contains(*project(*places, panel.ra, panel.dec), -1e-6)
    assert seen.all()


@given(ellipses, sides, sides, st.floats(0, 0.5))
def test_no_angle_needs_fewer_panels(ellipse: Ellipse, width: float, height: float, overlap: float) -> None:
    grid = physics.smallest_grid(ellipse, width, height, 0.0, overlap)
    across, up = physics.half_extents(ellipse, physics.angles_to_try(ellipse))
    cells = physics.panels_along(2 * across, width, overlap) * physics.panels_along(2 * up, height, overlap)
    assert grid.cells == cells.min()


@given(st.floats(0, 360), st.floats(-90, 90))
def test_places_in_words_are_whole_seconds_below_sixty(ra: float, dec: float) -> None:
    hours, minutes, seconds = (int(part[:2]) for part in words.right_ascension(ra).split("\u00a0"))
    assert 0 <= hours < 24
    assert max(minutes, seconds) < 60
    assert abs((hours + minutes / 60 + seconds / 3600) * 15 - ra) % 360 == pytest.approx(0, abs=0.0022) or ra > 359.99
    text = words.declination(dec)
    assert max(int(part[:2]) for part in text.split("\u00a0")[1:]) < 60
    assert text[0] == ("−" if dec < -1 / 7200 else "+") or abs(dec) < 1 / 3600


# --- targets ------------------------------------------------------------------------------------------------


def test_an_object_brings_its_place_outline_and_light() -> None:
    m31 = resolve(Target(id="m31", name="M31", object="messier 31"))
    assert (m31.designation, m31.sort, m31.kind) == ("M 31", "galaxy", "galaxy")
    assert m31.place == pytest.approx((10.685, 41.269), abs=0.01)
    assert m31.outline == pytest.approx((177.83, 69.66, 35))
    assert m31.surface_brightness == pytest.approx(22.3, abs=0.1)
    assert "OpenNGC" in m31.note


def test_values_of_its_own_go_before_those_of_the_object() -> None:
    data = {"id": "m31", "name": "M31", "object": "M 31", "major_axis": "4 deg", "magnitude": 3, "source": "measured"}
    changed = resolve(Target.model_validate(data))
    assert changed.outline == (240, 240, None)
    assert (changed.v_mag, changed.ra) == (3, resolve(Target(id="m31", name="M31", object="M 31")).ra)
    assert changed.note == "Place from OpenNGC; extent and magnitude measured."


def test_no_tilt_is_invented() -> None:
    data = {"id": "x", "name": "X", "ra": "0h", "dec": "0 deg", "major_axis": "30 arcmin", "minor_axis": "10 arcmin"}
    assert resolve(Target.model_validate(data)).outline == (30, 30, None)
    assert resolve(Target.model_validate({**data, "position_angle": "200 deg"})).outline == (30, 10, 20)


def test_sun_and_moon_have_a_disc_and_no_place_and_clusters_no_surface_brightness() -> None:
    for sort, disc in (("Moon", 31.1), ("Sun", 32.0)):
        found = resolve(Target.model_validate({"id": "x", "name": "X", "sort": sort}))
        assert (found.outline, found.place) == ((disc, disc, None), None)
    assert resolve(Target(id="m13", name="M13", object="M 13")).surface_brightness is None
    assert resolve(Target(id="some", name="Some")).outline is None


@pytest.mark.parametrize(
    ("ra", "dec", "place"),
    [
        ("5h 35m 17.3s", "-5d 23' 28\"", (83.8221, -5.3911)),
        ("83.8221 deg", "-5.3911 deg", (83.8221, -5.3911)),
        ("24h", "+90 deg", (0.0, 90.0)),
        ("0h 0.5m", "-0d 30'", (0.125, -0.5)),
    ],
)
def test_places_may_be_written_in_hours_or_degrees(ra: str, dec: str, place: tuple[float, float]) -> None:
    found = resolve(Target.model_validate({"id": "x", "name": "X", "ra": ra, "dec": dec}))
    assert found.place == pytest.approx(place, abs=1e-4)


# --- judgement ----------------------------------------------------------------------------------------------
# The small guide's rig has 384 mm of focal length and sees 3.51 by 2.34 deg.


@pytest.mark.parametrize(
    ("major", "verdict"),
    [("30 arcmin", "sound"), ("1.8 deg", "sound"), ("2.1 deg", "tight"), ("2.4 deg", "tight"), ("2.6 deg", "fails"),
     ("40 arcsec", "tight"), ("10 arcsec", "fails")],
)  # fmt: skip
def test_verdicts_follow_the_room_and_the_resolved_elements(major: str, verdict: str) -> None:
    found = framed(own("target", major))
    one = finding(found, "target")
    assert one.verdict == verdict
    assert bool(one.remedy) == (verdict != "sound")
    assert set(one.figures) <= set(found.index)


def test_the_margin_and_the_overlap_are_the_guides_choice() -> None:
    guide = framed_guide(own("target", "1.8 deg"))
    strict = guide.guide.model_validate({"name": "G", "choices": {"frame_margin": "30 %"}})
    changed = Catalogue(guide.root, strict, guide.parts, guide.rigs, {}, guide.targets)
    assert finding(study(Assembly(changed, guide.rigs["rig"])), "target").verdict == "tight"


def test_a_target_too_large_gets_a_mosaic_with_places_for_every_panel() -> None:
    found = framed(own("target", "5 deg", "2 deg", position_angle="30 deg"))
    assert finding(found, "target").verdict == "fails"
    assert "A mosaic of" in finding(found, "target").remedy
    (table,) = (table for table in found.tables if table.id == "panels-target")
    assert 1 < len(table.rows) <= number(found, "target-panels")
    assert number(found, "target-share") < 1


def test_a_target_without_a_size_and_a_rig_without_targets_are_unsaid() -> None:
    found = framed({"id": "speck", "sort": "nebula", "ra": "1h", "dec": "1 deg"}, own("other", "1 deg"))
    assert finding(found, "speck").verdict == "unsaid"
    assert "major_axis" in finding(found, "speck").remedy
    assert finding(found, "other").verdict == "sound"
    assert finding(framed(), "targets").verdict == "unsaid"


def test_a_rig_whose_frame_is_not_known_says_what_is_missing() -> None:
    found = framed(own("target", "1 deg"), shelf=parts(tube={"focal_length": None}))
    (one,) = found.findings
    assert one.verdict == "unsaid"
    assert "the focal length" in one.sentence
    assert found.drawings == ()


def test_a_better_rig_of_the_club_is_named() -> None:
    guide = framed_guide(own("target", "40 deg"))
    short = guide.rigs["rig"].model_copy(update={"id": "wide", "name": "Short lens", "train": guide.rigs["rig"].train})
    lens = guide.parts["tube"].model_copy(update={"id": "lens"})
    assert short.train[0].part == "tube"
    wide = short.model_copy(
        update={"train": (short.train[0].model_copy(update={"part": "lens"}), *short.train[2:])}
    )  # fmt: skip
    lens = type(lens).model_validate({"id": "lens", "kind": "optic", "name": "Lens", "focal_length": "14 mm",
                                      "aperture": "5 mm"})  # fmt: skip
    club = Catalogue(
        guide.root, guide.guide, {**guide.parts, "lens": lens}, {**guide.rigs, "wide": wide}, {}, guide.targets
    )
    target = resolve(club.targets["target"])
    assert [one.rig.id for one in fleet.ranking(club, target)] == ["wide", "rig"]
    assert "Short lens" in finding(study(Assembly(club, club.rigs["rig"])), "target").remedy


def test_guide_stars_decide_between_angles_that_are_as_good() -> None:
    guide = framed_guide(own("target", "20 arcmin"))
    view = view_of(Assembly(guide, guide.rigs["rig"]))
    assert view is not None
    assert view.beside is not None
    found = frame_target(view, resolve(guide.targets["target"]), WISHES)
    assert found is not None
    assert found.free
    assert found.stars
    field = stars_in_cone(83.825, -5.383, 5.0)
    xi, eta = project(field.ra, field.dec, 83.825, -5.383)
    light = physics.light_at_angles(xi, eta, field.mag, view.beside, np.arange(360.0))
    here = physics.light_at_angles(xi, eta, field.mag, view.beside, np.array([found.angle]))
    assert float(here[0]) >= light.max() * (1 - 1e-3)


def test_a_second_sensor_stands_where_the_yaml_says() -> None:
    # Below the picture's middle when north is up: south of the target. A quarter turn later it is to the west.
    south = Beside(0.0, -2.0, 0.5, 0.3).frame(0.0)
    assert (south.xi, south.eta) == pytest.approx((0, -2))
    west = Beside(0.0, -2.0, 0.5, 0.3).frame(90.0)
    assert (west.xi, west.eta) == pytest.approx((-2, 0))
    right = Beside(2.0, 0.0, 0.5, 0.3).frame(0.0)
    assert (right.xi, right.eta) == pytest.approx((-2, 0))


# --- plates -------------------------------------------------------------------------------------------------


def plate_of(view: View, data: Data) -> str:
    found = frame_target(view, resolve(Target.model_validate({"name": "<b>&", **data})), WISHES)
    assert found is not None
    return framing_plate("rig", view, found, lambda value, _: f"{value:.2f}").svg


@pytest.mark.parametrize("major", ["20 arcsec", "1 deg", "40 deg"])
@pytest.mark.parametrize("width", [0.3, 3.5, 80.0])
def test_plates_are_small_well_formed_and_turn_about_the_middle(major: str, width: float) -> None:
    view = View(width, width / 1.5, 2.0, 4.0, 2.0, Beside(0, -width / 2, width / 5, width / 8), width * 1.1)
    svg = plate_of(view, own("target", major))
    assert len(svg.encode()) < 12_000
    root = etree.fromstring(svg.encode())
    (group,) = root.xpath("//*[@data-angle]")
    middle = group.get("data-middle")
    angle = float(group.get("data-angle"))
    assert group.get("transform") == f"rotate({'0' if angle == 0 else f'-{angle:g}'} {middle})"
    assert root.xpath("//*[@data-turned]")[0].text == f"{angle:.0f}°"
    assert 1 <= len(root.xpath("//*[@class='stars']")) <= 5


def test_what_wanders_has_a_plate_without_stars_and_north() -> None:
    svg = plate_of(View(1.5, 1.0, 1.0, 3.0, 2.0), {"id": "moon", "sort": "Moon"})
    assert "stars" not in svg
    assert ">N<" not in svg
    assert "position angle" not in svg


def test_north_is_up_and_east_is_left() -> None:
    # Orion's belt: the third star, Alnitak (RA 85.19), stands east of the first, Mintaka (83.00), so further left.
    guide = framed_guide(own("target", "1 deg", ra="84.05 deg", dec="-1.2 deg"))
    found = study(Assembly(guide, guide.rigs["rig"])).drawings[0]
    root = etree.fromstring(found.svg.encode())
    brightest = root.xpath("//*[@class='stars']")[-1].get("d")
    dots = [tuple(map(float, dot.split("h")[0].split())) for dot in brightest.split("M")[1:]]
    scale = 178 / view_of(Assembly(guide, guide.rigs["rig"])).reach  # type: ignore[union-attr]
    xi, eta = project([85.190, 83.002], [-1.943, -0.299], 84.05, -1.2)
    for east, north in zip(xi, eta, strict=True):
        assert min(np.hypot(x - (240 - east * scale), y - (198 - north * scale)) for x, y in dots) < 1.5
