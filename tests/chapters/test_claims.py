"""What is only claimed, what looks at it, and what it could turn: traced, moved and judged again."""

from dataclasses import replace

import pytest

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.catalogue.defaults import ASSUMED
from rigleaf.chapters.claims import BY_DIMENSION, BY_FIELD, MEASURABLE, Off, claims, how_to_measure, value_of
from rigleaf.chapters.sensitivity import Effects, effects, moved_to
from rigleaf.chapters.study import study_guide, study_rig
from rigleaf.chapters.tracing import Input, study_and_trace
from rigleaf.quantities import DIMENSIONS
from tests.chapters.small_guide import catalogue, parts, with_place

TUBE_MASS = Input("part", "tube", ("mass",))
CAMERA_MASS = Input("part", "camera", ("mass",))

DECISIONS = {
    "back_focus_tolerance", "battery_left", "corner_light", "design_wind", "focus_steps", "frame_margin", "gap_share",
    "guide_exposure", "guide_motion", "guide_signal_to_noise", "lean", "load_margin", "longest_sub", "lost_contrast",
    "lowest_altitude", "mosaic_overlap", "most_ballast", "most_hours", "night_hours", "on_fragile", "optic_margin",
    "read_share", "season_hours", "sensor_temperature", "session", "signal_to_noise", "star_kept", "star_trail",
    "starter_share", "target_altitude", "tip_factor", "wavelength", "worm_share",
}  # fmt: skip


def test_tracing_changes_nothing(demo: Catalogue) -> None:
    ids = ("heron-cabin", "curlew-twin", "workshop-misfits")
    used_by = {part: tuple(id_ for id_ in users if id_ in ids) for part, users in demo.used_by.items()}
    some = replace(demo, rigs={id_: demo.rigs[id_] for id_ in ids}, used_by=used_by)
    studies, _ = study_and_trace(some)
    assert [one.studies for one in studies] == [one.studies for one in study_guide(some)]
    assert studies[0].assembly.catalogue is some  # pages are made of the parts themselves, not of the copies


def test_what_a_chapter_reads_is_noted() -> None:
    found = catalogue()
    _, trace = study_and_trace(found)
    weighed = {one.id for one in trace.read["rig", "what-it-weighs"] if one.path == ("mass",)}
    assert weighed == set(found.parts)
    scale = trace.read["rig", "scale-and-field"]
    assert Input("part", "tube", ("focal_length",)) in scale
    assert Input("part", "camera", ("sensor", "pixel")) in scale
    assert Input("choice", "seeing") in scale
    assert TUBE_MASS not in scale


def test_parts_of_others_do_not_count() -> None:
    shelf = parts(spare={"kind": "optic", "name": "Spare", "focal_length": "500 mm", "mass": "3 kg"})
    _, trace = study_and_trace(catalogue(shelf))
    assert {one.id for read in trace.read.values() for one in read if one.owner == "part"} == set(parts())


def test_one_rig_alone(demo: Catalogue) -> None:
    studies, trace = study_and_trace(demo, only="heron-cabin")
    assert [one.rig.id for one in studies] == ["heron-cabin"]
    assert {rig for rig, _ in trace.read} == {"heron-cabin"}


def claimed(found: Catalogue) -> dict[Input, float]:
    studies, trace = study_and_trace(found)
    return {claim.input: claim.off for claim in claims(found, studies, trace)}


def test_what_was_measured_is_no_claim() -> None:
    found = claimed(catalogue())
    assert TUBE_MASS not in found
    assert found[CAMERA_MASS] == pytest.approx(0.05 * 0.7)


def test_a_tolerance_that_came_with_a_value_counts_before_the_table() -> None:
    assert claimed(catalogue())[Input("part", "head", ("mass",))] == pytest.approx(0.1)
    distance = {"distance": "55 mm +- 3 mm", "counts_from": "rear"}  # what a corrector allows, not how well it is known
    found = claimed(catalogue(parts(reducer={"back_focus": distance, "rear": "M48 x 0.75 male"})))
    assert found.get(Input("part", "reducer", ("back_focus", "distance")), 0.275) == pytest.approx(0.275)


def test_rigs_for_training_do_not_count() -> None:
    assert claimed(catalogue(rig={"for_training": True})) == {}


def test_a_default_is_a_claim_and_a_choice_is_none() -> None:
    found = catalogue()
    assert Input("choice", "seeing") not in claimed(found)
    open_ = replace(found, guide=found.guide.model_copy(update={"choices": type(found.guide.choices)()}))
    assert claimed(open_)[Input("choice", "seeing")] == pytest.approx(0.3 * 2.5)
    assert Input("choice", "focus_steps") not in claimed(open_)  # a decision


def test_what_is_exact_or_on_a_map_is_no_claim() -> None:
    placed = with_place(catalogue(rig={"place": "field"}), latitude="50 deg", longitude="7 deg", seeing="2 arcsec",
                        horizon=[{"azimuth": "0 deg", "altitude": "9 deg"}])  # fmt: skip
    found = {one for one in claimed(placed) if one.owner == "place"}
    assert found == {Input("place", "field", ("seeing",))}


def test_the_tables_speak_of_what_there_is() -> None:
    assert set(BY_DIMENSION) <= set(DIMENSIONS)
    assert set(MEASURABLE).isdisjoint(DECISIONS)
    assert set(MEASURABLE) | DECISIONS == set(ASSUMED)  # whoever adds a choice says which of the two it is
    assert all(off.share > 0 or off.amount > 0 for off in (*BY_DIMENSION.values(), *BY_FIELD.values()))
    assert Off(0.01, 0.5).of(10) == 0.5
    assert Off(0.01, 0.5).of(-100) == 1.0


def brute(found: Catalogue, rig: str, one: Input, value: float) -> dict[tuple[str, str], str]:
    """Verdicts of a rig, by chapter and finding, with one value in the place of another."""
    reading = value_of(found, one)
    assert reading is not None
    other = moved_to(found, one, replace(reading, value=value))
    return {
        (chapter.id, finding.id): finding.verdict for chapter, finding in study_rig(other, other.rigs[rig]).findings
    }


@pytest.fixture(scope="module")
def of_one_rig(demo: Catalogue) -> Effects:
    studies, trace = study_and_trace(demo, only="godwit-car")
    return effects(demo, studies, claims(demo, studies, trace))


def test_every_turn_is_what_a_whole_new_study_says(demo: Catalogue, of_one_rig: Effects) -> None:
    turning = [effect for effect in of_one_rig.found if effect.turns]
    assert turning
    assert of_one_rig.found[: len(turning)] == tuple(turning)  # the gravest stand first
    for effect in turning:
        for turn in effect.turns:
            assert turn.value in (
                pytest.approx(effect.claim.reading.value + effect.claim.off),
                pytest.approx(effect.claim.reading.value - effect.claim.off),
            )
            verdicts = brute(demo, turn.rig, effect.claim.input, turn.value)
            assert verdicts[turn.chapter.id, turn.finding.id] == turn.verdict != turn.finding.verdict


def test_what_turns_nothing_turns_nothing(demo: Catalogue, of_one_rig: Effects) -> None:
    """Chapters that did not look at a value are not studied again; a whole study says that they need not be."""
    (as_is,) = (study_rig(demo, demo.rigs["godwit-car"]),)
    before = {(chapter.id, finding.id): finding.verdict for chapter, finding in as_is.findings}
    still = [effect.claim for effect in of_one_rig.found if not effect.turns]
    for claim in still[::7]:
        for value in (claim.reading.value + claim.off, claim.reading.value - claim.off):
            after = brute(demo, "godwit-car", claim.input, value)
            both = {key for key in before if key in after and "unsaid" not in (before[key], after[key])}
            assert {key for key in both if before[key] != after[key]} == set()


def test_time_is_kept(demo: Catalogue) -> None:
    studies, trace = study_and_trace(demo, only="heron-cabin")
    found = claims(demo, studies, trace)
    none = effects(demo, studies, found, seconds=-1.0)
    assert (none.found, none.claims) == ((), len(found))
    assert effects(demo, studies, [], seconds=1.0).found == ()


def test_a_value_deep_inside_is_moved_alone(demo: Catalogue) -> None:
    one = Input("part", "dual-band-2in", ("bands", 1, "width"))
    reading = value_of(demo, one)
    assert reading is not None
    other = moved_to(demo, one, replace(reading, value=9.0))
    moved = value_of(other, one)
    assert moved is not None
    assert moved.value == 9.0
    assert value_of(demo, one) == reading
    assert value_of(other, one._replace(path=("bands", 0, "width"))) == value_of(
        demo, one._replace(path=("bands", 0, "width"))
    )
    assert {id_ for id_ in demo.parts if demo.parts[id_] != other.parts[id_]} == {"dual-band-2in"}


def test_how_it_is_measured(demo: Catalogue) -> None:
    studies, trace = study_and_trace(demo, only="heron-cabin")
    found = {claim.key: how_to_measure(claim) for claim in claims(demo, studies, trace)}
    assert found["mass"] == "a kitchen scale up to a kilogram, a luggage scale above"
    assert "plate solution" in found["focal_length"]
