"""What was found out about all rigs, read one rig at a time: of a large guide there is no room for all at once."""

import json
from collections.abc import Collection, Iterator, Mapping, MutableMapping, Sequence
from functools import cached_property, partial
from itertools import starmap
from typing import Any, overload

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.figures import Figure, Finding, Study
from rigleaf.chapters.register import Chapter, chapters
from rigleaf.chapters.study import RigStudy
from rigleaf.chapters.tracing import Input
from rigleaf.site.leaves.leaf import Found, Leaf
from rigleaf.site.packed import Packed


class Finds:
    """Reads what leaves have found. Findings without sentences are the same of many rigs, and held once."""

    def __init__(self, leaves: Sequence[Leaf], held: MutableMapping[str, Found] | None = None) -> None:
        """Begin.

        Args:
            leaves: those that will be asked for.
            held: what has been read, by its digest, where that is to be done once only; the rest goes.
        """
        if held:
            now = {leaf.found.digest for leaf in leaves if isinstance(leaf.found, Packed)}
            for digest in held.keys() - now:
                del held[digest]
        self._chapters = {chapter.id: chapter for chapter in chapters()}
        self._held = held
        self._findings: dict[Finding, Finding] = {}

    def of(self, leaf: Leaf) -> Found:
        """Return what a leaf has found."""
        lies = leaf.found
        if isinstance(lies, Found):
            return lies
        if self._held is None:
            return self._read(lies)
        if lies.digest not in self._held:
            self._held[lies.digest] = self._read(lies)
        return self._held[lies.digest]

    def _read(self, lies: Packed) -> Found:
        plain = json.loads(lies.content)
        inputs = [Input(owner, id_, tuple(path)) for owner, id_, path in plain["inputs"]]
        studies = tuple((self._chapters[row[0]], self._study(*row)) for row in plain["studies"])
        return Found(studies, {id_: tuple(inputs[number] for number in row) for id_, row in plain["read"].items()})

    def _study(self, id_: str, figures: list[list[Any]], findings: list[list[Any]], why: str) -> Study:
        return Study(id_, tuple(starmap(Figure, figures)), tuple(map(self._finding, findings)), not_asked=why)

    def _finding(self, row: list[Any]) -> Finding:
        values: list[Any] = [tuple(value) if isinstance(value, list) else value for value in row]
        one = Finding(*values)
        return self._findings.setdefault(one, one)


class Studies(Sequence[RigStudy]):
    """The studies of all rigs in short, each of which is read when somebody looks into it, and let go after that."""

    def __init__(self, catalogue: Catalogue, leaves: Sequence[Leaf], finds: Finds) -> None:
        self._catalogue, self._leaves, self._finds = catalogue, leaves, finds

    @overload
    def __getitem__(self, number: int) -> RigStudy: ...

    @overload
    def __getitem__(self, number: slice) -> "Studies": ...

    def __getitem__(self, number: int | slice) -> "RigStudy | Studies":
        if isinstance(number, slice):
            return Studies(self._catalogue, self._leaves[number], self._finds)
        leaf = self._leaves[number]
        return _Lying(Assembly(self._catalogue, self._catalogue.rigs[leaf.rig]), leaf, self._finds)

    def __len__(self) -> int:
        return len(self._leaves)


class _Lying(RigStudy):
    """A study that is read when somebody looks into it."""

    def __init__(self, assembly: Assembly, leaf: Leaf, finds: Finds) -> None:
        self.__dict__.update(assembly=assembly, read=partial(finds.of, leaf))

    @cached_property
    def studies(self) -> tuple[tuple[Chapter, Study], ...]:
        """What each chapter found."""
        found: Found = self.__dict__["read"]()
        return found.studies


class Reads(Mapping[tuple[str, str], Collection[Input]]):
    """By the ids of a rig and of a chapter, the inputs that its study looked at."""

    def __init__(self, leaves: Sequence[Leaf], finds: Finds) -> None:
        self._leaves, self._finds = {leaf.rig: leaf for leaf in leaves}, finds

    def __getitem__(self, place: tuple[str, str]) -> Collection[Input]:
        return self._finds.of(self._leaves[place[0]]).read[place[1]]

    def __iter__(self) -> Iterator[tuple[str, str]]:
        for id_, leaf in self._leaves.items():
            yield from ((id_, chapter) for chapter in self._finds.of(leaf).read)

    def __len__(self) -> int:
        return sum(1 for _ in self)
