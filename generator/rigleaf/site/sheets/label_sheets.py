"""Sheets of labels by their measures, which stand in texts/label_sheets.yml."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files
from typing import Literal, TypeVar

import yaml

Label = TypeVar("Label")


@dataclass(frozen=True, slots=True)
class LabelSheet:
    """A sheet of labels; lengths in mm. ``left`` and ``top`` are margins, the gaps stand between labels.

    ``lids`` tells the large ones, for the lids of cases.
    """

    name: str
    paper: Literal["a4", "letter"]
    columns: int
    rows: int
    width: float
    height: float
    left: float
    top: float
    column_gap: float
    row_gap: float
    lids: bool = False

    @property
    def each(self) -> int:
        """Labels on one sheet."""
        return self.columns * self.rows

    def laid_out(self, labels: Sequence[Label]) -> list[Sequence[Label]]:
        """Return labels sheet by sheet."""
        return [labels[start : start + self.each] for start in range(0, len(labels), self.each)]

    @property
    def rule(self) -> str:
        """The measures as a rule of the style sheet; no page says them in a style of its own."""
        measures = {
            "width": self.width, "height": self.height, "left": self.left, "top": self.top,
            "column-gap": self.column_gap, "row-gap": self.row_gap,
        }  # fmt: skip
        lengths = "".join(f"--{name}:{length}mm;" for name, length in measures.items())
        return f'.rl-labels[data-sheet="{self.name}"]{{--columns:{self.columns};{lengths}}}\n'


@lru_cache(maxsize=1)
def label_sheets() -> dict[str, LabelSheet]:
    """Return every sheet by its name."""
    text = (files("rigleaf.site") / "texts" / "label_sheets.yml").read_text(encoding="utf-8")
    return {entry["name"]: LabelSheet(**entry) for entry in yaml.safe_load(text)}
