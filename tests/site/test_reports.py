"""Reports for machines keep their shape: what a script was written against today it can read tomorrow."""

import json
from typing import Any

import jsonschema
import pytest

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.catalogue.faults import Fault
from rigleaf.chapters.study import RigStudy, study_rig
from rigleaf.site.commands.reports import check_json, check_text, faults_json, figures_json, figures_text
from tests.chapters.small_guide import catalogue, parts


def exactly(**properties: object) -> dict[str, object]:
    return {"type": "object", "additionalProperties": False, "required": list(properties), "properties": properties}


TEXT, COUNT = {"type": "string"}, {"type": "integer", "minimum": 0}
TEXTS = {"type": "array", "items": TEXT}
VERDICT = {"enum": ["sound", "tight", "fails", "unsaid"]}
FINDING = {
    "id": TEXT, "verdict": VERDICT, "title": TEXT, "sentence": TEXT, "remedy": TEXT, "parts": TEXTS,
    "figures": TEXTS, "method": TEXT,
}  # fmt: skip
FIGURE = exactly(
    id=TEXT,
    label=TEXT,
    value={"type": ["number", "string", "null"]},
    unit=TEXT,
    uncertainty={"type": ["number", "null"]},
    basis={"enum": ["stated", "measured", "assumed", "computed"]},
    method=TEXT,
    note=TEXT,
)
FAULT = exactly(
    file=TEXT, line={"type": "integer", "minimum": 1}, column={"type": "integer", "minimum": 1}, code=TEXT, message=TEXT
)
CHECK = exactly(
    guide=TEXT,
    rigs=COUNT,
    parts=COUNT,
    faults={"type": "array", "maxItems": 0},
    verdicts=exactly(fails=COUNT, tight=COUNT, unsaid=COUNT, sound=COUNT),
    findings={"type": "array", "items": exactly(rig=TEXT, chapter=TEXT, **FINDING)},
)
CHAPTER = exactly(
    id=TEXT, figures={"type": "array", "items": FIGURE}, findings={"type": "array", "items": exactly(**FINDING)}
)
FIGURES = exactly(
    rigs={"type": "array", "items": exactly(id=TEXT, name=TEXT, chapters={"type": "array", "items": CHAPTER})}
)
FAULTS = exactly(faults={"type": "array", "minItems": 1, "items": FAULT}, findings={"type": "array", "maxItems": 0})


@pytest.fixture(scope="module")
def studies(demo_studies: tuple[RigStudy, ...]) -> list[RigStudy]:
    return [*demo_studies]


def test_findings_for_machines(demo: Catalogue, studies: list[RigStudy]) -> None:
    report = json.loads(json.dumps(check_json(demo, studies)))
    jsonschema.validate(report, CHECK)
    assert sum(report["verdicts"].values()) == len(report["findings"]) == sum(len(study.findings) for study in studies)
    assert report["verdicts"]["fails"] == sum(found["verdict"] == "fails" for found in report["findings"])


def test_figures_for_machines(demo: Catalogue, studies: list[RigStudy]) -> None:
    report = json.loads(json.dumps(figures_json(studies), allow_nan=False))
    jsonschema.validate(report, FIGURES)
    assert [rig["id"] for rig in report["rigs"]] == list(demo.rigs)
    for rig in report["rigs"]:
        for chapter in rig["chapters"]:
            known = {figure["id"] for figure in chapter["figures"]}
            assert all(set(found["figures"]) <= known for found in chapter["findings"])


def figures(small: Catalogue) -> dict[str, dict[str, Any]]:
    """The figures of scale and field of the one rig, by id."""
    (rig,) = figures_json([study_rig(small, small.rigs["rig"])])["rigs"]
    (chapter,) = (one for one in rig["chapters"] if one["id"] == "scale-and-field")
    return {figure["id"]: figure for figure in chapter["figures"]}


@pytest.mark.parametrize(
    ("figure", "unit"),
    [
        ("aperture", "mm"),
        ("image-scale", "arcsec/px"),
        ("focal-ratio", ""),
        ("depth", "um"),
        ("field-width", "deg"),
        ("star", "arcsec"),
    ],
)
def test_figures_name_the_unit_that_their_value_is_in(figure: str, unit: str) -> None:
    assert figures(catalogue())[figure]["unit"] == unit


def test_what_is_unsaid_is_null_and_not_zero() -> None:
    found = figures(catalogue(parts(tube={"focal_length": None})))
    assert found["focal-length"]["value"] is None
    assert found["aperture"]["value"] == 80.0


def test_faults_for_machines() -> None:
    report = json.loads(json.dumps(faults_json([Fault("guide.yml", 1, 2, "key", "unknown key 'nmae'")])))
    jsonschema.validate(report, FAULTS)
    assert report["faults"][0]["line"] == 1


def test_the_terminal_shows_what_is_wrong_and_counts_what_is_sound(demo: Catalogue, studies: list[RigStudy]) -> None:
    text, everything = check_text(demo, studies), check_text(demo, studies, everything=True)
    assert text.startswith(f"{demo.guide.name}: {len(demo.rigs)} rigs, {len(demo.parts)} parts, no faults\n")
    for study in studies:
        for _, finding in study.findings:
            assert finding.sentence in everything
            assert (finding.sentence in text) or finding.verdict == "sound"
            if finding.verdict != "sound" and finding.remedy:
                assert f"-> {finding.remedy}" in text
    assert "sound  " not in text.replace("sound\n", "")


def test_one_is_not_written_as_many() -> None:
    small = catalogue(
        {"tube": parts()["tube"]},
        rig={"train": [], "riders": [], "mount": None, "counterweights": [], "tripod": None, "power": []},
    )
    assert check_text(small, []).startswith("Guide: 1 rig, 1 part, no faults")


def test_figures_for_people_say_unsaid_and_the_basis() -> None:
    small = catalogue(parts(tube={"focal_length": None}))
    lines = figures_text(small, [study_rig(small, small.rigs["rig"])]).splitlines()
    assert any(line.split()[:2] == ["focal-length", "unsaid"] for line in lines)
    assert any(line.split()[:1] == ["aperture"] and "stated" in line for line in lines)
