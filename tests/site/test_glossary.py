"""Terms lead to what they mean where a page first uses them, and the page's words stay as they were."""

from hypothesis import given
from hypothesis import strategies as st
from lxml import html

from rigleaf.chapters.methods import methods
from rigleaf.site.typeset.addresses import Addresses
from rigleaf.site.typeset.glossary import Linker, anchors, pattern, terms
from rigleaf.site.typeset.templating import Writer

FORMS = sorted(anchors())
TEXTS = st.lists(st.one_of(st.sampled_from(FORMS), st.text(max_size=12)), max_size=30).map(" ".join)


@given(TEXTS)
def test_splitting_loses_nothing_and_links_each_term_once(text: str) -> None:
    pieces = Linker().split(text)
    assert "".join(words for words, _ in pieces) == text
    linked = [anchor for _, anchor in pieces if anchor]
    assert len(linked) == len(set(linked))
    assert set(linked) == {anchors()[found.casefold()] for found in pattern().findall(text)}


@given(TEXTS)
def test_the_reader_sees_the_same_words(text: str) -> None:
    text = "".join(char for char in text if char.isprintable())
    writer = Writer("rigs/some", Addresses(), terms=Linker())
    assert html.fragment_fromstring(f"<p>{writer.worded(text)}</p>").text_content() == text


def test_a_page_links_a_term_at_its_first_use_only() -> None:
    writer = Writer("rigs/some", Addresses(), terms=Linker())
    first = writer.linked("Seeing of 2″ is good.", ())
    second = writer.linked("With such seeing guiding helps.", ())
    assert str(first) == '<a class="rl-term" href="../terms/index.html#seeing">Seeing</a> of 2″ is good.'
    assert "seeing</a>" not in second
    assert "#guiding" in second


def test_words_that_only_hold_a_term_are_left_alone() -> None:
    for text in ("strain-wave-like", "overseeing", "worms", "unguiding", "zenithal"):
        assert Linker().split(text) == [(text, "")], text


def test_of_two_terms_the_longer_one_is_meant() -> None:
    assert Linker().split("the guide star")[1] == ("guide star", "guide-star")
    assert Linker().split("an off-axis pick-off")[1] == ("off-axis pick-off", "off-axis-pick-off")


def test_entries_are_whole() -> None:
    found = terms()
    assert len({term.anchor for term in found}) == len(found)
    forms = [form for term in found for form in (term.term, *term.also)]
    assert len(set(forms)) == len(forms)
    for term in found:
        assert term.means.endswith("."), term.term
        assert not term.method or term.method in methods()
