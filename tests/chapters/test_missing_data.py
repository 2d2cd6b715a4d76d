"""Missing data breaks nothing, is never taken as zero and never makes a rig look better without saying so."""

from collections.abc import Iterator
from typing import Any

from hypothesis import example, given, settings
from hypothesis import strategies as st

from rigleaf.chapters.figures import WORST_FIRST, Study
from tests.chapters.small_guide import PARTS, Data, catalogue, mass, parts, scale

NEEDED = {"kind", "name"}
FAULTY: dict[str, Data] = parts(
    tube={"tube_length": "900 mm"},
    camera={"sensor": {"pixels": "2000 x 1500", "pixel": "12 um", "mosaic": "colour"}},
    motor={"step": "20 um"},
    head={"mass": {"stated": "4 kg", "measured": "5 kg", "on": "2026-03-01"}},
)
"""A whole shelf again, but of a rig that is found fault with."""

MIRRORS: dict[str, Data] = parts(
    tube={
        "form": "ritchey-chretien",
        "primary_focal_ratio": "3",
        "mirror_spacing": "300 mm",
        "tube_material": "steel",
    },
)

Path = tuple[str, ...]


def optional(data: Data, path: Path = ()) -> Iterator[Path]:
    """Paths of everything that may be left out of a shelf, entries inside entries too."""
    for key, value in data.items():
        if key in NEEDED and len(path) == 1:
            continue
        if path:
            yield (*path, key)
        if isinstance(value, dict) and not {"stated", "measured"} & set(value):
            yield from optional(value, (*path, key))


def without(shelf: dict[str, Data], gone: set[Path]) -> dict[str, Data]:
    def kept(value: Any, path: Path) -> Any:
        if not isinstance(value, dict):
            return value
        return {key: kept(inner, (*path, key)) for key, inner in value.items() if (*path, key) not in gone}

    made: dict[str, Data] = kept(shelf, ())
    return made


gaps = st.sets(st.sampled_from(sorted({*optional(PARTS), *optional(MIRRORS)})), max_size=12)
shelves = st.sampled_from([PARTS, FAULTY, MIRRORS])
riders = st.sampled_from([["motor"], []])


def both(shelf: dict[str, Data], rider: list[str]) -> tuple[Study, Study]:
    found = catalogue(shelf, rig={"riders": rider, "purpose": ["galaxies"]})
    return scale(found), mass(found)


@settings(max_examples=150, deadline=None)
@given(shelves, gaps, riders)
@example(FAULTY, {("camera", "sensor", "mosaic")}, ["motor"])
@example(MIRRORS, {("tube", "form")}, [])
@example(PARTS, {("camera", "sensor")}, ["motor"])
def test_leaving_anything_out_breaks_nothing_and_hides_nothing(
    shelf: dict[str, Data], gone: set[Path], rider: list[str]
) -> None:
    for whole, gappy in zip(both(shelf, rider), both(without(shelf, gone), rider), strict=True):
        before = {one.id: one.verdict for one in whole.findings}
        after = {one.id: one.verdict for one in gappy.findings}
        says_so = "unsaid" in after.values()
        for id_, verdict in before.items():
            now = after.get(id_)
            better = now not in (None, "unsaid") and WORST_FIRST.index(now) > WORST_FIRST.index(verdict)
            assert says_so or not (better or now is None), f"{id_} was {verdict} and is {now}, and nothing is unsaid"
        for figure in gappy.figures:
            if figure.value == 0 and figure.id != "weighed":  # it is true that nothing was weighed
                assert whole.value(figure.id) == 0, f"{figure.id} became zero"


@settings(max_examples=80, deadline=None)
@given(gaps)
def test_a_mass_that_is_left_out_makes_every_sum_a_lower_bound_that_says_so(gone: set[Path]) -> None:
    whole, gappy = mass(catalogue()), mass(catalogue(without(PARTS, gone)))
    lost = {path[0] for path in gone if path[1:] == ("mass",) and path[0] in PARTS}
    for id_ in ("on-mount", "on-tripod", "total"):
        figure = gappy.index[id_]
        if figure.value is None:
            assert figure.note == "no mass is given"
            continue
        assert isinstance(figure.value, float)
        full = whole.value(id_)
        assert full is not None
        assert figure.value <= full + 1e-9
        assert ("at least" in figure.note) == (figure.value < full - 1e-9)
    assert bool(lost) == (gappy.worst == "unsaid" or "unsaid" in {one.verdict for one in gappy.findings})


def test_half_of_every_part_unsaid_still_makes_a_study() -> None:
    bare: dict[str, Data] = {id_: {key: data[key] for key in NEEDED} for id_, data in PARTS.items()}
    found = catalogue(bare)
    assert scale(found).worst == mass(found).worst == "unsaid"
    assert [figure.id for figure in scale(found).figures if figure.value is not None] == []
    assert [figure.id for figure in mass(found).figures if figure.value is not None] == ["pieces"]
