"""Dew and cold: when glass mists over, whether a band keeps it clear, and what is said where something is missing."""

from typing import Any

import numpy as np
import pytest
from hypothesis import given

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.dew_and_cold import physics
from rigleaf.chapters.dew_and_cold.need import heat_needs
from rigleaf.chapters.dew_and_cold.study import study
from rigleaf.chapters.figures import Study
from rigleaf.chapters.night_out import humid_air
from rigleaf.chapters.night_out.air import Air
from tests.chapters import elementwise
from tests.chapters.elementwise import between
from tests.chapters.small_guide import Data, catalogue, finding, ids, number, parts, with_place

TUBE: Data = {"dew_shield": "105 mm", "tube_diameter": "108 mm"}
CAMERA: Data = {"cooling_depth": "35 K"}
FIELD: Data = {
    "latitude": "50 deg", "longitude": "7 deg", "timezone": "Europe/Berlin",
    "night_temperature": ["2 degC"] * 12, "night_humidity": ["85 %"] * 12,
}  # fmt: skip
BAND: Data = {"kind": "dew-heater", "name": "Band", "fits_outer_diameter": "125 mm",
              "power": {"working": "6 W", "peak": "11 W"}}  # fmt: skip


def shelf(**changes: Data | None) -> dict[str, Data]:
    return parts(**{"tube": TUBE, "camera": CAMERA, "band": BAND, **changes})


def made(stated: dict[str, Data] | None = None, field: Data | None = None, **rig: Any) -> Catalogue:
    """A rig with a band on a refractor, at a field with a usual night."""
    whole: Data = {"place": "field", "riders": ["motor", "band"], **rig}
    place = {key: value for key, value in {**FIELD, **(field or {})}.items() if value is not None}
    return with_place(catalogue(stated or shelf(), rig=whole), **place)


def dew(stated: dict[str, Data] | None = None, field: Data | None = None, **rig: Any) -> Study:
    found = made(stated, field, **rig)
    return study(Assembly(found, found.rigs["rig"]))


# --- Dew on the glass -----------------------------------------------------------------------------------------


def test_a_band_that_gives_enough_is_sound_and_says_when_bare_glass_would_be_wet() -> None:
    found = dew()
    one = finding(found, "dew-tube")
    assert one.verdict == "sound"
    assert "gathers dew from about" in one.sentence
    assert "the Band gives 11\u00a0W" in one.sentence
    assert number(found, "heat-tube") < 11
    assert found.index["heat-tube"].uncertainty


@pytest.mark.parametrize(("watts", "verdict"), [(30, "sound"), (0.2, "fails")])
def test_a_band_is_held_against_what_the_glass_wants(watts: float, verdict: str) -> None:
    band = {"power": {"peak": f"{watts} W"}}
    assert finding(dew(shelf(band=BAND | band)), "dew-tube").verdict == verdict


def test_a_band_that_only_just_holds_the_dew_point_off_is_tight() -> None:
    wanted = number(dew(), "heat-tube")
    weak = BAND | {"power": {"peak": f"{wanted - 0.2:.3f} W"}}
    assert finding(dew(shelf(band=weak)), "dew-tube").verdict == "tight"


def test_without_a_band_the_shelf_offers_the_shortest_that_closes_and_is_strong_and_free() -> None:
    spare = {
        "short": BAND | {"name": "Short", "fits_outer_diameter": "80 mm"},
        "weak": BAND | {"name": "Weak", "fits_outer_diameter": "110 mm", "power": {"peak": "1 W"}},
        "lost": BAND | {"name": "Lost", "fits_outer_diameter": "110 mm", "owned": 0},
        "long": BAND | {"name": "Long", "fits_outer_diameter": "200 mm"},
    }
    one = finding(dew(shelf(**spare), riders=["motor"]), "dew-tube")
    assert one.verdict == "fails"
    assert one.parts == ("band",)
    assert "closes around 125\u00a0mm" in one.remedy


def test_a_band_too_short_for_the_tube_is_named_as_such() -> None:
    one = finding(dew(shelf(band=BAND | {"fits_outer_diameter": "80 mm"})), "dew-tube")
    assert one.verdict == "fails"
    assert "The Band closes around 80\u00a0mm, the tube measures 108\u00a0mm" in one.sentence
    assert one.parts == ()
    assert "Look for a band" in one.remedy


def test_a_band_that_states_no_power_is_unsaid_with_a_way_to_measure_it() -> None:
    one = finding(dew(shelf(band=BAND | {"power": None})), "dew-tube")
    assert one.verdict == "unsaid"
    assert "144 over the ohms" in one.remedy
    assert one.parts == ("band",)


def test_dry_air_needs_no_heat_and_then_no_band() -> None:
    found = dew(field={"night_humidity": ["20 %"] * 12}, riders=["motor"])
    one = finding(found, "dew-tube")
    assert one.verdict == "sound"
    assert "without heat" in one.sentence
    assert number(found, "heat-tube") == 0
    assert found.index["dew-hour-tube"].value == "not this night"


def test_a_longer_shield_sees_less_sky_and_brings_dew_later() -> None:
    bare, shielded = (dew(shelf(tube=TUBE | {"dew_shield": length})) for length in ("0 mm", "200 mm"))
    assert number(bare, "view-tube") == 1
    assert number(shielded, "view-tube") < 0.1
    assert number(bare, "bare-glass-tube") < number(shielded, "bare-glass-tube")


def test_below_freezing_it_is_frost() -> None:
    one = finding(dew(field={"night_temperature": ["-12 degC"] * 12}), "dew-tube")
    assert one.title == "Frost on the Tube"
    assert "gathers frost" in one.sentence


def test_the_secondary_of_an_open_tube_counts_and_no_band_around_the_tube_warms_it() -> None:
    tube = TUBE | {"form": "newtonian", "central_obstruction": "40 mm"}
    one = finding(dew(shelf(tube=tube)), "dew-tube")
    assert "the secondary mirror of the Tube" in one.sentence
    assert one.verdict in ("fails", "tight")
    assert "holder" in one.remedy


def test_each_band_serves_one_glass_and_one_cut_for_an_optic_serves_that() -> None:
    stated = shelf(
        scope={
            "kind": "guide-scope",
            "name": "Scope",
            "aperture": "50 mm",
            "dew_shield": "40 mm",
            "tube_diameter": "64 mm",
        },
        cut=BAND | {"name": "Cut", "front_of": "scope"},
    )
    found = made(stated, riders=["band", "cut"], guiding={"scope": "scope"})
    assembly = Assembly(found, found.rigs["rig"])
    air = Air(np.array([0.0, 1.0]), np.array([2.0, 1.0]), np.array([0.0, 0.0]), 1.0)
    needs = {need.optic.id: need.heater for need in heat_needs(assembly, air)}
    assert {id_: band.id if band else None for id_, band in needs.items()} == {"tube": "band", "scope": "cut"}


def test_saturated_air_wets_everything() -> None:
    one = finding(dew(field={"night_humidity": ["97 %"] * 12}), "air")
    assert one.verdict == "tight"
    assert "the air itself is saturated" in one.sentence
    assert "air" not in ids(dew(field={"night_humidity": ["50 %"] * 12}).findings)


# --- What is missing --------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("missing", "id_", "words"),
    [
        ("night_humidity", "dew", "humidity"),
        ("night_temperature", "night", "temperature"),
        ("latitude", "night", "coordinates"),
    ],
)
def test_what_the_place_does_not_say_is_named_with_a_way_to_measure_it(missing: str, id_: str, words: str) -> None:
    one = finding(dew(field={missing: None}), id_)
    assert one.verdict == "unsaid"
    assert words in one.sentence
    assert one.remedy


def test_without_a_place_or_an_aperture_nothing_is_made_up() -> None:
    assert "a place" in finding(dew(place=None), "night").sentence
    assert "aperture" in finding(dew(shelf(tube=TUBE | {"aperture": None})), "dew").sentence


def test_a_rig_under_the_sun_gathers_no_dew() -> None:
    stated = shelf(foil={"kind": "front-filter", "name": "Foil"})
    found = dew(stated, train=["foil", "tube", "camera"])
    assert [one.verdict for one in found.findings] == ["sound"]


def test_where_it_does_not_grow_dark_that_is_said() -> None:
    one = finding(dew(field={"latitude": "68 deg"}, night={"date": "2027-06-21"}), "night")
    assert "does not grow dark" in one.sentence


# --- Cold -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("celsius", "verdict"), [("-12 degC", "fails"), ("2 degC", "sound")])
def test_batteries_are_held_against_the_coldest_hour(celsius: str, verdict: str) -> None:
    stated = shelf(battery={"lowest_temperature": "-5 degC"})
    found = dew(stated, field={"night_temperature": [celsius] * 12})
    assert finding(found, "batteries").verdict == verdict


def test_a_battery_that_states_no_lowest_temperature_is_unsaid_in_a_frost_only() -> None:
    frost = dew(field={"night_temperature": ["-12 degC"] * 12})
    assert finding(frost, "batteries").verdict == "unsaid"
    assert finding(frost, "batteries").parts == ("battery",)
    assert finding(dew(), "batteries").verdict == "sound"


@pytest.mark.parametrize(("depth", "verdict"), [("35 K", "sound"), ("21 K", "tight"), ("10 K", "fails")])
def test_the_cooler_must_reach_the_temperature_at_which_the_sensor_is_held(depth: str, verdict: str) -> None:
    found = dew(shelf(camera={"cooling_depth": depth}))
    one = finding(found, "sensor")
    assert one.verdict == verdict
    assert bool(one.remedy) == (verdict != "sound")


def test_a_camera_without_a_cooler_is_not_judged_and_one_of_unsaid_depth_is_unsaid() -> None:
    assert "sensor" not in ids(dew(shelf(camera={"cooling_depth": "0 K"})).findings)
    assert finding(dew(shelf(camera={"cooling_depth": None})), "sensor").verdict == "unsaid"


def test_the_rig_says_at_what_temperature_its_sensor_is_held() -> None:
    found = dew(night={"sensor": "-20 degC"})
    assert number(found, "sensor-held") == -20
    assert found.index["sensor-held"].basis == "stated"


# --- Table and plate ----------------------------------------------------------------------------------------------


def test_the_year_has_a_row_for_each_month_and_says_where_it_does_not_grow_dark() -> None:
    (table,) = dew(field={"latitude": "60 deg"}).tables
    assert len(table.rows) == 12
    assert table.rows[5][1].text == "does not grow dark"
    assert {len(row) for row in table.rows} == {len(table.columns)}


def test_the_plate_tells_the_night_in_words() -> None:
    (plate,) = dew().drawings
    assert plate.description.startswith("Air ")
    assert "bare glass" in plate.description
    assert "from the ring on" in plate.caption
    (dry,) = dew(field={"night_humidity": None}).drawings
    assert "dew point" not in dry.description


# --- Physics --------------------------------------------------------------------------------------------------

CALLS: list[elementwise.Call] = [
    (physics.convection, (0.5,)),
    (physics.sky_emissivity, (4.0,)),
    (physics.sky_temperature, (8.0, 4.0)),
    (physics.black_body, (8.0,)),
    (physics.net_radiation, (2.0, 8.0, 0.7, 0.9, 0.4)),
    (physics.held_flux, (2.0, 8.0, 4.0, 0.5, 0.4)),
    (physics.surface_temperature, (8.0, 4.0, 0.5, 0.4)),
    (physics.heat_loss_rate, (8.0, 0.5, 0.5)),
    (physics.band_power, (20.0, 80.0, 3.0, 6.5, 108.0, 200.0)),
    (physics.sensor_reach, (8.0, 35.0)),
    (humid_air.saturation_pressure, (8.0,)),
    (humid_air.dew_point_of, (800.0,)),
    (humid_air.frost_point_of, (400.0,)),
    (humid_air.dew_point, (8.0, 0.7)),
    (humid_air.relative_humidity, (8.0, 4.0)),
    (humid_air.deposit_point, (-4.0, 2.0)),
]


@elementwise.each(CALLS)
def test_physics_takes_floats_and_arrays(function: Any, arguments: tuple[float, ...]) -> None:
    elementwise.check(function, arguments, 2 if function in (physics.held_flux, physics.surface_temperature) else None)


@given(between(-30, 30), between(0, 20), between(0, 5), between(0, 1), between(0, 200))
def test_the_heat_that_holds_a_glass_is_what_brings_it_there(
    air: float, depression: float, wind: float, view: float, flux: float
) -> None:
    dew_point = air - depression
    surface = physics.surface_temperature(air, dew_point, wind, view, flux)
    assert physics.held_flux(surface, air, dew_point, wind, view) == pytest.approx(flux, abs=1e-6)
    if flux == 0:
        assert surface <= air + 1e-9


@given(between(10, 200), between(1, 2), between(0, 500))
def test_a_view_is_a_part_of_the_whole_and_shrinks_with_the_shield(glass: float, wider: float, shield: float) -> None:
    view = physics.view_of_opening(glass, glass * wider, shield)
    assert 0 < view <= 1
    assert physics.view_of_opening(glass, glass * wider, shield + 50) < view
