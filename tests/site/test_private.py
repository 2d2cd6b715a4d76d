"""What is private in the YAML reaches no page, no search record, no export and no report."""

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import yaml

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.catalogue.reading import read_catalogue
from rigleaf.chapters.study import study_rig
from rigleaf.site.addresses import Addresses
from rigleaf.site.book import make_book
from rigleaf.site.export import export
from rigleaf.site.reports import check_json, check_text, figures_json, figures_text


def private_values(data: Any, inside: bool = False) -> Iterator[str]:
    if isinstance(data, dict):
        for key, value in data.items():
            yield from private_values(value, inside or key == "private")
    elif isinstance(data, list):
        for value in data:
            yield from private_values(value, inside)
    elif inside:
        yield str(data).strip()


@pytest.fixture(scope="module")
def demo(project: Path) -> Catalogue:
    return read_catalogue(project)


@pytest.fixture(scope="module")
def secrets(demo: Catalogue) -> set[str]:
    found = {
        value for path in demo.root.rglob("*.yml") for value in private_values(yaml.safe_load(path.read_text("utf-8")))
    }
    assert len(found) > 10
    return found | {word for value in found for word in value.replace(",", " ").split() if word.startswith("SN-")}


def test_no_page_holds_a_private_value(demo: Catalogue, secrets: set[str]) -> None:
    for page in make_book(demo, Addresses(False)).pages:
        everything = "\n".join((page.html, page.title, page.description, page.search.text, *page.search.tags))
        assert [value for value in secrets if value in everything] == [], page.address


@pytest.mark.parametrize("form", ["html", "markdown"])
def test_no_exported_file_holds_a_private_value(demo: Catalogue, secrets: set[str], form: Any, tmp_path: Path) -> None:
    export(demo, tmp_path / "pages", form)
    files = [path for path in (tmp_path / "pages").rglob("*") if path.is_file()]
    assert len(files) > 200
    for path in files:
        content = path.read_bytes()
        assert [value for value in secrets if value.encode() in content] == [], path.name


def test_no_file_of_the_built_site_holds_a_private_value(demo_site: Path, secrets: set[str]) -> None:
    for path in demo_site.rglob("*"):
        if path.is_file():
            content = path.read_bytes()
            assert [value for value in secrets if value.encode() in content] == [], path.name


def test_of_yaml_only_the_bundles_are_in_the_site(demo_site: Path) -> None:
    found = [path for path in demo_site.rglob("*") if path.suffix in {".yml", ".yaml"}]
    assert {path.parent.relative_to(demo_site).as_posix() for path in found} == {"assets/bundles"}


def test_no_report_holds_a_private_value(demo: Catalogue, secrets: set[str]) -> None:
    studies = [study_rig(demo, rig) for rig in demo.rigs.values()]
    reports = [
        json.dumps(check_json(demo, studies), ensure_ascii=False),
        json.dumps(figures_json(studies), ensure_ascii=False),
    ]
    reports += [check_text(demo, studies, everything=True), figures_text(demo, studies)]
    assert [value for value in secrets for report in reports if value in report] == []
