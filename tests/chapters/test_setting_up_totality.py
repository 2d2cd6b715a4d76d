"""What is said of the filter at an eclipse: off in totality alone, and by nobody's guess."""

from typing import Any

import pytest
from pydantic import ValidationError

from rigleaf.catalogue.models.rig import Night
from rigleaf.chapters.figures import Study
from tests.chapters.small_evening import lines, made, said, table
from tests.chapters.small_guide import Data

SUN: Data = {"train": ["filter", "tube", "camera"], "purpose": ["Sun", "eclipses"]}
TIMES: Data = {"begins": "10:45:07", "ends": "10:49:41", "source": "worked out by hand"}


def of_totality(found: Study) -> list[str]:
    return [f"{row[0].text}. {row[1].text}" for row in table(found, "totality").rows]


def test_without_stated_times_the_filter_comes_off_by_the_organisers_call_alone() -> None:
    undated: list[Data | None] = [None, {"date": "2027-08-02"}, {"totality": TIMES}]
    for night in undated:
        found = said(made(**SUN, night=night))
        whole = " ".join(of_totality(found))
        assert "Only during totality, by the organiser's call" in whole
        assert ":0" not in whole
        assert "10:4" not in whole
        assert "ISO 12312-2" in whole
        assert "totality" not in found.index


def test_stated_times_bound_the_filters_absence_and_still_defer_to_a_call() -> None:
    found = said(made(**SUN, night={"date": "2027-08-02", "totality": TIMES}))
    on, off, again, whose = of_totality(found)
    assert "no moment without it" in on
    assert off.startswith("Filter off, not before 10:45:07. Only when the last bead of light is gone")
    assert "no eye at the optic" in off
    assert again.startswith("Filter on again, by 10:49:21. 20 seconds before totality ends at 10:49:41")
    assert "worked out by hand" in whose
    assert "goes before all else" in whose
    assert found.index["totality"].value == "10:45:07 to 10:49:41"
    assert [one.id for one in found.tables][:5] == ["before", "up", "totality", "down", "after"]


@pytest.mark.parametrize("rig", [{}, {**SUN, "purpose": ["Sun"]}, {"purpose": ["eclipses"]}, {"purpose": ["Moon"]}])
def test_rigs_that_are_not_for_it_or_have_no_filter_are_never_told_to_take_one_off(rig: Data) -> None:
    found = said(made(**rig))
    assert "totality" not in [one.id for one in found.tables]


def test_viewers_are_on_the_list_and_no_white_lamp_is_lit_by_day() -> None:
    found = said(made(**SUN))
    assert "Viewers for eyes" in lines(found, "before")
    assert "Viewers for eyes" not in lines(said(made()), "before")
    words = " ".join(row[1].text for id_ in ("before", "up", "down") for row in table(found, id_).rows)
    assert "white" not in words
    assert "dark" not in words


@pytest.mark.parametrize(
    "wrong",
    [
        {"begins": "10:45", "ends": "10:49:41"}, {"begins": "10:49:41", "ends": "10:45:07"},
        {"begins": "10:45:07", "ends": "10:45:07"}, {"begins": "10:45:07", "ends": "10:59:41"},
    ],
)  # fmt: skip
def test_times_that_no_totality_has_are_refused(wrong: dict[str, Any]) -> None:
    with pytest.raises(ValidationError):
        Night.model_validate({"date": "2027-08-02", "totality": wrong})
