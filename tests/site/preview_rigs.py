"""Rigs of the demo guide as their pictures need them: without the chapters that no picture shows."""

from functools import lru_cache
from pathlib import Path

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.catalogue.reading import read_catalogue
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.register import chapters
from rigleaf.chapters.study import RigStudy

SHOWN = frozenset({"scale-and-field", "what-it-weighs", "in-the-frame"})


@lru_cache(maxsize=2)
def guide(project: Path) -> Catalogue:
    """Return the demo guide."""
    return read_catalogue(project)


def studied(catalogue: Catalogue) -> tuple[RigStudy, ...]:
    """Return every rig of a guide, studied in the chapters that its picture shows."""
    return tuple(
        RigStudy(one, tuple((chapter, chapter.study(one)) for chapter in chapters() if chapter.id in SHOWN))
        for one in (Assembly(catalogue, rig) for rig in catalogue.rigs.values())
    )
