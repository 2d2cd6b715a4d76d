"""Invariants of the physics of scale and field, over the range of rigs that leave a house."""

import math
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from rigleaf.chapters.scale_and_field import focus_physics, physics
from rigleaf.chapters.scale_and_field.focus_physics import EXPANSION
from tests.chapters.elementwise import Call, between, check, each, public_functions

focal_lengths = between(8.0, 4000.0)
apertures = between(10.0, 500.0)
ratios = between(1.4, 20.0)
pixels = between(1.0, 25.0)
sides = between(1.0, 60.0)
offsets = between(-60.0, 60.0)
factors = between(0.3, 5.0)
widths = between(0.1, 20.0)
contrasts = between(0.001, 0.999)
altitudes = between(0.0, 90.0)


# --- One kind in, the same kind out ------------------------------------------------------------------------

CALLS: list[Call] = [
    (physics.effective_focal_length, (480.0, 0.8)),
    (physics.focal_ratio, (480.0, 80.0)),
    (physics.thin_lens_image, (100.0, 300.0)),
    (physics.reducer_factor, (250.0, 60.0)),
    (physics.reducer_factor_from_prime, (250.0, 79.0)),
    (physics.reducer_focal_length, (0.76, 60.0)),
    (physics.plate_scale, (480.0,)),
    (physics.image_scale, (3.76, 480.0)),
    (physics.sensor_extent, (6248.0, 3.76)),
    (physics.diagonal, (23.5, 15.7)),
    (physics.field_of_view, (23.5, 480.0)),
    (physics.angle_between, (0.0, 1.0, 2.0, 3.0, 50.0)),
    (physics.airy_fwhm, (80.0, 656.3)),
    (physics.airy_ring_diameter, (5.0, 550.0)),
    (physics.rayleigh, (80.0,)),
    (physics.cutoff_frequency, (5.0,)),
    (physics.critical_pixel, (5.0,)),
    (physics.diffraction_contrast, (100.0, 300.0)),
    (physics.airmass, (40.0,)),
    (physics.airmass, (-5.0,)),
    (physics.seeing_at, (2.0, 1.5, 550.0)),
    (physics.seeing_contrast, (0.3, 2.0)),
    (physics.axis_rms, (0.9,)),
    (physics.fwhm_from_rms, (0.6,)),
    (physics.pixel_blur, (1.6,)),
    (physics.quadrature, (2.0, 1.4, 0.5)),
    (physics.pixels_across, (2.5, 1.6)),
    (physics.green_interval, (1.6,)),
    (physics.red_blue_interval, (1.6,)),
    (physics.contrast_at_limit, (1.5,)),
    (physics.image_contrast, (0.3, 2.0, 0.7, 1.0)),
    (physics.pixel_sky_area, (1.6,)),
    (physics.signal_ratio, (1.6, 1.0)),
    (focus_physics.defocus_waves, (30.0, 5.0, 550.0)),
    (focus_physics.defocus_strehl, (0.25,)),
    (focus_physics.depth_quarter_wave, (5.0,)),
    (focus_physics.depth_geometric, (5.0, 3.76)),
    (focus_physics.depth_of_focus, (5.0, 3.76)),
    (focus_physics.defocus_at_sensor, (10.0, 0.8)),
    (focus_physics.steps_in_depth, (18.8, 4.0)),
    (focus_physics.focus_shift_per_degree, (23.6, 400.0)),
    (focus_physics.two_mirror_lever, (9.0, 3.0)),
    (focus_physics.degrees_until_refocus, (18.8, 9.4)),
    (focus_physics.degrees_until_refocus, (18.8, 0.0)),
]


@each(CALLS)
def test_floats_give_plain_floats_and_arrays_the_same_elementwise(
    function: Callable[..., Any], arguments: tuple[float, ...]
) -> None:
    # The factors of correctors are plain numbers.
    check(function, arguments, numbers=1 if function is physics.effective_focal_length else None)


def test_every_function_is_in_that_list() -> None:
    public = public_functions(physics, focus_physics)
    # A field is no number, a search takes plain numbers only, and the helper is not physics.
    others = {"offset_field", "interval_for_contrast", "elementwise"}
    assert public - others == {function.__name__ for function, _ in CALLS}


# --- Scale and field ---------------------------------------------------------------------------------------


@given(focal_lengths, st.lists(factors, max_size=4))
def test_order_of_correctors_does_not_matter(focal_length: float, chain: list[float]) -> None:
    forth = physics.effective_focal_length(focal_length, *chain)
    assert forth == pytest.approx(physics.effective_focal_length(focal_length, *reversed(chain)))


@given(between(50.0, 1000.0), between(1.0, 45.0))
def test_the_two_reducer_forms_agree(reducer: float, to_sensor: float) -> None:
    factor = physics.reducer_factor(reducer, to_sensor)
    to_prime = to_sensor / factor
    assert physics.reducer_factor_from_prime(reducer, to_prime) == pytest.approx(factor, rel=1e-9)
    assert physics.reducer_focal_length(factor, to_sensor) == pytest.approx(reducer, rel=1e-6)


@given(between(20.0, 500.0), between(1.01, 50.0))
def test_object_and_image_of_a_lens_can_be_exchanged(focal_length: float, distance: float) -> None:
    image = physics.thin_lens_image(focal_length, focal_length * distance)
    assert physics.thin_lens_image(focal_length, image) == pytest.approx(focal_length * distance, rel=1e-6)


@given(sides, focal_lengths)
def test_field_is_less_than_scale_times_pixels(side: float, focal_length: float) -> None:
    field = physics.field_of_view(side, focal_length)
    assert 0 < field < 180
    assert field < physics.plate_scale(focal_length) * side / 3600
    assert physics.field_of_view(side, 2 * focal_length) < field


@given(sides, sides, focal_lengths)
def test_a_second_sensor_on_the_axis_has_the_plain_field(width: float, height: float, focal_length: float) -> None:
    field = physics.offset_field(width, height, 0.0, 0.0, focal_length)
    assert field.offset == 0
    assert field.width == pytest.approx(physics.field_of_view(width, focal_length), rel=1e-9)
    assert field.height == pytest.approx(physics.field_of_view(height, focal_length), rel=1e-9)


@given(between(1.0, 15.0), between(1.0, 15.0), offsets, offsets, focal_lengths)
def test_a_second_sensor_off_the_axis_sees_no_more(
    width: float, height: float, x: float, y: float, focal_length: float
) -> None:
    field = physics.offset_field(width, height, x, y, focal_length)
    other_side = physics.offset_field(width, height, -x, -y, focal_length)
    assert field.width <= physics.field_of_view(width, focal_length) * (1 + 1e-9)
    assert field.height <= physics.field_of_view(height, focal_length) * (1 + 1e-9)
    assert (field.offset, field.width) == pytest.approx((other_side.offset, other_side.width), rel=1e-9)
    assert field.offset == pytest.approx(physics.angle_between(0.0, 0.0, x, y, focal_length), rel=1e-9, abs=1e-9)


def test_direction_of_a_second_sensor() -> None:
    for x, y, direction in ((5.0, 0.0, 0.0), (0.0, 5.0, 90.0), (-5.0, 0.0, 180.0), (0.0, -5.0, -90.0)):
        assert physics.offset_field(2.0, 2.0, x, y, 100.0).direction == pytest.approx(direction)


def test_offset_field_takes_arrays() -> None:
    ones = np.ones(3)
    field = physics.offset_field(6.0 * ones, 4.0 * ones, np.array([0.0, 10.0, 20.0]), 5.0 * ones, 450.0)
    single = physics.offset_field(6.0, 4.0, 20.0, 5.0, 450.0)
    assert field.width[2] == pytest.approx(single.width)
    assert field.offset[2] == pytest.approx(single.offset)


# --- Diffraction, seeing, sampling -------------------------------------------------------------------------


@given(apertures, between(300.0, 1000.0))
def test_diffraction_widths_keep_their_order(aperture: float, wavelength: float) -> None:
    assert physics.airy_fwhm(aperture, wavelength) < physics.rayleigh(aperture, wavelength)
    assert physics.rayleigh(aperture, wavelength) < physics.rayleigh(aperture, wavelength * 1.1)


@given(ratios, between(300.0, 1000.0))
def test_critical_pixel_has_two_samples_in_a_cycle_of_the_cutoff(ratio: float, wavelength: float) -> None:
    cycle_um = 1e3 / physics.cutoff_frequency(ratio, wavelength)
    assert 2 * physics.critical_pixel(ratio, wavelength) == pytest.approx(cycle_um)


@given(between(0.0, 3.0), between(0.0, 3.0))
def test_diffraction_contrast_falls_from_one_to_none(one: float, other: float) -> None:
    near, far = sorted((one, other))
    assert 0 <= physics.diffraction_contrast(far, 1.0) <= physics.diffraction_contrast(near, 1.0) <= 1
    assert physics.diffraction_contrast(0.0, 1.0) == pytest.approx(1.0)


@given(altitudes, altitudes)
def test_airmass_grows_towards_the_horizon(one: float, other: float) -> None:
    low, high = sorted((one, other))
    assert 1 <= physics.airmass(high) <= physics.airmass(low) < 38
    if high > 1:  # plane layers are an upper bound, and infinite at the horizon
        assert physics.airmass(high) <= 1.0001 / math.sin(math.radians(high))


@given(between(-90.0, -0.001))
def test_there_is_no_airmass_below_the_horizon(altitude: float) -> None:
    assert math.isnan(physics.airmass(altitude))
    mixed = physics.airmass(np.array([altitude, 30.0]))
    assert np.isnan(mixed[0])
    assert mixed[1] == pytest.approx(physics.airmass(30.0))


@given(widths, between(1.0, 10.0), between(350.0, 1000.0))
def test_seeing_at_the_zenith_and_its_wavelength_is_what_was_given(width: float, air: float, wavelength: float) -> None:
    assert physics.seeing_at(width, 1.0) == pytest.approx(width)
    assert physics.seeing_at(width, air, wavelength) >= physics.seeing_at(width, 1.0, wavelength)


@given(st.lists(widths, min_size=1, max_size=5))
def test_quadrature_lies_between_the_widest_and_the_sum(blurs: list[float]) -> None:
    total = physics.quadrature(*blurs)
    assert max(blurs) * (1 - 1e-12) <= total <= sum(blurs) * (1 + 1e-12)
    assert physics.quadrature(*reversed(blurs)) == pytest.approx(total)


@given(widths, contrasts, between(0.3, 5.0), between(0.0, 5.0))
def test_interval_for_contrast_turns_image_contrast_round(
    seeing: float, contrast: float, cutoff: float, guiding: float
) -> None:
    interval = physics.interval_for_contrast(contrast, seeing, cutoff, guiding)
    left = physics.image_contrast(1 / (2 * interval), seeing, cutoff, guiding)
    assert left == pytest.approx(contrast, rel=0.01, abs=0.01)


@given(widths, between(0.05, 10.0))
def test_a_colour_mosaic_loses_more_than_all_pixels_together(width: float, pixel: float) -> None:
    every = physics.contrast_at_limit(physics.pixels_across(width, pixel))
    green = physics.contrast_at_limit(physics.pixels_across(width, physics.green_interval(pixel)))
    red = physics.contrast_at_limit(physics.pixels_across(width, physics.red_blue_interval(pixel)))
    assert 0 <= every <= green <= red < 1


@given(between(0.0, 2.0), widths, between(0.2, 3.0), between(0.0, 3.0))
def test_each_blur_takes_contrast_away(frequency: float, seeing: float, cutoff: float, guiding: float) -> None:
    together = physics.image_contrast(frequency, seeing, cutoff, guiding)
    assert 0 <= together <= physics.image_contrast(frequency, seeing, cutoff)
    assert together <= physics.diffraction_contrast(frequency, cutoff)
    assert together <= physics.seeing_contrast(frequency, seeing)


@given(between(0.1, 10.0), between(0.1, 10.0))
def test_signal_ratio_is_that_of_the_areas(one: float, other: float) -> None:
    areas = physics.pixel_sky_area(one) / physics.pixel_sky_area(other)
    assert physics.signal_ratio(one, other) == pytest.approx(areas)


# --- Focus -------------------------------------------------------------------------------------------------


@given(ratios, pixels, between(350.0, 1000.0))
def test_depth_of_focus_is_the_narrower_tolerance(ratio: float, blur: float, wavelength: float) -> None:
    depth = focus_physics.depth_of_focus(ratio, blur, wavelength)
    assert depth <= focus_physics.depth_quarter_wave(ratio, wavelength)
    assert depth <= focus_physics.depth_geometric(ratio, blur)
    assert focus_physics.defocus_waves(depth, ratio, wavelength) <= 0.25 * (1 + 1e-12)


@given(between(0.1, 500.0), ratios, between(350.0, 1000.0))
def test_defocus_is_as_bad_before_as_behind(defocus: float, ratio: float, wavelength: float) -> None:
    behind = focus_physics.defocus_strehl(focus_physics.defocus_waves(defocus, ratio, wavelength))
    before = focus_physics.defocus_strehl(focus_physics.defocus_waves(-defocus, ratio, wavelength))
    assert before == pytest.approx(behind)
    assert 0 <= behind < 1
    assert focus_physics.defocus_strehl(0.0) == 1.0


@given(ratios, between(0.5, 2.0), between(0.1, 50.0), between(350.0, 1000.0))
def test_a_corrector_leaves_the_steps_in_a_quarter_wave_as_they_are(
    ratio: float, factor: float, step: float, wavelength: float
) -> None:
    bare = focus_physics.steps_in_depth(focus_physics.depth_quarter_wave(ratio, wavelength), step)
    seen = focus_physics.defocus_at_sensor(step, factor)
    corrected = focus_physics.steps_in_depth(focus_physics.depth_quarter_wave(ratio * factor, wavelength), seen)
    assert corrected == pytest.approx(bare)


@given(between(1.0, 200.0), between(-1.0, 25.0).filter(lambda alpha: abs(alpha) > 0.01), between(50.0, 2000.0))
def test_refocus_comes_when_the_shift_has_used_the_depth(depth: float, alpha: float, length: float) -> None:
    shift = focus_physics.focus_shift_per_degree(alpha, length)
    assert abs(shift) * focus_physics.degrees_until_refocus(depth, shift) == pytest.approx(depth)
    assert math.copysign(1.0, shift) == math.copysign(1.0, alpha)


def test_a_tube_that_does_not_expand_never_asks_for_a_new_focus() -> None:
    assert focus_physics.degrees_until_refocus(20.0, 0.0) == math.inf


@given(between(3.0, 15.0), between(1.5, 3.0))
def test_two_mirrors_move_the_focus_more_than_one_tube(system: float, primary: float) -> None:
    assert focus_physics.two_mirror_lever(system, primary) >= 2


@pytest.mark.parametrize("material", sorted(EXPANSION))
def test_expansion_is_a_range_with_its_sources(material: str) -> None:
    known = EXPANSION[material]
    assert known.low <= known.typical <= known.high
    assert abs(known.worst) == max(abs(known.low), abs(known.high))
    assert known.note
