"""What a chapter returns: figures, findings, drawings and tables. Plain data that never changes."""

from dataclasses import dataclass, field
from typing import Literal

from rigleaf.quantities import Basis

Verdict = Literal["sound", "tight", "fails", "unsaid"]

WORST_FIRST: tuple[Verdict, ...] = ("fails", "tight", "unsaid", "sound")
"""The order in which findings are worth reading."""


@dataclass(frozen=True, slots=True)
class Figure:
    """One value with its pedigree.

    Attributes:
        id: stable name inside its chapter, in kebab-case.
        label: what a reader calls it.
        value: number in the canonical unit of ``dimension``, a text, or None where an input is unsaid.
        dimension: key of quantities.DIMENSIONS or of formatting.FIGURES_ONLY, or "text".
        method: id of the method entry that explains it.
        basis: who says so: the maker (stated), the club (measured), a default (assumed), or arithmetic (computed).
        uncertainty: standard uncertainty in the same unit, where known.
        note: what a reader should know about this value.
        shown: whether it appears in the chapter's table of figures (all appear in the machine output).
    """

    id: str
    label: str
    value: float | str | None
    dimension: str
    method: str
    basis: Basis = "computed"
    uncertainty: float | None = None
    note: str = ""
    shown: bool = True


@dataclass(frozen=True, slots=True)
class Finding:
    """One judgement.

    Attributes:
        id: stable name inside its chapter.
        verdict: sound, tight, fails or unsaid.
        title: what was judged, in a few words.
        sentence: what was found, in a sentence that stands alone when read aloud.
        figures: ids of the figures behind it.
        method: id of the method entry that says how it is judged.
        remedy: what would mend it, computed from what the club owns; empty where nothing needs mending.
        parts: ids of parts that the remedy names, so that a page can link them.
    """

    id: str
    verdict: Verdict
    title: str
    sentence: str
    figures: tuple[str, ...]
    method: str
    remedy: str = ""
    parts: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Drawing:
    """One plate: inline SVG that follows the palette, with a caption and a text equivalent."""

    id: str
    title: str
    description: str
    caption: str
    svg: str


@dataclass(frozen=True, slots=True)
class Cell:
    """One value in a table: a text, a figure, or a part or a flight rule to link to."""

    text: str = ""
    figure: Figure | None = None
    part: str = ""
    rule: str = ""
    numeric: bool = False


@dataclass(frozen=True, slots=True)
class Table:
    """One table: column heads and rows of cells; ``sums`` is a last row set apart."""

    id: str
    caption: str
    columns: tuple[str, ...]
    rows: tuple[tuple[Cell, ...], ...]
    sums: tuple[Cell, ...] = ()


@dataclass(frozen=True, slots=True)
class Study:
    """What one chapter found out about one rig.

    ``portrait`` is a plate for the head of the page. ``not_asked`` says why a chapter judges nothing, where its
    question does not arise: that is neither sound nor unsaid.
    """

    chapter: str
    figures: tuple[Figure, ...] = ()
    findings: tuple[Finding, ...] = ()
    drawings: tuple[Drawing, ...] = ()
    tables: tuple[Table, ...] = ()
    portrait: Drawing | None = None
    not_asked: str = ""
    index: dict[str, Figure] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "index", {figure.id: figure for figure in self.figures})

    def value(self, figure: str) -> float | None:
        """Return the number of a figure, or None where it is unsaid or there is none."""
        found = self.index.get(figure)
        return found.value if found is not None and isinstance(found.value, float) else None

    @property
    def worst_first(self) -> tuple[Finding, ...]:
        """The findings, worst first, otherwise in their own order."""
        return tuple(sorted(self.findings, key=lambda finding: WORST_FIRST.index(finding.verdict)))

    @property
    def worst(self) -> Verdict:
        """The verdict of the chapter as a whole: its worst finding's, or sound when nothing was judged."""
        found = {finding.verdict for finding in self.findings}
        return next((verdict for verdict in WORST_FIRST if verdict in found), "sound")
