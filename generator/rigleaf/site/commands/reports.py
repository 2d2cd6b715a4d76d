"""What the command line prints: faults, findings and figures, for people and for machines."""

import json
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import Any

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.catalogue.faults import Fault
from rigleaf.catalogue.lookup import rig_named
from rigleaf.catalogue.reading import read_catalogue
from rigleaf.chapters.figures import WORST_FIRST, Figure, Finding
from rigleaf.chapters.formatting import show, unit_of
from rigleaf.chapters.register import Chapter
from rigleaf.chapters.study import RigStudy, study_guide, study_rig
from rigleaf.site.shelf.photos import check_photos


def check(folder: Path, *, everything: bool = False, as_json: bool = False) -> str:
    """Return what reading and judging the guide in ``folder`` gives, as text or as JSON.

    Raises:
        CatalogueError: with every fault of the guide.
        FileNotFoundError: when there is no such folder.
    """
    catalogue = read_catalogue(folder)
    check_photos(catalogue)
    studies = study_guide(catalogue)
    return _json(check_json(catalogue, studies)) if as_json else check_text(catalogue, studies, everything=everything)


def figures(folder: Path, rig: str | None = None, *, as_json: bool = False) -> str:
    """Return the figures and findings of one rig or of all in ``folder``, as text or as JSON.

    Raises:
        CatalogueError: with every fault of the guide.
        FileNotFoundError: when there is no such folder.
        KeyError: when there is no such rig; the message offers the nearest name.
    """
    catalogue = read_catalogue(folder)
    studies = (study_rig(catalogue, rig_named(rig, catalogue.rigs)),) if rig else study_guide(catalogue)
    return _json(figures_json(studies)) if as_json else figures_text(catalogue, studies)


def faults(found: Iterable[Fault]) -> str:
    """Return faults as JSON."""
    return _json(faults_json(found))


def _json(data: dict[str, Any]) -> str:
    return json.dumps(data, indent=2, ensure_ascii=False) + "\n"


def faults_json(faults: Iterable[Fault]) -> dict[str, Any]:
    """Return faults as plain data; the keys are those of Fault."""
    listed = [
        {"file": f.file, "line": f.line, "column": f.column, "code": f.code, "message": f.message} for f in faults
    ]
    return {"faults": listed, "findings": []}


def check_json(catalogue: Catalogue, studies: Sequence[RigStudy]) -> dict[str, Any]:
    """Return every finding of a faultless guide as plain data."""
    findings = [
        {"rig": study.rig.id, "chapter": chapter.id, **finding_json(finding)}
        for study in studies
        for chapter, finding in study.findings
    ]
    counts = {verdict: sum(f["verdict"] == verdict for f in findings) for verdict in WORST_FIRST}
    return {
        "guide": catalogue.guide.name,
        "rigs": len(catalogue.rigs),
        "parts": len(catalogue.parts),
        "faults": [],
        "verdicts": counts,
        "findings": findings,
    }


def finding_json(finding: Finding) -> dict[str, Any]:
    """Return one finding as plain data."""
    return {
        "id": finding.id,
        "verdict": finding.verdict,
        "title": finding.title,
        "sentence": finding.sentence,
        "remedy": finding.remedy,
        "parts": list(finding.parts),
        "figures": list(finding.figures),
        "method": finding.method,
    }


def figure_json(figure: Figure) -> dict[str, Any]:
    """Return one figure as plain data; the value is in the unit named beside it, null where unsaid."""
    return {
        "id": figure.id,
        "label": figure.label,
        "value": figure.value,
        "unit": unit_of(figure.dimension),
        "uncertainty": figure.uncertainty,
        "basis": figure.basis,
        "method": figure.method,
        "note": figure.note,
    }


def figures_json(studies: Iterable[RigStudy]) -> dict[str, Any]:
    """Return every figure and finding of some rigs as plain data."""
    return {
        "rigs": [
            {
                "id": study.rig.id,
                "name": study.rig.name,
                "chapters": [
                    {
                        "id": chapter.id,
                        "figures": [figure_json(figure) for figure in found.figures],
                        "findings": [finding_json(finding) for finding in found.findings],
                    }
                    for chapter, found in study.studies
                ],
            }
            for study in studies
        ]
    }


def check_text(catalogue: Catalogue, studies: Sequence[RigStudy], *, everything: bool = False) -> str:
    """Return findings for a terminal: a block for each rig, worst first; sound ones are counted unless asked for."""
    counted = f"{_counted(len(catalogue.rigs), 'rig')}, {_counted(len(catalogue.parts), 'part')}"
    lines = [f"{catalogue.guide.name}: {counted}, no faults", ""]
    for study in studies:
        shown = [(chapter, finding) for chapter, finding in study.findings if everything or finding.verdict != "sound"]
        hidden = len(study.findings) - len(shown)
        rest = f"   {hidden} sound" if hidden else ""
        lines.append(f"{study.rig.id}: {study.rig.name}{rest}")
        for chapter, finding in shown:
            lines += _finding_lines(chapter, finding)
        lines.append("")
    return "\n".join(lines)


def _counted(count: int, word: str) -> str:
    return f"{count} {word}" if count == 1 else f"{count} {word}s"


def _finding_lines(chapter: Chapter, finding: Finding) -> list[str]:
    lines = [f"  {finding.verdict:<7}{chapter.title}, {finding.title}: {finding.sentence}"]
    if finding.remedy:
        lines.append(f"         -> {finding.remedy}")
    return lines


def figures_text(catalogue: Catalogue, studies: Iterable[RigStudy]) -> str:
    """Return figures for a terminal, one in a line, with their ids."""
    lines: list[str] = []
    for study in studies:
        lines.append(f"{study.rig.id}: {study.rig.name}")
        figures = [
            (figure, _value(figure, catalogue.guide.units)) for _, found in study.studies for figure in found.figures
        ]
        wide = max((len(figure.id) for figure, _ in figures), default=0) + 2
        long = max((len(value) for _, value in figures), default=0) + 2
        for chapter, found in study.studies:
            lines.append(f"  {chapter.title}")
            lines += [
                f"    {figure.id:<{wide}}{value:<{long}}{figure.basis:<10}{figure.label}"
                for figure, value in figures if figure in found.figures
            ]  # fmt: skip
        lines.append("")
    return "\n".join(lines)


def _value(figure: Figure, units: str) -> str:
    if figure.value is None:
        return "unsaid"
    if isinstance(figure.value, str):
        return figure.value
    return show(figure.value, figure.dimension, units).first
