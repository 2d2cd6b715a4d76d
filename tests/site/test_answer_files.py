"""The answers that a page gives in place: every method, in scripts that are nothing but data."""

import json
import re

from lxml import html

from rigleaf.chapters.methods import methods
from rigleaf.chapters.register import chapters
from rigleaf.site.reference.answers import TERMS, answer_files
from rigleaf.site.typeset.glossary import terms

CALL = re.compile(r'rigleafHow\(("[^"]+"), (\{.*\})\);\n', re.DOTALL)


def answers() -> dict[str, dict[str, str]]:
    found = {}
    for _, content in answer_files():
        call = CALL.fullmatch(content.decode("ascii"))
        assert call is not None
        found[json.loads(call[1])] = json.loads(call[2])
    return found


def test_every_method_is_answered_in_the_file_of_its_chapter() -> None:
    found = answers()
    assert list(found) == [*(chapter.id for chapter in chapters()), TERMS]
    assert set(found.pop(TERMS)) == {term.anchor for term in terms()}
    assert {id_: chapter for chapter, entries in found.items() for id_ in entries} == {
        id_: method.chapter for id_, method in methods().items()
    }


def test_an_answer_names_the_method_its_formula_and_its_sources() -> None:
    found = answers()
    for id_, method in methods().items():
        text = found[method.chapter][id_]
        assert method.sources[0].title in html.fromstring(f"<div>{text}</div>").text_content()
        assert ("<math" in text) == bool(method.formula or method.symbols)


def test_paths_are_those_that_the_script_asks_for() -> None:
    names = [*(chapter.id for chapter in chapters()), TERMS]
    assert [path for path, _ in answer_files()] == [f"assets/how/{name}.js" for name in names]
