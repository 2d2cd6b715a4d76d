"""What the project says about itself in different files agrees."""

import re
import tomllib
from importlib import metadata
from pathlib import Path

import pytest
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name
from packaging.version import Version

import rigleaf
from tests.browser.looking import NAMES


@pytest.fixture(scope="module")
def settings(project: Path) -> dict[str, dict[str, object]]:
    return tomllib.loads((project / "pyproject.toml").read_text())


@pytest.fixture(scope="module")
def pins(project: Path) -> dict[str, Version]:
    lines = (project / "constraints.txt").read_text().splitlines()
    named = (line.split("==") for line in lines if not line.startswith("#"))
    return {canonicalize_name(name): Version(version) for name, version in named}


@pytest.fixture(scope="module")
def asked_for() -> list[Requirement]:
    return [Requirement(text) for text in metadata.requires("rigleaf") or ()]


def test_the_version_is_the_same_in_code_and_package() -> None:
    assert rigleaf.__version__ == metadata.version("rigleaf")


def test_pins_are_names_and_versions_and_nothing_else(project: Path) -> None:
    lines = (project / "constraints.txt").read_text().splitlines()
    assert [line for line in lines if not re.fullmatch(r"#.*|[\w.-]+==[\w.]+", line)] == []


def test_every_package_that_is_asked_for_is_pinned_within_its_bounds(
    asked_for: list[Requirement], pins: dict[str, Version]
) -> None:
    assert asked_for
    wrong = [
        str(wanted)
        for wanted in asked_for
        if (pin := pins.get(canonicalize_name(wanted.name))) is None or pin not in wanted.specifier
    ]
    assert wrong == []


def test_mkdocs_and_its_theme_stay_below_their_next_generation(asked_for: list[Requirement]) -> None:
    bounds = {wanted.name: wanted.specifier for wanted in asked_for}
    assert "2.0" not in bounds["mkdocs"]
    assert "1.6.1" in bounds["mkdocs"]
    assert "10.0" not in bounds["mkdocs-material"]


def test_what_the_package_imports_is_what_it_asks_for(settings: dict[str, dict[str, object]]) -> None:
    asked = settings["project"]["dependencies"]
    assert isinstance(asked, list)
    assert "pillow" in {canonicalize_name(Requirement(one).name) for one in asked}


def test_the_demos_data_say_under_which_licence_they_are(project: Path) -> None:
    text = (project / "rigs" / "LICENSE.md").read_text("utf-8")
    assert "MIT licence" in text
    assert "generator/rigleaf/sky/data/LICENSES.md" in text
    assert (project / "generator" / "rigleaf" / "sky" / "data" / "LICENSES.md").is_file()
    assert "rigs/LICENSE.md" in (project / "README.md").read_text("utf-8")


def test_continuous_integration_looks_for_the_browsers_that_the_tests_look_for(project: Path) -> None:
    script = (project / ".ci" / "run").read_text("utf-8")
    (listed,) = re.findall(r"^for name in (.*); do$", script, re.MULTILINE)
    assert tuple(listed.split()) == NAMES
    assert "RIGLEAF_BROWSER" in script


@pytest.mark.parametrize(("group", "name"), [("console_scripts", "rigleaf"), ("mkdocs.plugins", "rigleaf")])
def test_entry_points_lead_to_something(group: str, name: str) -> None:
    (found,) = metadata.entry_points(group=group, name=name)
    assert callable(found.load())
