"""Sums of masses: by place, by how they are known, and where scale and maker disagree."""

import pytest

from rigleaf.chapters.figures import Study
from tests.chapters.small_guide import Data, catalogue, finding, ids, mass, number, parts


def test_masses_are_summed_by_where_they_ride() -> None:
    found = mass(catalogue())
    assert number(found, "on-mount") == pytest.approx(2.9 + 0.3 + 0.7 + 0.2)
    assert number(found, "on-tripod") == pytest.approx(number(found, "on-mount") + 4 + 2 * 2)
    assert number(found, "total") == pytest.approx(number(found, "on-tripod") + 3 + 1.5)
    assert number(found, "pieces") == 9
    assert number(found, "weighed") == pytest.approx(2.9 / number(found, "total"))


@pytest.mark.parametrize(
    ("role", "in_sums"),
    [
        ("train", {"on-mount", "on-tripod", "total"}),
        ("riders", {"on-mount", "on-tripod", "total"}),
        ("counterweights", {"on-tripod", "total"}),
        ("power", {"total"}),
        ("bags", {"total"}),
        ("carried", {"total"}),
    ],
)
def test_a_part_counts_in_the_sums_of_its_role_and_as_often_as_it_is_there(role: str, in_sums: set[str]) -> None:
    shelf = parts() | {"brick": {"kind": "sundry", "name": "Brick", "mass": "1 kg"}}
    rig: Data = {"train": [], "riders": [], "counterweights": [], "power": [], "bags": [], "carried": []}
    without = mass(catalogue(shelf, rig=rig))
    with_three = mass(catalogue(shelf, rig=rig | {role: [{"part": "brick", "count": 3}]}))
    grown = {
        id_
        for id_ in ("on-mount", "on-tripod", "total")
        if (with_three.value(id_) or 0) == pytest.approx((without.value(id_) or 0) + 3)
    }
    assert grown == in_sums
    assert number(with_three, "pieces") == number(without, "pieces") + 3


def test_guide_scope_and_camera_ride_on_the_mount() -> None:
    shelf = parts() | {
        "scope": {"kind": "guide-scope", "name": "Scope", "mass": "0.4 kg"},
        "guider": {"kind": "guide-camera", "name": "Guider", "mass": "0.1 kg"},
    }
    found = mass(catalogue(shelf, rig={"guiding": {"scope": "scope", "camera": "guider"}}))
    assert number(found, "on-mount") == pytest.approx(4.1 + 0.5)


def test_uncertainties_of_pieces_that_share_a_figure_add_up_and_others_in_quadrature() -> None:
    found = mass(catalogue()).index["on-tripod"]
    assert found.uncertainty == pytest.approx((0.1**2 + (2 * 0.05) ** 2) ** 0.5)


def test_a_whole_rig_is_sound_and_says_how_much_was_weighed() -> None:
    known = finding(mass(catalogue()), "known")
    assert known.verdict == "sound"
    assert "All 9 pieces have a mass; 2.90\u00a0kg of 16.6\u00a0kg was weighed" in known.sentence


def test_pieces_without_a_mass_are_named_and_the_sum_is_a_lower_bound() -> None:
    found = mass(catalogue(parts(weight={"mass": None}, legs={"mass": None})))
    known = finding(found, "known")
    assert known.verdict == "unsaid"
    assert "at least 9.60\u00a0kg" in known.sentence
    assert "3 pieces of 9 have no mass (Weight, Legs)" in known.sentence
    assert known.parts == ("weight", "legs")
    beyond = "0.30\u00a0kg more than the makers say, by the club's scale"  # 2.9 kg of tube against 2.6 kg
    assert found.index["total"].note == f"at least; 3 pieces without a mass; {beyond}"
    assert found.index["on-tripod"].note == "at least; 2 pieces without a mass"


def test_the_names_of_many_parts_without_a_mass_end_after_four() -> None:
    known = finding(
        mass(
            catalogue(parts(**{id_: {"mass": None} for id_ in ("tube", "reducer", "camera", "motor", "head", "legs")}))
        ),
        "known",
    )
    assert "(Tube, Reducer, Camera, Motor and 2 more)" in known.sentence


def test_a_rig_of_no_parts_is_unsaid() -> None:
    rig: Data = {"train": [], "riders": [], "mount": None, "counterweights": [], "tripod": None, "power": []}
    found = mass(catalogue(rig=rig))
    assert ids(found.findings) == ["known"]
    assert found.worst == "unsaid"
    assert found.drawings == ()
    assert found.tables == ()


# --- Where scale and maker disagree -----------------------------------------------------------------------------


def weighed(stated_kg: float, measured_kg: float, id_: str = "head") -> dict[str, Data]:
    return {id_: {"mass": {"stated": f"{stated_kg!r} kg", "measured": f"{measured_kg!r} kg", "on": "2026-03-01"}}}


def only(changes: dict[str, Data]) -> Study:
    """The masses of the small guide, where only these parts disagree with their makers."""
    return mass(catalogue(parts(**({"tube": {"mass": "2.6 kg"}} | changes))))


@pytest.mark.parametrize(
    ("changes", "excess", "note"),
    [
        (weighed(4, 5), 1.0, "1.00\u00a0kg more than the makers say, by the club's scale"),
        (weighed(4, 3.5), -0.5, "0.50\u00a0kg less than the makers say, by the club's scale"),
        (weighed(4, 5) | weighed(2, 1.75, "weight"), 0.5, "0.50\u00a0kg more than the makers say, by the club's scale"),
        (weighed(4, 4), 0.0, ""),
    ],
)
def test_what_the_scale_finds_beyond_the_makers_is_a_figure_and_a_note_and_no_fault(
    changes: dict[str, Data], excess: float, note: str
) -> None:
    found = only(changes)
    assert number(found, "heavier") == pytest.approx(excess)
    assert found.index["total"].note == note
    assert found.worst == "sound"


def test_without_a_part_that_has_both_figures_nothing_is_said_of_it() -> None:
    found = only({})
    assert "heavier" not in found.index
    assert found.index["total"].note == ""


# --- Table and plate ----------------------------------------------------------------------------------------------


def test_the_table_lists_every_part_once_under_its_role_and_sums_them() -> None:
    (table,) = mass(catalogue()).tables
    assert [row[1].part for row in table.rows] == [
        "tube",
        "reducer",
        "camera",
        "motor",
        "head",
        "weight",
        "legs",
        "battery",
    ]
    heads = [row[0].text for row in table.rows]
    assert heads == ["Image train", "", "", "Also on the mount", "Mount", "Counterweights", "Tripod", "Power"]
    values = [row[3].figure.value for row in table.rows if row[3].figure is not None]
    total = table.sums[3].figure
    assert total is not None
    assert sum(value for value in values if isinstance(value, float)) == pytest.approx(total.value)
    assert table.rows[5][2].text == "2"
    assert table.rows[0][3].figure is not None
    assert table.rows[0][3].figure.note == "stated 2.6 kg"


def test_the_plate_has_a_bar_for_each_role_that_is_there_and_speaks_of_each() -> None:
    (plate,) = mass(catalogue()).drawings
    for words in (
        "image train 3.90\u00a0kg",
        "counterweights 4.00\u00a0kg",
        "tripod 3.00\u00a0kg",
        "power 1.50\u00a0kg",
    ):
        assert words in plate.description
    assert "bags" not in plate.description
    assert "rides on the mount, 4.10\u00a0kg," in plate.caption
    assert "stands on the tripod, 12.1\u00a0kg." in plate.caption


def test_imperial_guides_speak_in_pounds() -> None:
    known = finding(mass(catalogue(units="imperial")), "known")
    assert "6.39\u00a0lb of 36.6\u00a0lb" in known.sentence
