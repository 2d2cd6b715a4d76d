"""Studies of rigs: every chapter in order, with the promise that each figure has a method."""

from collections.abc import Iterable
from dataclasses import dataclass, replace

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.catalogue.models.rig import Rig
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.figures import WORST_FIRST, Figure, Finding, Study
from rigleaf.chapters.methods import MethodError, methods
from rigleaf.chapters.register import Chapter, chapters


@dataclass(frozen=True)
class RigStudy:
    """Everything found out about one rig: its chapters' studies in order."""

    assembly: Assembly
    studies: tuple[tuple[Chapter, Study], ...]

    @property
    def rig(self) -> Rig:
        """The rig as its file describes it."""
        return self.assembly.rig

    @property
    def findings(self) -> tuple[tuple[Chapter, Finding], ...]:
        """Every finding with its chapter, worst first, otherwise in the order of the page."""
        found = [(chapter, finding) for chapter, study in self.studies for finding in study.findings]
        return tuple(sorted(found, key=lambda pair: WORST_FIRST.index(pair[1].verdict)))

    @property
    def on_card(self) -> list[tuple[Chapter, Figure]]:
        """The figures by which people choose, where they are known."""
        return [
            (chapter, study.index[id_])
            for chapter, study in self.studies
            for id_ in chapter.on_card
            if id_ in study.index and study.index[id_].value is not None
        ]

    def value(self, chapter: str, figure: str) -> float | None:
        """Return a figure's number, or None."""
        return next((study.value(figure) for found, study in self.studies if found.id == chapter), None)


def in_short(found: RigStudy) -> RigStudy:
    """Return of a study what pages that tell of all rigs look at; of a large guide there is no room for the rest.

    Figures stay by which rigs are chosen and compared; of findings the verdict and the title.
    """
    return RigStudy(found.assembly, tuple((chapter, _in_short(chapter, study)) for chapter, study in found.studies))


def _in_short(chapter: Chapter, study: Study) -> Study:
    wanted = {*chapter.on_card, *chapter.compared, *chapter.told_of_all}
    return Study(
        chapter=study.chapter,
        figures=tuple(figure for figure in study.figures if figure.id in wanted),
        findings=tuple(replace(finding, sentence="", figures=(), remedy="", parts=()) for finding in study.findings),
        not_asked=study.not_asked,
    )


def study_guide(catalogue: Catalogue) -> tuple[RigStudy, ...]:
    """Study every rig of a guide, in the order of its files."""
    return tuple(study_rig(catalogue, rig) for rig in catalogue.rigs.values())


def study_rig(catalogue: Catalogue, rig: Rig) -> RigStudy:
    """Study one rig in every chapter.

    Raises:
        MethodError: when a figure or finding names a method that is not in the register: without a method,
            a source and an outside check nothing may be shown.
    """
    assembly = Assembly(catalogue, rig)
    return checked(RigStudy(assembly, tuple((chapter, chapter.study(assembly)) for chapter in chapters())))


def checked(found: RigStudy) -> RigStudy:
    """Return a study in which every figure and finding names a method.

    Raises:
        MethodError: when one names a method that is not in the register.
    """
    for chapter, study in found.studies:
        _check_methods(chapter.id, (*study.figures, *study.findings))
    return found


def _check_methods(chapter: str, shown: Iterable[Figure | Finding]) -> None:
    for entry in shown:
        if entry.method not in methods():
            raise MethodError(f"'{entry.id}' in chapter '{chapter}' names the unknown method '{entry.method}'")
