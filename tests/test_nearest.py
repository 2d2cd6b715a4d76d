"""The nearest known name to a mistyped one."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rigleaf.catalogue.models.kinds import KINDS
from rigleaf.catalogue.models.rig import Rig
from rigleaf.catalogue.validation import known_keys
from rigleaf.nearest import nearest
from tests.strategies import mistyped

KEYS = known_keys(Rig)


def one_typing_error_apart(one: str, other: str) -> bool:
    """Say whether one letter wrong, missing, too many or swapped leads from one to the other."""
    while one and other and one[0] == other[0]:
        one, other = one[1:], other[1:]
    while one and other and one[-1] == other[-1]:
        one, other = one[:-1], other[:-1]
    return max(len(one), len(other)) <= 1 or (len(one) == 2 and one == other[::-1])


@given(mistyped(KINDS))
def test_a_mistyped_kind_is_found(drawn: tuple[str, str]) -> None:
    _, typo = drawn
    found = nearest(typo, KINDS)
    assert found is not None
    assert one_typing_error_apart(found, typo)


@given(mistyped(KEYS))
def test_a_mistyped_key_is_found(drawn: tuple[str, str]) -> None:
    _, typo = drawn
    found = nearest(typo, KEYS)
    assert found is not None
    assert one_typing_error_apart(found, typo)


@given(st.sampled_from(list(KINDS)), st.sampled_from([str.upper, str.title, str.lower]), st.sampled_from("-_ "))
def test_case_and_hyphens_make_no_difference(name: str, case: object, hyphen: str) -> None:
    assert callable(case)
    assert nearest(case(name).replace("-", hyphen), KINDS) == name


@pytest.mark.parametrize(
    ("name", "known", "found"),
    [
        ("pixel_size", ["pixels", "pixel", "mosaic"], "pixel"),
        ("colour-camera-2", ["camera", "colour-camera"], "colour-camera"),
        ("focal_length", ["length", "mass"], "length"),
        ("zeppelin", ["mount", "tripod"], None),
        ("", ["mount"], None),
        ("mount", [], None),
        ("x" * 101, ["x" * 100], None),
    ],
)
def test_nearest(name: str, known: list[str], found: str | None) -> None:
    assert nearest(name, known) == found


@given(st.text(max_size=30), st.lists(st.text(max_size=30), max_size=5))
def test_what_is_found_is_known(name: str, known: list[str]) -> None:
    found = nearest(name, known)
    assert found is None or found in known


@given(st.lists(st.text(max_size=30), min_size=1, max_size=5))
def test_a_known_name_finds_itself_or_one_that_differs_in_case_only(known: list[str]) -> None:
    found = nearest(known[0], known)
    assert found is not None
    assert found.casefold().replace("_", "-").replace(" ", "-") == known[0].casefold().replace("_", "-").replace(
        " ", "-"
    )
