"""Every bad guide of the tables brings exactly its faults, in plain words, at the right place."""

import ast
import re
from pathlib import Path

import pytest

from rigleaf.catalogue import validation
from tests.catalogue.models import every_model
from tests.faults.cases import BASE, all_cases, faults_in, faults_of

CASES = all_cases()

# Where each function that makes a fault takes its code.
CODE_ARGUMENT = {"Fault": 3, "report": 1, "_fault": 1, "_stopped": 2, "refuse": 0}


def test_the_guide_under_the_cases_is_sound() -> None:
    assert faults_in(BASE) == ()


@pytest.mark.parametrize("label", CASES)
def test_faults_word_for_word(label: str) -> None:
    assert [str(fault) for fault in faults_of(label)] == CASES[label].faults


def test_faults_stand_in_the_order_of_their_places() -> None:
    for label in CASES:
        places = [(fault.file, fault.line, fault.column) for fault in faults_of(label)]
        assert places == sorted(places)


def test_there_are_many_cases() -> None:
    assert len(CASES) >= 150


def test_every_code_in_the_source_is_met_by_a_case(package: Path) -> None:
    met = {fault.code for label in CASES for fault in faults_of(label)}
    assert codes_in(package / "catalogue") == met


def codes_in(folder: Path) -> set[str]:
    """Return the codes of faults that the source can give, from the calls that make faults."""
    codes = {code for code, _ in validation._SENTENCES.values()}
    for path in folder.rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if not isinstance(node, ast.Call):
                continue
            name = node.func.attr if isinstance(node.func, ast.Attribute) else getattr(node.func, "id", "")
            arguments = node.args[CODE_ARGUMENT[name] :] if name in CODE_ARGUMENT else []
            if arguments and isinstance(arguments[0], ast.Constant):
                codes.add(str(arguments[0].value))
    return codes


def test_messages_are_one_line_of_visible_characters() -> None:
    for label in CASES:
        for fault in faults_of(label):
            assert fault.message.isprintable()
            assert len(fault.message) < 600


def test_no_message_speaks_of_the_source() -> None:
    classes = {model.__name__ for model in every_model()} | {
        "Reading",
        "Box",
        "Pixels",
        "Offset",
        "Connection",
    }
    inside = re.compile(rf"\b(?:{'|'.join(sorted(classes))}|NoneType|dict|str|int|tuple|bool)\b")
    for label in CASES:
        for fault in faults_of(label):
            own_words = re.sub(r"'[^']*'", "''", fault.message)  # what stands in quotes is the user's own
            assert not inside.search(own_words), fault.message
            for word in ("pydantic", "Input should", "Traceback", "Error", "<class", "rigleaf_", "errors."):
                assert word not in fault.message
