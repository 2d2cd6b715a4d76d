"""The interface in other languages: nothing is missing, nothing is dead, places agree, and a club's own words stay."""

import ast
import re
from collections.abc import Iterator
from functools import cache
from importlib.resources import files
from pathlib import Path
from string import Formatter

import pytest
import yaml
from jinja2 import Environment, StrictUndefined

from rigleaf.catalogue.days import day_in_words, days_in_words
from rigleaf.sentences import PLACE, named
from rigleaf.site.delivery.script_words import script_messages, word_files
from rigleaf.site.delivery.static_files import STATIC
from rigleaf.site.typeset.template_words import TemplateWords, messages, translated
from rigleaf.words import LANGUAGES, language, speaking, tr, within, words_of
from tests.engine.building import built

OTHERS = LANGUAGES[1:]
STATES = {"Britain (UK)", "Japan", "Korea (South)", "New Zealand"}
"""States with rules of their own whose names stand in the data of time zones, not in ours."""
_PLACES = re.compile(r"\{\w*\}|</?\w+>")


def templates(package: Path) -> list[Path]:
    """Every template of ours: those of pages and those of chapters."""
    return sorted([*package.glob("site/templates/*.html"), *package.glob("chapters/*/*.html")])


def asked_in_modules(package: Path) -> Iterator[str]:
    """Every text that a module hands to tr() as it stands, or as one of two."""
    for path in package.rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in ("tr", "named"):
                first = node.args[0]
                for one in (first.body, first.orelse) if isinstance(first, ast.IfExp) else (first,):
                    if isinstance(one, ast.Constant) and isinstance(one.value, str):
                        yield one.value.strip(" ")


def asked_in_texts() -> Iterator[str]:
    """Every word of the glossary and every text of the cautions."""
    for name in ("glossary", "cautions"):
        entries = yaml.safe_load((files("rigleaf.site") / "texts" / f"{name}.yml").read_text(encoding="utf-8"))
        for entry in entries:
            yield from (entry[key] for key in ("term", "means", "title", "short", "text", "defer") if entry.get(key))
            yield from entry.get("also", ())


@cache
def asked(package: Path) -> dict[str, None]:
    """Every text of the interface that the source shows, in the order in which it stands there."""
    found = [text for path in templates(package) for text in messages(path.read_text(encoding="utf-8"))]
    found += [text.strip(" ") for text in script_messages()]
    found += [*asked_in_modules(package), *asked_in_texts()]
    return dict.fromkeys(text for text in found if re.search(r"[^\W\d_]{2}", _PLACES.sub("", text)))


@cache
def constants(package: Path) -> str:
    """All texts in modules and lists of the package, one a line, in which names of figures and fields are found."""
    modules = [ast.parse(path.read_text(encoding="utf-8")) for path in package.rglob("*.py")]
    nodes = [node for module in modules for node in ast.walk(module)]
    texts = [node.value for node in nodes if isinstance(node, ast.Constant) and isinstance(node.value, str)]
    fields = [node.target.id for node in nodes if isinstance(node, ast.AnnAssign) and isinstance(node.target, ast.Name)]
    paths = [*package.glob("*/data/*.[yc][ms][lv]"), package / "site" / "texts" / "components.yml"]
    lists = [path.read_text(encoding="utf-8") for path in paths]
    names = [text.replace("_", " ") for text in (*texts, *fields)]
    return "\n".join([*texts, *names, *lists]).casefold()


def runs(text: str) -> frozenset[str]:
    """Every three words that follow each other."""
    words = text.casefold().split()
    return frozenset(" ".join(words[at : at + 3]) for at in range(len(words) - 2))


@pytest.mark.parametrize("code", OTHERS)
def test_every_text_of_the_interface_is_translated(package: Path, code: str) -> None:
    missing = [text for text in asked(package) if text not in words_of(code)]
    assert not missing, f"texts/words.{code}.yml lacks:\n" + "\n".join(f'"{text}": ""' for text in missing)


def test_no_script_shows_a_text_that_it_does_not_ask_for() -> None:
    asks, shown = {text.strip() for text in script_messages()}, []
    for script in sorted((Path(STATIC) / "assets" / "rigleaf").glob("*.js")):
        source = re.sub(r"/\*.*?\*/", "", script.read_text(encoding="utf-8"), flags=re.DOTALL)
        texts = [found[1] for found in re.finditer(r'"((?:[^"\\\n]|\\.)*)"', source)]
        # Words parted by single spaces; what has other signs is a selector, a class or markup.
        found = [text for text in texts if re.fullmatch(r"(?:[A-Za-z“”,;:.]+ )+[A-Za-z“”,;:.]+ ?", text)]
        shown += [(script.name, text) for text in found if text.strip() not in asks]
    no_words = ("use strict", "thead th", "tbody th", "thead, tbody", "Rigleaf Text Now")
    assert [one for one in shown if one[1] not in no_words] == []


@pytest.mark.parametrize("code", OTHERS)
def test_no_translation_is_dead(package: Path, code: str) -> None:
    living, known = asked(package), constants(package)
    lines, there = frozenset(known.splitlines()), runs(known)

    def lives(text: str) -> bool:
        if text in living or text in STATES:
            return True
        # A name that a chapter puts together stands in its source in pieces; articles are put before names of kinds.
        pieces = [piece.strip().casefold() for piece in re.split(r"\{\w+\}|^an? |, |: |; ", text)]
        return not runs(text).isdisjoint(there) or all(piece in lines or piece in known for piece in pieces)

    assert [text for text in words_of(code) if not lives(text)] == []


@pytest.mark.parametrize("code", OTHERS)
def test_translations_keep_the_places(code: str) -> None:
    wrong = {
        text: words
        for text, words in words_of(code).items()
        if sorted(_PLACES.findall(text)) != sorted(_PLACES.findall(words))
    }
    assert wrong == {}


@pytest.mark.parametrize("code", OTHERS)
def test_every_translation_can_be_filled_in(code: str) -> None:
    for words in words_of(code).values():
        if "<" not in words:
            assert all(name is None or name.isidentifier() for _, name, _, _ in Formatter().parse(words))


def test_english_is_never_looked_up() -> None:
    assert words_of("en") == {}
    assert tr("{n} rigs", n=3) == "3 rigs"
    assert tr("a {brace}") == "a {brace}"
    assert [*word_files()] == []


def test_a_language_is_spoken_until_its_block_ends() -> None:
    with speaking("de"):
        assert (language(), tr("Find a rig")) == ("de", "Ausrüstung finden")
        with speaking("en"):
            assert tr("Find a rig") == "Find a rig"
        assert tr("at least ") == "mindestens "
        assert tr("What nobody translates") == "What nobody translates"
    assert language() == "en"


def test_names_of_chapters_keep_what_is_the_club_s() -> None:
    with speaking("de"):
        assert named("Focal length") == "Brennweite"
        assert named("Dew on the Focal length 65") == "Tau: Focal length 65"
        assert within("Brennweite") == "Brennweite"
    assert within("Focal length") == "focal length"
    assert PLACE not in named("Dew on the tube")


def test_days_are_written_as_german_does() -> None:
    import datetime as dt

    first, last = dt.date(2027, 3, 5), dt.date(2027, 3, 8)
    with speaking("de"):
        assert day_in_words(last) == "8. März 2027"
        assert days_in_words(first, last) == "5. bis 8. März 2027"
        assert days_in_words(dt.date(2027, 2, 27), last) == "27. Februar bis 8. März 2027"


def test_a_sentence_may_move_its_places_and_tags() -> None:
    source = '<p>{{ n }} rigs on <a href="{{ link("x") }}">the shelf</a>.{% if more %} And more.{% endif %}</p>'
    assert messages(source) == ["{n} rigs on <a>the shelf</a>.", "And more."]
    german = {"{n} rigs on <a>the shelf</a>.": "Auf <a>dem Regal</a>: {n}.", "And more.": "Und mehr."}
    assert translated(source, german.__getitem__) == (
        '<p>Auf <a href="{{ link("x") }}">dem Regal</a>: {{ n }}.{% if more %} Und mehr.{% endif %}</p>'
    )


def test_only_words_are_sentences() -> None:
    source = (
        "{# A comment. #}{% from 'x.html' import y %}<script>var a = 'A word';</script>"
        '<td class="a b" aria-label="Bags of {{ who }}">{{ n }} × {{ name }}</td>'
        '{% if word == "ask first" %}{{ word("How " ~ n, kind="") }} {{ "one" if n }}{{ _("none") }}{% endif %}'
    )
    assert messages(source) == ["Bags of {who}", "How", "none"]


def test_a_template_is_translated_when_it_is_compiled() -> None:
    env = Environment(extensions=[TemplateWords], undefined=StrictUndefined, autoescape=True)
    env.globals["_"] = tr
    with speaking("de"):
        source = env._tokenize('<b title="Caution">{{ name }}</b>', "x.html")
        assert "Warnhinweis" in "".join(str(token.value) for token in source)


def test_a_guide_in_german(tmp_path: Path) -> None:
    site = built(tmp_path, guide={"name": "Filters", "language": "de"})
    pages = {path.relative_to(site).as_posix(): path.read_text(encoding="utf-8") for path in site.rglob("*.html")}
    assert all('<html lang="de"' in page for page in pages.values())
    frame = pages["index.html"]
    assert "<h1>Filters</h1>" in frame  # a club's name that is a word of the interface stays what it is
    assert 'src="assets/rigleaf/words.js"' in frame
    assert "Ausrüstung finden" in frame
    assert "Auf dieser Seite" in frame
    assert 'aria-label="Farben"' in frame
    assert '"lang": ["de"]' in frame or '"lang":["de"]' in (site / "search/search_index.json").read_text("utf-8")
    english = (
        "Find a rig",
        "What it is made of",
        "At a glance",
        ">sound<",
        "Focal length",
        "Mass in all",
        "On this page",
    )
    left = [
        (path, word)
        for path, page in pages.items()
        for word in english
        if word in page and not path.startswith(("method/", "reference/", "assets/copies"))
    ]
    assert left == []
