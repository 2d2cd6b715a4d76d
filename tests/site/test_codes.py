"""Codes on labels: never smaller than a telephone reads, never cut, and what they hold when space is short."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rigleaf.site.sheets.codes import LEAST_MODULE, MOST_SHARE, PRINTER, code_of, for_people, printed
from rigleaf.site.sheets.label_sheets import LabelSheet, label_sheets
from tests.site.codes import drawn, read

ADDRESS = "https://tannwehr.example/rigs/parts/curlew-80.html"
sheets = st.sampled_from([*label_sheets().values()])


@given(st.text("abc/-.", min_size=1, max_size=400), sheets)
def test_a_code_is_large_enough_and_leaves_room_or_there_is_none(text: str, sheet: LabelSheet) -> None:
    found = printed([text], sheet.width, sheet.height)
    room = min(sheet.height - 2 * PRINTER, MOST_SHARE * sheet.width)
    if found is None:
        assert LEAST_MODULE * code_of(text).across > room
    else:
        assert found.code.text == text
        assert found.module >= LEAST_MODULE - 0.001
        assert found.side <= room + 0.01


@pytest.mark.parametrize(
    ("sheet", "side", "module"),
    # 50 bytes are version 4 at level M: 33 modules, 41 with the quiet zone. The side is 0.4 of the width, or the height
    # less 3 mm.
    [("A4 3 x 8", 25.4, 0.62), ("A4 3 x 7", 25.4, 0.62), ("Letter 3 x 10", 22.4, 0.546), ("A4 2 x 4", 39.64, 0.967)],
)
def test_a_usual_address_comes_out_well_above_the_least_size(sheet: str, side: float, module: float) -> None:
    measures = label_sheets()[sheet]
    found = printed([ADDRESS], measures.width, measures.height)
    assert found is not None
    assert found.side == pytest.approx(side, abs=0.01)
    assert found.module == pytest.approx(module, rel=0.005)


def test_an_address_that_is_too_long_gives_way_to_words_that_fit() -> None:
    long = "https://club.example/" + "very-long/" * 40
    found = printed([long, "Club, TAC-01, tube"], 63.5, 33.9)
    assert found is not None
    assert read(drawn(found.code.path, found.code.across)) == ["Club, TAC-01, tube"]
    assert printed([long], 63.5, 33.9) is None


def test_people_need_not_type_the_scheme() -> None:
    assert for_people(ADDRESS) == "tannwehr.example/rigs/parts/curlew-80.html"
    assert for_people("http://club.example/rigs/") == "club.example/rigs"
