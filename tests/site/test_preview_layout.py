"""Words on preview pictures: they keep to the picture and off each other, whatever they say."""

from itertools import combinations
from pathlib import Path

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from rigleaf.site.previews.drawing import box_of
from rigleaf.site.previews.layout import FOOT_RULE, HEIGHT, NAMELESS, PLATE_BOX, WIDTH, Content, Plan, lay_out
from rigleaf.site.previews.letters import LONGEST, fit, width, writable
from rigleaf.site.previews.pictures import guide_content, rig_content
from rigleaf.site.previews.plate import Box, SkyPlate
from tests.site.preview_rigs import guide, studied

EMPTY_PLATE = SkyPlate(PLATE_BOX, (900.0, 260.0), 100.0)
LEAST_SIZE = 28


def assert_tidy(plan: Plan) -> None:
    """Every line is on the picture, large enough to be read, and clear of the others, of the rules and of the plate.

    Lines of one text may touch where an accent meets a tail, but stand as far apart as lines do.
    """
    boxes = {words: box_of(words) for words in plan.words}
    for words, (left, top, right, bottom) in boxes.items():
        assert words.size >= LEAST_SIZE
        assert 20 <= left <= right <= WIDTH - 20, words
        assert 20 <= top <= bottom <= HEIGHT - 20, words
        for rule in plan.rules:
            beside = right < rule.x1 or left > rule.x2
            assert beside or bottom < rule.y or top > rule.y + 1, (words, rule)
        if plan.plate:
            assert apart((left, top, right, bottom), plan.plate.box), words
    for one, two in combinations(plan.words, 2):
        if (one.x, one.size, one.weight, one.ink) == (two.x, two.size, two.weight, two.ink):
            assert abs(two.y - one.y) >= 1.1 * one.size, (one, two)
        else:
            assert apart(boxes[one], boxes[two]), (one, two)


def apart(one: Box, two: Box) -> bool:
    return one[2] <= two[0] or two[2] <= one[0] or one[3] <= two[1] or two[3] <= one[1]


def test_every_rig_of_the_demo(project: Path) -> None:
    demo = guide(project)
    studies = studied(demo)
    assert len(studies) == 20
    for study in studies:
        plan = lay_out(rig_content(demo, study))
        assert_tidy(plan)
        said = " ".join(words.text for words in plan.words)
        assert study.rig.name in said
        assert demo.guide.name in said
        assert not said.count("…")
        assert plan.plate is not None
    assert_tidy(lay_out(guide_content(demo, studies)))


WORST = [
    "", " ", "W" * 1000, "wide words " * 100, "i" * 1000, "😀", "赤道儀 とカメラ", "منظار صغير", "Телескоп", "Ἀστήρ",
    "\u202eright to left\u202c", "a\u0301\u0302\u0303\u0304" * 80, "\x00\x07\n\t", "<script>", "\U0010ffff",
    "ﷺ" * 60, "½ ²³ ™ №", "Łódź, Ærø, Çeşme & Ħamrun", "\u00ad\u200b\u2060", "fi" * 300,
]  # fmt: skip
TEXT = st.one_of(st.sampled_from(WORST), st.text(max_size=120), st.text("abcÄß ЖΩ漢😀-W", max_size=400))


@settings(max_examples=150, deadline=None)
@given(texts=st.lists(TEXT, min_size=9, max_size=9), plate=st.booleans(), rows=st.integers(0, 3))
@example(texts=["W" * 1000] * 9, plate=True, rows=3)
@example(texts=["wide words " * 100] * 9, plate=False, rows=3)
@example(texts=["Ẩģjq Ñgy " * 60] * 9, plate=True, rows=3)
def test_any_words(texts: list[str], plate: bool, rows: int) -> None:
    kicker, title, label, value, foot, tally, caption, sentence, other = texts
    facts = ((label, value), (other, value), (value, label))[:rows]
    assert_tidy(
        lay_out(
            Content(kicker, title, facts, (foot, tally), caption, EMPTY_PLATE if plate else None, sentence=sentence)
        )
    )


@pytest.mark.parametrize(
    ("text", "written"),
    [
        ("Heron 65", "Heron 65"),
        ("  two\n lines\u00a0here ", "two lines here"),
        ("Телескоп Ω", "Телескоп Ω"),
        ("Café \u0065\u0301", "Café é"),
        ("Ｆｕｌｌ ６５", "Full 65"),
        ("Rig 😀 for the Moon", "Rig for the Moon"),
        ("a\u202eb", "ab"),
        ("赤道儀", ""),
        ("Rig 赤道儀", ""),
        ("😀😀", ""),
        ("", ""),
    ],
)
def test_what_the_typeface_can_write(text: str, written: str) -> None:
    assert writable(text) == written


def test_no_text_is_read_to_its_end_however_long() -> None:
    assert len(writable("a" * 10**6)) == LONGEST


def test_without_a_writable_name_the_guide_speaks_for_the_rig() -> None:
    def texts(kicker: str, title: str) -> list[str]:
        return [words.text for words in lay_out(Content(kicker, title, plate=EMPTY_PLATE)).words]

    assert texts("Star club", "赤道儀") == ["Star club"]
    assert texts("天文部", "Heron 65") == ["Heron 65"]
    assert " ".join(texts("天文部", "赤道儀")) == NAMELESS


def test_lines_are_of_one_length_and_lose_no_word() -> None:
    text = "The quick rig jumps over the lazy tripod and comes home before the dew"
    found = fit(text, "semibold", 600, 300, (60, 50))
    assert " ".join(found.lines) == text
    widths = [width(line, "semibold", found.size) for line in found.lines]
    assert min(widths) > 0.6 * max(widths)


def test_what_does_not_go_in_says_so() -> None:
    found = fit("word " * 80, "regular", 300, 80, (34, 30))
    assert found.size == 30
    assert found.lines[-1].endswith("…")
    assert all(width(line, "regular", 30) <= 300 for line in found.lines)


def test_the_foot_stands_below_all_else() -> None:
    plan = lay_out(Content("Club", "Rig", foot=("Findings", "2 fails"), plate=EMPTY_PLATE))
    assert [words.text for words in plan.words if words.y > FOOT_RULE] == ["Findings", "2 fails"]
