"""Sentences of chapters in other languages: what is lifted out of them, and that all of the demo are known."""

import re
from collections.abc import Iterator
from html.parser import HTMLParser
from importlib.resources import files as files_of
from pathlib import Path

import pytest
import yaml

from rigleaf.catalogue.models.place_fields import MONTHS
from rigleaf.catalogue.reading import read_catalogue
from rigleaf.sentences import PLACE, lifted, named, said, sentences_of
from rigleaf.site.typeset.own_names import names_in
from rigleaf.words import LANGUAGES, in_digits, speaking
from tests.test_words import constants

NAMES = frozenset({"Heron 65", "Lead 12 V, 2 m", "Dew and frost band"})
ENGLISH_PAGES = re.compile(r"(method|reference|flight|assets)/|(?!index|404)[\w-]+\.html$")
"""Methods, fields of the YAML, flight rules, and pages that a person has written: docs/languages.md says why."""
ENGLISH_INSIDE = frozenset({"rl-letter", "rl-desk-rules", "rl-document", "rl-rule", "rl-sources", "rl-asked-title"})
WORD = re.compile(
    r"\b(?:the|and|with|is|are|not|its|for|from|by|which|this|that|has|have|been|who|nobody|than|where)\b"
)
VOID = frozenset({"br", "hr", "img", "input", "link", "meta", "source", "wbr", "path", "use", "rect", "col"})


class Words(HTMLParser):
    """Collects the text that a page shows, and what of it is marked as English outside the places that are so."""

    def __init__(self) -> None:
        super().__init__()
        self._open: list[tuple[str, str]] = []
        self.shown: list[str] = []
        self.marked: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        values = dict(attrs)
        silent = tag in ("script", "style", "code", "pre", "math", "desc")
        given = ENGLISH_INSIDE & set((values.get("class") or "").split())
        kind = "silent" if silent or given else "english" if values.get("lang") == "en" else ""
        if tag not in VOID:
            self._open.append((tag, kind))

    def handle_endtag(self, tag: str) -> None:
        while self._open and self._open.pop()[0] != tag:
            pass

    def handle_data(self, data: str) -> None:
        kinds = {kind for _, kind in self._open}
        if data.strip() and "silent" not in kinds:
            (self.marked if "english" in kinds else self.shown).append(" ".join(data.split()))


@pytest.fixture(scope="module")
def german_words(german_site: Path) -> dict[str, Words]:
    """What the pages of the German demo show."""
    found = {}
    for path in sorted(german_site.rglob("*.html")):
        address = path.relative_to(german_site).as_posix()
        if not ENGLISH_PAGES.match(address):
            found[address] = Words()
            found[address].feed(path.read_text(encoding="utf-8"))
    assert len(found) > 200
    return found


def own_texts(value: object) -> Iterator[str]:
    """Every text that a guide's YAML states."""
    if isinstance(value, str):
        yield " ".join(value.split())
    elif isinstance(value, dict | list):
        for one in value.values() if isinstance(value, dict) else value:
            yield from own_texts(one)


def test_nothing_but_what_is_declared_is_marked_as_english(german_words: dict[str, Words]) -> None:
    left = {text: page for page, words in german_words.items() for text in words.marked}
    assert left == {}, "texts/sentences.de.yml lacks clauses of these"


def test_nothing_english_is_left_unmarked(german_words: dict[str, Words], project: Path) -> None:
    catalogue = read_catalogue(project / "rigs")
    names = sorted({catalogue.guide.name, *names_in(catalogue)}, key=len, reverse=True)
    called = re.compile("|".join(map(re.escape, names)))
    files = [yaml.load(path.read_text("utf-8"), yaml.CBaseLoader) for path in (project / "rigs").rglob("*.yml")]  # noqa: S506
    parts = (files_of("rigleaf.site") / "texts" / "components.yml").read_text("utf-8")
    files.append(yaml.load(parts, yaml.CBaseLoader))  # noqa: S506 - names and rights of what others made
    own = "\n".join(text for one in files for text in own_texts(one)).casefold()
    shown = {text: page for page, words in german_words.items() for text in words.shown}
    left = {}
    for text, page in shown.items():
        clauses = re.split(r"[.:;,()→…]", called.sub("", re.sub(r"'[^']*'", "", text)))
        cut_off = text.endswith("…")  # a label of a plate without room for all of it
        if not cut_off and any(WORD.search(one) and one.strip().casefold() not in own for one in clauses):
            left[text] = page
    assert left == {}


def test_what_changes_is_lifted_out() -> None:
    text = "Heron 65 gives 4.5 V through Lead 12 V, 2 m from 3 June to July at 21:40; lean to the north-west: −3 °C."
    assert [(one.key, one.values) for one in lifted(text, NAMES)] == [
        (
            "{n1} gives {v1} V through {n2} from {d1} to {d2} at {v2};",
            {"n1": "Heron 65", "v1": "4.5", "n2": "Lead 12 V, 2 m", "d1": "3 June", "d2": "July", "v2": "21:40"},
        ),
        ("lean to the {c1}:", {"c1": "north-west"}),
        ("{v1} °C.", {"v1": "−3"}),
    ]


def test_names_in_a_row_are_one() -> None:
    with speaking("de", NAMES):
        assert [(one.key, one.values) for one in lifted("2 × Heron 65 and Dew and frost band last.", NAMES)] == [
            ("{n1} last.", {"n1": "2 × Heron 65 und Dew and frost band"})
        ]


def test_a_sentence_is_said_with_its_figures_as_german_writes_them() -> None:
    with speaking("de", NAMES):
        assert (
            said("Cover what stands open. One leg to the west is best:")
            == "Abdecken, was offen steht. Ein Bein nach Westen ist am besten:"
        )
        assert said("3.2 kg of it") is None  # one that nobody knows stays what it is
        assert named("Heron 65") == "Heron 65"
        assert named("stated 3.2 kg") == "angegeben 3,2\u00a0kg"
        assert in_digits("1.5 × 2.25") == "1,5 × 2,25"
        assert named("stated {0} kg {n1}") == "stated {0} kg {n1}"
    assert said("3.2 kg of it") == "3.2 kg of it"


@pytest.mark.parametrize("code", LANGUAGES[1:])
def test_sentences_keep_their_places_and_live(code: str, package: Path) -> None:
    known = {*re.findall(r"[a-z]{3,}", constants(package)), *(month[:3].lower() for month in MONTHS)}
    known |= {
        "germany",
        "spain",
        "namibia",
    }  # states of the demo's journeys; their names stand in the data of time zones
    for english, words in sentences_of(code).items():
        places = re.findall(r"\{\w+\}", english)
        assert sorted(places) == sorted(re.findall(r"\{\w+\}", words)), english
        assert PLACE not in english
        dead = set(re.findall(r"[a-z]{3,}", re.sub(r"\{\w+\}", "", english).casefold())) - known
        assert not dead, english
