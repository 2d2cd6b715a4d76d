"""The command and the page of what is still only claimed."""

import json
from pathlib import Path

import pytest

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.catalogue.reading import read_catalogue
from rigleaf.cli import main
from rigleaf.site.book import make_book
from rigleaf.site.record import PageRecord
from rigleaf.site.typeset.addresses import Addresses
from tests.chapters.small_guide import RIG, parts
from tests.site.yaml_guide import read_guide, write_guide


def page_of(catalogue: Catalogue) -> PageRecord:
    book = make_book(catalogue, Addresses(folders=False))
    (page,) = (page for page in book.pages if page.address == "claimed/index")
    return page


def test_the_page_stands_behind_the_shelf_and_not_in_the_navigation(tmp_path: Path) -> None:
    book = make_book(read_guide(tmp_path / "guide"), Addresses(folders=False))
    pages = {page.address: page for page in book.pages}
    assert pages["claimed/index"].section == "shelf/index"
    assert "claimed/index" not in {section.address for section in book.sections}
    for address in ("shelf/index", "about/index"):
        assert 'href="../claimed/index.html"' in pages[address].html


def test_masses_that_nobody_has_weighed_stand_by_what_they_may_be_off(tmp_path: Path) -> None:
    html = page_of(read_guide(tmp_path / "guide", shelf=parts(legs={"mass": "9 kg"}))).html
    scale = html[html.index('id="scale"') : html.index('id="others"')]
    order = [scale.index(f">{name}</a>") for name in ("Legs", "Head", "Battery", "Camera")]
    assert order == sorted(order)
    assert ">Tube</a>" not in scale  # it has been weighed


def test_a_guide_without_rigs_has_nothing_to_measure(tmp_path: Path) -> None:
    html = page_of(read_guide(tmp_path / "guide", rigs=[])).html
    assert "Every mass that a judgement looks at has been weighed." in html


@pytest.fixture
def guide(tmp_path: Path) -> Path:
    return write_guide(tmp_path / "guide", rigs=[RIG, {**RIG, "id": "second", "name": "Second rig"}])


def test_the_command_lists_what_to_measure_next(guide: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["claimed", "--dir", str(guide), "--seconds", "60"]) == 0
    out = capsys.readouterr().out
    assert "values that the judgements of 2 rigs look at are only claimed." in out.splitlines()[0]
    assert "move no figure behind a judgement" in out or "No verdict hangs on" in out
    assert "'--seconds 60'" not in out  # all of them were moved


def test_when_time_runs_out_that_is_said(guide: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["claimed", "rig", "--dir", str(guide), "--seconds", "0"]) == 0
    out = capsys.readouterr().out
    assert "look at are only claimed." in out
    assert "For the others there was no time: use '--seconds 60', or name one rig." in out


def test_as_json(guide: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["claimed", "rig", "--dir", str(guide), "--seconds", "60", "--json"]) == 0
    report = json.loads(capsys.readouterr().out)
    assert report["claims"] == report["moved"] == len(report["effects"])
    (mass,) = (one for one in report["effects"] if (one["id"], one["field"]) == ("camera", "mass"))
    assert (mass["value"], mass["unit"], mass["off"]) == (pytest.approx(0.7), "kg", pytest.approx(0.035))
    assert mass["rigs"] == ["rig"]


def test_a_mistyped_rig_is_told_the_nearest_name(guide: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["claimed", "secnd", "--dir", str(guide)]) == 2
    assert capsys.readouterr().err == "rigleaf: there is no rig 'secnd'; did you mean 'second'?\n"


def test_the_demo_names_what_could_turn_a_verdict(project: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert "godwit-car" in read_catalogue(project / "rigs").rigs
    assert main(["claimed", "godwit-car", "--dir", str(project / "rigs"), "--seconds", "120"]) == 0
    out = capsys.readouterr().out
    assert "Measure next: each of these alone could turn a verdict." in out
    assert "workshop-misfits" not in out
