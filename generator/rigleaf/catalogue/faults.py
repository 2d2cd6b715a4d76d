"""Faults: what is wrong in the YAML, where it stands, and what would be right."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import NamedTuple


class Mark(NamedTuple):
    """A place in a text file, both counted from 1."""

    line: int
    column: int


@dataclass(frozen=True, slots=True, order=True)
class Fault:
    """One thing to mend.

    ``file`` is relative to the guide's folder, with forward slashes; ``line`` and ``column`` count from 1;
    ``code`` is a stable word for machines; ``message`` is a sentence that says what is wrong and what
    would be right.
    """

    file: str
    line: int
    column: int
    code: str
    message: str

    def __str__(self) -> str:
        return f"{self.file}:{self.line}:{self.column}: {self.message}"


class CatalogueError(Exception):
    """The guide could not be read; ``faults`` holds every fault of the run, in order of place."""

    def __init__(self, faults: Iterable[Fault]) -> None:
        self.faults: tuple[Fault, ...] = tuple(sorted(set(faults)))
        super().__init__("\n".join(map(str, self.faults)))

    def __reduce__(self) -> tuple[type["CatalogueError"], tuple[tuple[Fault, ...]]]:
        """Tell other processes of all faults."""
        return CatalogueError, (self.faults,)
