"""Invariants of the physics of guiding and exposure, and the shape of its register of methods."""

import math
from collections.abc import Callable
from dataclasses import asdict
from pathlib import Path
from typing import Any

import pytest
import yaml
from hypothesis import assume, given
from hypothesis import strategies as st
from latex2mathml.converter import convert

from rigleaf.chapters import methods as register_of_methods
from rigleaf.chapters.guiding_and_exposure import exposure, files, guide_stars, tracking
from rigleaf.chapters.guiding_and_exposure.guide_stars import GuideView
from tests.chapters.elementwise import Call, between, check, each, public_functions

rates = between(1e-4, 100.0)
reads = between(0.0, 20.0)
seconds = between(0.5, 1800.0)
areas = between(1.0, 1e4)
ratios = between(1.0, 500.0)
magnitudes = between(-2.0, 25.0)
swings = between(0.1, 120.0)
periods = between(60.0, 2000.0)
latitudes = between(-90.0, 90.0)
views = st.builds(GuideView, between(1e4, 1e9), between(0.001, 50.0), between(0.5, 10.0), between(1.0, 8.0))


# --- One kind in, the same kind out ------------------------------------------------------------------------

VIEW = GuideView(5e6, 0.1, 1.0, 2.5)


def reachable(exposure_s: Any) -> Any:
    return guide_stars.reachable_magnitude(VIEW, exposure_s)


def needed(magnitude: Any) -> Any:
    return guide_stars.needed_exposure(VIEW, magnitude)


def chance(expected: Any) -> Any:
    return guide_stars.chance_of_at_least(3, expected)


CALLS: list[Call] = [
    (exposure.jansky, (12.0,)),
    (exposure.photons, (3640.0, 0.16)),
    (exposure.photons_in_band, (12.0, 656.3, 7.0)),
    (exposure.narrowed_object, (0.5, 0.6, 100.0, 7.0)),
    (exposure.extinction, (0.15, 1.4)),
    (exposure.air_transmission, (0.15, 1.4)),
    (exposure.mountain_extinction, (520.0,)),
    (exposure.collecting_area, (200.0, 70.0)),
    (exposure.electron_rate, (1e5, 0.005)),
    (exposure.per_pixel, (0.2, 1.5)),
    (exposure.read_noise_share, (1.5, 0.5, 60.0)),
    (exposure.sub_exposure, (1.5, 0.5)),
    (exposure.stack_efficiency, (400.0, 9.0, 10.0)),
    (exposure.full_well_exposure, (1e4, 0.2, 5e4, 1.0)),
    (exposure.brightest_unsaturated, (60.0, 5e6, 0.2, 5e4, 1.0)),
    (exposure.brightest_unsaturated, (60.0, 5e6, 0.2, 5e4, 1e4)),
    (exposure.signal_to_noise, (0.05, 0.5, 1.5, 60.0, 3600.0, 4.0)),
    (exposure.time_to_signal_to_noise, (20.0, 0.05, 0.5, 1.5, 60.0, 4.0)),
    (exposure.time_error, (0.05, 0.5, 0.01, 1.5, 60.0)),
    (tracking.longest_untracked, (10.0, 40.0)),
    (tracking.declination_drift, (5.0, 60.0)),
    (tracking.polar_rotation, (5.0, 600.0, 40.0, 10.0)),
    (tracking.rotation_trail, (0.3, 2e4)),
    (tracking.polar_tolerance, (4.0, 600.0, 40.0, 20.0)),
    (tracking.altaz_rotation, (50.0, 120.0, 40.0)),
    (tracking.altaz_exposure, (1.0, 3000.0, -10.0)),
    (tracking.altaz_exposure, (1.0, 3000.0, 0.0)),
    (tracking.periodic_rate, (20.0, 480.0)),
    (tracking.periodic_motion, (20.0, 480.0, 5.0)),
    (tracking.guide_interval, (20.0, 480.0, 0.5)),
    (tracking.guide_interval, (0.0, 480.0, 0.5)),
    (tracking.guide_slack, (2.0, 4.0, 0.5)),
    (tracking.guide_ratio, (4.0, 1.5)),
    (tracking.centroid_limit, (3.0, 20.0)),
    (tracking.guide_accuracy, (4.0, 1.5)),
    (guide_stars.aperture_pixels, (3.0,)),
    (guide_stars.light_in_aperture, (0.673,)),
    (guide_stars.star_rate, (12.0, 5e6)),
    (guide_stars.star_magnitude, (50.0, 5e6)),
    (guide_stars.star_signal_to_noise, (50.0, 4.0, 0.1, 1.0, 10.0)),
    (guide_stars.faintest_rate, (10.0, 4.0, 0.1, 1.0, 10.0)),
    (guide_stars.exposure_for_rate, (50.0, 10.0, 0.1, 1.0, 10.0)),
    (guide_stars.stars_per_square_degree, (11.5, -30.0)),
    (guide_stars.galactic_latitude, (10.7, 41.3)),
    (guide_stars.expected_stars, (30.0, 0.8, 0.5)),
    (reachable, (4.0,)),
    (needed, (12.0,)),
    (chance, (3.7,)),
]


@each(CALLS)
def test_floats_give_plain_floats_and_arrays_the_same_elementwise(
    function: Callable[..., Any], arguments: tuple[float, ...]
) -> None:
    check(function, arguments)


def test_every_function_is_in_that_list() -> None:
    public = public_functions(exposure, tracking, guide_stars)
    # These take plain numbers only, give two numbers, or stand in the list under another name.
    others = {"peak_pixel_share", "error_band", "unguided_motion", "longest_unguided"}
    others |= {"reachable_magnitude", "needed_exposure", "chance_of_at_least"}
    listed = {function.__name__ for function, _ in CALLS} - {"reachable", "needed", "chance"}
    assert public - others == listed


# --- Exposure ----------------------------------------------------------------------------------------------


@given(magnitudes, between(350.0, 1000.0), between(1.0, 300.0))
def test_five_magnitudes_are_a_hundred_times_the_photons(magnitude: float, centre: float, width: float) -> None:
    bright, faint = (exposure.photons_in_band(one, centre, width) for one in (magnitude, magnitude + 5))
    assert bright / faint == pytest.approx(100)


@given(rates, between(0.0, 1.0), between(50.0, 400.0), between(0.02, 1.0))
def test_a_narrow_band_favours_lines_over_glow(rate: float, share: float, wide: float, part: float) -> None:
    thing = exposure.narrowed_object(rate, share, wide, part * wide)
    glow = exposure.narrowed_object(rate, 0.0, wide, part * wide)
    assert glow == pytest.approx(rate * part)
    assert glow * (1 - 1e-12) <= thing <= rate * (1 + 1e-12)
    assert exposure.narrowed_object(rate, 1.0, wide, part * wide) == pytest.approx(rate)


@given(between(0.5, 20.0), rates, between(0.005, 1.0))
def test_the_sub_exposure_has_just_the_share_asked_for(read: float, background: float, share: float) -> None:
    time = exposure.sub_exposure(read, background, share)
    assert exposure.read_noise_share(read, background, time) == pytest.approx(share, rel=1e-6)
    assert exposure.sub_exposure(read, background, share * 1.1) < time


@given(rates, rates, reads, seconds, between(1.0, 300.0), areas)
def test_time_to_a_signal_to_noise_turns_it_round(
    glow: float, background: float, read: float, sub: float, subs: float, area: float
) -> None:
    ratio = exposure.signal_to_noise(glow, background, read, sub, sub * subs, area)
    assert exposure.time_to_signal_to_noise(ratio, glow, background, read, sub, area) == pytest.approx(sub * subs)
    assert exposure.signal_to_noise(glow, background, read, sub, 4 * sub * subs, area) == pytest.approx(2 * ratio)


@given(rates, rates, reads, seconds, between(2.0, 300.0))
def test_a_stack_is_never_better_than_one_long_exposure(
    glow: float, background: float, read: float, sub: float, subs: float
) -> None:
    stack = exposure.signal_to_noise(glow, background, read, sub, sub * subs)
    single = exposure.signal_to_noise(glow, background, read, sub * subs, sub * subs)
    efficiency = exposure.stack_efficiency((glow + background) * sub * subs, read**2, subs)
    assert stack / single == pytest.approx(efficiency)
    assert 0 < efficiency <= 1


@given(rates, rates, rates, reads, seconds)
def test_the_error_of_the_time_grows_with_each_doubt(
    glow: float, sky: float, dark: float, read: float, sub: float
) -> None:
    sure = exposure.time_error(glow, sky, dark, read, sub, 0.0, 0.0, 0.0)
    assert sure == 0
    errors = [
        exposure.time_error(glow, sky, dark, read, sub, *doubts)
        for doubts in ((0.2, 0.0, 0.0), (0.2, 0.1, 0.0), (0.2, 0.1, 0.3))
    ]
    assert errors == sorted(errors)
    low, high = exposure.error_band(3600.0, errors[-1])
    assert low <= 3600 <= high
    assert low * high == pytest.approx(3600**2)


@given(between(0.5, 20.0))
def test_the_peak_pixel_holds_a_part_of_the_star_that_shrinks_with_its_width(fwhm: float) -> None:
    assert 0 < exposure.peak_pixel_share(fwhm * 1.1) < exposure.peak_pixel_share(fwhm) <= 1


@given(between(0.0, 18.0), between(0.05, 0.9), between(1e4, 1e5), between(0.0, 50.0))
def test_a_star_that_fills_the_well_is_the_brightest_that_does_not(
    magnitude: float, share: float, well: float, background: float
) -> None:
    rate = guide_stars.star_rate(magnitude, 5e7)
    time = exposure.full_well_exposure(rate, share, well, background)
    found = exposure.brightest_unsaturated(time, 5e7, share, well, background)
    assert found == pytest.approx(magnitude, abs=1e-6)


def test_a_sky_that_fills_the_well_by_itself_leaves_room_for_no_star() -> None:
    assert exposure.brightest_unsaturated(100.0, 5e7, 0.2, 5e4, 600.0) == math.inf


@given(between(0.01, 1.0), between(1.0, 10.0), between(1.0, 10.0))
def test_air_masses_multiply_what_they_let_through(coefficient: float, one: float, other: float) -> None:
    together = exposure.air_transmission(coefficient, one + other)
    apart = exposure.air_transmission(coefficient, one) * exposure.air_transmission(coefficient, other)
    assert together == pytest.approx(apart)


@given(st.lists(between(0.1, 1.0), max_size=5))
def test_every_part_that_loses_light_counts_once(parts: list[float]) -> None:
    assert exposure.electron_rate(1e6, 0.01, *parts) == pytest.approx(1e4 * math.prod(parts))


# --- Tracking ----------------------------------------------------------------------------------------------


@given(swings, periods, between(0.001, 0.999))
def test_guide_interval_turns_the_motion_round(swing: float, period: float, share: float) -> None:
    interval = tracking.guide_interval(swing, period, swing * share)
    assert tracking.periodic_motion(swing, period, interval) == pytest.approx(swing * share)
    # Never longer than half a period, never shorter than the largest rate would have it.
    assert interval <= period / 2
    assert interval * tracking.periodic_rate(swing, period) >= swing * share * (1 - 1e-12)


@given(swings, periods, between(1.0, 3.0))
def test_a_drive_within_what_is_allowed_needs_no_guiding(swing: float, period: float, more: float) -> None:
    assert tracking.guide_interval(swing, period, swing * more) == math.inf


drives = st.fixed_dictionaries(
    {
        "peak_to_peak_arcsec": between(0.0, 100.0),
        "period_s": periods,
        "polar_error_arcmin": between(0.0, 60.0),
        "rate_error_arcsec_s": between(0.0, 16.0),
        "declination_deg": between(-85.0, 85.0),
    }
)


@given(between(0.1, 20.0), drives)
def test_longest_unguided_exposure_moves_by_just_what_is_allowed(allowed: float, drive: dict[str, float]) -> None:
    time = tracking.longest_unguided(allowed, **drive)
    assume(time < 1e8)
    assert tracking.unguided_motion(time, **drive) == pytest.approx(allowed, rel=1e-6)
    assert tracking.longest_unguided(allowed * 2, **drive) >= time


def test_a_perfect_drive_never_has_to_be_guided_and_nothing_allowed_is_no_time() -> None:
    assert tracking.longest_unguided(1.0) == math.inf
    assert tracking.longest_unguided(2.0, 1.5, 480.0) == math.inf
    assert tracking.longest_unguided(0.0, 20.0, 480.0) == pytest.approx(0.0, abs=1e-20)


@given(between(0.1, 30.0), between(10.0, 3600.0), between(-85.0, 85.0), between(1.0, 50.0))
def test_polar_tolerance_turns_the_trail_round(error: float, time: float, dec: float, distance: float) -> None:
    trail = tracking.rotation_trail(tracking.polar_rotation(error, time, dec), distance * 1e3)
    assert tracking.polar_tolerance(trail, time, dec, distance) == pytest.approx(error)


@given(between(-89.0, 89.0), between(0.0, 360.0), between(0.0, 85.0))
def test_alt_azimuth_fields_turn_alike_east_and_west_and_the_other_way_south(
    latitude: float, azimuth: float, altitude: float
) -> None:
    rate = tracking.altaz_rotation(latitude, azimuth, altitude)
    assert tracking.altaz_rotation(latitude, -azimuth, altitude) == pytest.approx(rate)
    assert tracking.altaz_rotation(latitude, 180 - azimuth, altitude) == pytest.approx(-rate, abs=1e-9)


# --- Guide stars -------------------------------------------------------------------------------------------


@given(views, between(0.1, 30.0), between(3.0, 100.0))
def test_reach_and_needed_exposure_turn_each_other_round(view: GuideView, time: float, wanted: float) -> None:
    reach = guide_stars.reachable_magnitude(view, time, wanted)
    assert guide_stars.needed_exposure(view, reach, wanted) == pytest.approx(time, rel=1e-6)
    rate = guide_stars.star_rate(reach, view.rate_in_aperture)
    ratio = guide_stars.star_signal_to_noise(rate, time, view.background_rate, view.read_noise, view.pixels)
    assert ratio == pytest.approx(wanted, rel=1e-6)
    assert guide_stars.reachable_magnitude(view, 2 * time, wanted) > reach
    assert guide_stars.reachable_magnitude(view, time, 2 * wanted) < reach


@given(between(4.0, 17.5), latitudes, between(0.01, 0.5))
def test_fainter_stars_are_more_and_the_plane_has_most(limit: float, latitude: float, more: float) -> None:
    density = guide_stars.stars_per_square_degree(limit, latitude)
    assert guide_stars.stars_per_square_degree(limit, -latitude) == pytest.approx(density)
    assert guide_stars.stars_per_square_degree(limit + more, latitude) > density
    assert guide_stars.stars_per_square_degree(limit, 90.0) <= density * (1 + 1e-12)
    assert density <= guide_stars.stars_per_square_degree(limit, 0.0) * (1 + 1e-12)


def test_no_more_stars_are_promised_than_were_counted() -> None:
    assert guide_stars.stars_per_square_degree(25.0, 40.0) < guide_stars.stars_per_square_degree(18.0, 40.0) * 1.01


@given(between(0.0, 200.0), st.integers(0, 30))
def test_chances_are_chances(expected: float, wanted: int) -> None:
    found = guide_stars.chance_of_at_least(wanted, expected)
    assert 0 <= guide_stars.chance_of_at_least(wanted + 1, expected) <= found <= 1
    assert guide_stars.chance_of_at_least(0, expected) == 1


# --- Files -------------------------------------------------------------------------------------------------


@given(st.integers(1, 10_000), st.integers(1, 10_000), st.sampled_from([8, 16, 32, -32, -64]), st.integers(1, 300))
def test_a_file_is_whole_blocks_and_never_a_block_too_many(width: int, height: int, bits: int, records: int) -> None:
    size = files.fits_bytes(width, height, bits, header_records=records)
    needed_bytes = records * 80 + files.fits_data_bits(width, height, bits) // 8
    assert size % 2880 == 0
    assert needed_bytes <= size < needed_bytes + 2 * 2880


@given(st.integers(0, 5000), between(0.1, 1800.0), between(0.0, 60.0))
def test_frames_fill_the_time_and_no_more(frames: int, sub: float, overhead: float) -> None:
    assert files.frames_in(frames * (sub + overhead), sub, overhead) == frames
    assert files.frames_in((frames + 0.999) * (sub + overhead), sub, overhead) == frames
    assert files.frames_in(-10.0, sub, overhead) == 0


# --- The register ------------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def register(package: Path) -> list[dict[str, Any]]:
    path = package / "chapters" / "guiding_and_exposure" / "methods.yml"
    entries: list[dict[str, Any]] = yaml.safe_load(path.read_text("utf-8"))
    return entries


def test_formulas_are_ones_that_the_pages_can_set(register: list[dict[str, Any]]) -> None:
    for entry in register:
        if "formula" in entry:
            assert "<mtext>\\" not in convert(entry["formula"]), entry["id"]
            assert "merror" not in convert(entry["formula"]), entry["id"]


def test_symbols_are_those_of_the_formula(register: list[dict[str, Any]]) -> None:
    for entry in register:
        for symbol in entry.get("symbols", ()):
            for letter in symbol["symbol"].split(", "):
                assert letter in entry["formula"], f"{entry['id']}: {letter}"


def test_entries_say_no_more_than_an_entry_may(register: list[dict[str, Any]]) -> None:
    for entry in register:
        method = register_of_methods._method(entry, "guiding-and-exposure")
        texts = [entry["words"], entry["name"]]
        parts = asdict(method)
        for part in (*parts["symbols"], *parts["sources"], *parts["checks"]):
            texts += [value for value in part.values() if not isinstance(value, bool)]
        assert all(isinstance(text, str) for text in texts), entry["id"]
