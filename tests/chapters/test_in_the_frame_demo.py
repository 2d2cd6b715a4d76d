"""Framing on the demo: every rig is judged, and what the Sun and a rig for training may not do."""

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.catalogue.targets import resolve
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.in_the_frame import fleet
from rigleaf.chapters.in_the_frame.framing import Wishes, frame_target, panels_of
from rigleaf.chapters.in_the_frame.study import study
from tests.chapters.small_guide import finding

WISHES = Wishes(0.1, 0.2)


def test_the_demo_has_targets_of_every_sort_in_both_hemispheres(demo: Catalogue) -> None:
    found = [resolve(target) for target in demo.targets.values()]
    assert len(found) >= 60
    assert {"nebula", "galaxy", "star cluster", "comet", "Moon", "Sun", "planet", "Milky Way"} <= {
        target.sort for target in found
    }
    declinations = [target.dec for target in found if target.dec is not None]
    assert sum(dec < -20 for dec in declinations) >= 15
    assert sum(dec > 20 for dec in declinations) >= 20
    extents = [target.major_arcmin for target in found if target.major_arcmin is not None]
    assert min(extents) < 1
    assert max(extents) > 600
    assert len(extents) == len(found)


def test_every_rig_of_the_demo_is_judged_and_most_targets_fit(demo: Catalogue) -> None:
    verdicts = []
    for rig in demo.rigs.values():
        assembly = Assembly(demo, rig)
        found = study(assembly)
        assert [one.id for one in found.findings] == [target.id for target in assembly.all_targets]
        assert len(found.drawings) >= 1
        verdicts += [one.verdict for one in found.findings]
        for drawing in found.drawings:
            assert len(drawing.svg.encode()) < 12_000
    assert set(verdicts) == {"sound", "tight", "fails"}
    assert verdicts.count("sound") > 0.6 * len(verdicts)


def test_panels_are_listed_only_where_one_frame_is_not_enough(demo: Catalogue) -> None:
    for rig, view in fleet.views_of(demo):
        for target in Assembly(demo, rig).targets:
            one = frame_target(view, target, WISHES)
            assert one is not None
            assert (one.grid.cells == 1) == one.roomy(WISHES)
            assert bool(panels_of(one, view, WISHES)) == (1 < one.grid.cells <= 36)


def test_a_rig_for_training_is_suggested_for_nothing_but_its_own_targets(demo: Catalogue) -> None:
    (training,) = (rig for rig in demo.rigs.values() if rig.for_training)
    named = {
        target.id
        for target in demo.targets.values()
        if training.id in {one.rig.id for one in fleet.ranking(demo, resolve(target))}
    }
    assert named <= set(training.targets)


def test_the_sun_is_for_rigs_with_a_filter_in_front_and_for_no_other(demo: Catalogue) -> None:
    filtered = {id_ for id_, rig in demo.rigs.items() if Assembly(demo, rig).filtered_for_the_sun}
    assert filtered
    assert filtered < set(demo.rigs)
    assert {one.rig.id for one in fleet.ranking(demo, resolve(demo.targets["sun"]))} == filtered
    for target in ("m31", "ngc-7000"):
        assert not filtered & {one.rig.id for one in fleet.ranking(demo, resolve(demo.targets[target]))}


def test_a_rig_that_names_the_sun_without_a_filter_fails_whatever_fits(demo: Catalogue) -> None:
    rig = demo.rigs["heron-eclipse"]
    bare = rig.model_copy(update={"train": tuple(use for use in rig.train if use.part != "sun-filter-96")})
    assert finding(study(Assembly(demo, rig)), "sun").verdict == "sound"
    found = finding(study(Assembly(demo, bare)), "sun")
    assert found.verdict == "fails"
    assert "Never point it" in found.sentence
    assert found.parts == ("sun-filter-96",)
