"""What a process remembers from one build of a guide to the next: leaves, and pages made of what is the same again."""

import os
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from typing import Any, TypeVar, cast

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.catalogue.desk import Desk
from rigleaf.catalogue.kept import KeptFiles
from rigleaf.catalogue.models.rig import Rig
from rigleaf.site.leaves.leaf import Found, Leaf

Made = TypeVar("Made")


def nothing() -> None:
    """Do nothing."""


@dataclass
class Memory:
    """Of one guide.

    Attributes:
        files: the files that were read.
        leaves: the leaves that were read, by their keys.
        found: what they have found, by its digest; None where it is not to be remembered.
        between: called before anything is made; it may raise what breaks off the making.
    """

    files: KeptFiles = field(default_factory=KeptFiles)
    leaves: dict[str, Leaf] = field(default_factory=dict)
    found: dict[str, Found] | None = None
    between: Callable[[], None] = nothing
    _values: dict[str, Any] = field(default_factory=dict)
    _made: dict[str, tuple[Any, Any]] = field(default_factory=dict)
    _followed: dict[str, Any] = field(default_factory=dict)
    _rigs: dict[tuple[str, ...], dict[str, tuple[Rig, Rig]]] = field(default_factory=dict)

    def same(self, name: str, value: Made) -> Made:
        """Return the value that was given under this name before where it is equal, so that `is` tells so."""
        kept = self._values.get(name)
        if kept is None or kept != value:
            kept = self._values[name] = value
        return cast(Made, kept)

    def follow(self, name: str, value: Made, hand_on: Callable[[Made, Made], None]) -> None:
        """Hand on what was found out of the value that was given under this name before, if it was another one."""
        before, self._followed[name] = self._followed.get(name), value
        if before is not None and before is not value:
            hand_on(before, value)

    def once(self, name: str, depends: tuple[object, ...], make: Callable[[], Made]) -> Made:
        """Return what is made, or what was made before of the same.

        Args:
            name: of what is made.
            depends: all that it is made of. What is not in it must not be asked for by ``make``.
            make: makes it.
        """
        whole = (*depends, os.environ.get("SOURCE_DATE_EPOCH"))
        kept = self._made.get(name)
        if kept is None or kept[0] != whole:
            self.between()
            kept = self._made[name] = whole, make()
        return cast(Made, kept[1])

    def forget(self, name: str) -> None:
        """Let go what was made under a name."""
        self._made.pop(name, None)

    def without(self, catalogue: Catalogue, *words: str, desk: bool = False, trips: bool = False) -> Catalogue:
        """Return a guide in which rigs say less, and which stays the same object until something else of it changes.

        Args:
            catalogue: the guide.
            words: fields of rigs that are left out.
            desk: whether the book of loans stays in.
            trips: whether the journeys do.
        """
        before = self._rigs.get(words, {})
        rigs: dict[str, tuple[Rig, Rig]] = {}
        for id_, rig in catalogue.rigs.items():
            known = before.get(id_)
            rigs[id_] = known if known and known[0] is rig else (rig, rig.model_copy(update=dict.fromkeys(words)))
        self._rigs[words] = rigs
        less = replace(
            catalogue,
            rigs={id_: lean for id_, (_, lean) in rigs.items()},
            sources={key: source for key, source in catalogue.sources.items() if key[0] != "rig"},
            trips=catalogue.trips if trips else {},
            desk=catalogue.desk if desk else Desk(),
            digests={},
        )
        return self.same(f"without {' '.join(words)} {desk} {trips}", less)
