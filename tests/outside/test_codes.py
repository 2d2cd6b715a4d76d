"""QR codes against ISO/IEC 18004 and an independent reader."""

import pytest
import zxingcpp
from hypothesis import given
from hypothesis import strategies as st
from PIL import ImageFilter

from rigleaf.site.sheets.codes import QUIET, code_of
from tests.site.codes import drawn

# ISO/IEC 18004:2015, table 7: bytes that each version holds at level M. From memory, and confirmed below by the reader.
MOST_BYTES = {1: 14, 2: 26, 3: 42, 4: 62, 5: 84, 6: 106, 7: 122, 8: 152, 9: 180, 10: 213}


@pytest.mark.parametrize(("version", "most"), MOST_BYTES.items())
def test_a_code_has_as_many_modules_as_the_standard_gives_its_text(version: int, most: int) -> None:
    # Table 1: 21 modules, and 4 more for each version. Small letters go as bytes.
    assert code_of("a" * most).modules == 17 + 4 * version
    assert code_of("a" * (most + 1)).modules == 17 + 4 * (version + 1)


def test_a_code_keeps_the_quiet_zone_of_the_standard() -> None:
    assert QUIET == 4  # ISO/IEC 18004:2015, 6.3.8
    code = code_of("https://club.example/parts/tube.html")
    picture = drawn(code.path, code.across, 1)
    dark = picture.point(lambda value: 255 - value).getbbox()
    assert dark == (QUIET, QUIET, code.across - QUIET, code.across - QUIET)


TEXTS = st.one_of(
    st.from_regex(r"https://[a-z]{3,20}\.example/(rigs|parts)/[a-z0-9-]{1,80}\.html", fullmatch=True),
    st.text(st.characters(codec="utf-8", exclude_categories=["Cc", "Cs", "Cn"]), min_size=1, max_size=80),
)


@given(TEXTS)
def test_an_independent_reader_finds_the_text_at_level_m_or_better(text: str) -> None:
    code = code_of(text)
    (found,) = zxingcpp.read_barcodes(drawn(code.path, code.across))
    assert bytes(found.bytes).decode("utf-8") == text
    assert found.ec_level in {"M", "Q", "H"}


def test_a_code_out_of_focus_askew_and_stained_is_still_read() -> None:
    text = "https://tannwehr.example/rigs/parts/curlew-reducer.html"
    code = code_of(text)
    picture = drawn(code.path, code.across, 8)
    stained = picture.copy()
    stained.paste(255, (150, 150, 198, 198))  # 6 x 6 of 1369 modules
    for seen in (picture.filter(ImageFilter.GaussianBlur(4)), picture.rotate(17, fillcolor=255, expand=True), stained):
        assert [one.text for one in zxingcpp.read_barcodes(seen)] == [text]
