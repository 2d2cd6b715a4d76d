"""Which values of the YAML each chapter looks at while it studies a rig: noted as they are read.

The parts, the place, the rig and the guide's choices are handed to the chapters as copies that note which of their
quantities are asked for. Nothing has to be declared, so a new chapter or field is traced like any other. What a chapter
reads of parts that are not the rig's own, in search of a remedy, does not count.
"""

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, Literal, NamedTuple, TypeVar

from rigleaf.catalogue.catalogue import Catalogue, rig_uses
from rigleaf.catalogue.models.fields import Entry
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.in_the_frame.fleet import lend, views_of
from rigleaf.chapters.register import chapters
from rigleaf.chapters.study import RigStudy, checked
from rigleaf.quantities import Reading

Owner = Literal["part", "place", "rig", "choice"]
AnyEntry = TypeVar("AnyEntry", bound=Entry)

_SLOTS = ("__pydantic_fields_set__", "__pydantic_extra__", "__pydantic_private__")
"""What an entry has besides its values."""


class Input(NamedTuple):
    """One quantity: whose it is, the id of that (of a choice, its name), and the path to it inside."""

    owner: Owner
    id: str
    path: tuple[str | int, ...] = ()


@dataclass(frozen=True)
class Trace:
    """What was read: the inputs by id of the rig and of the chapter."""

    read: Mapping[tuple[str, str], Collection[Input]]


class Tracer:
    """Studies the rigs of a guide, and notes what each chapter reads of them."""

    def __init__(
        self, catalogue: Catalogue, frames: Catalogue | None = None, only: Collection[str] | None = None
    ) -> None:
        """Begin with a guide.

        Args:
            catalogue: the guide.
            frames: the same with rigs that lack their words; it is known there how they frame its targets.
            only: the ids of the rigs that will be studied; any may be without it.
        """
        self._catalogue = catalogue
        self._noted: set[Input] = set()
        self._copies = _Copies(self._noted.add)
        self._copy = _noting(catalogue, self._copies, catalogue.rigs.keys() if only is None else only)
        if frames is not None:
            lend(frames, self._copy)
        views_of(self._copy)  # found once for all rigs: what is read for it is nobody's own

    def study(self, id_: str) -> tuple[RigStudy, dict[str, frozenset[Input]]]:
        """Study one rig; return its study and, by chapter, the inputs that were read.

        Raises:
            MethodError: when a figure or finding names a method that is not in the register.
        """
        assembly = Assembly(self._catalogue, self._catalogue.rigs[id_])
        own = {("part", item.part.id) for item in assembly.items} | {("rig", id_)}
        own |= {("place", assembly.place.id)} if assembly.place else set()
        traced = Assembly(self._copy, self._copy.rigs[id_])
        found, read = [], {}
        for chapter in chapters():
            self._noted.clear()
            found.append((chapter, chapter.study(traced)))
            read[chapter.id] = frozenset(
                one for one in self._noted if one.owner == "choice" or (one.owner, one.id) in own
            )
        self._copies.forget()
        return checked(RigStudy(assembly, tuple(found))), read


def study_and_trace(catalogue: Catalogue, only: str | None = None) -> tuple[tuple[RigStudy, ...], Trace]:
    """Study every rig of a guide, in the order of its files, and note what each chapter read of it.

    Args:
        catalogue: the guide.
        only: id of the one rig to study; all of them without it.

    Raises:
        MethodError: when a figure or finding names a method that is not in the register.
    """
    tracer = Tracer(catalogue)
    found = {id_: tracer.study(id_) for id_ in catalogue.rigs if only in (None, id_)}
    read = {(id_, chapter): inputs for id_, (_, by_chapter) in found.items() for chapter, inputs in by_chapter.items()}
    return tuple(study for study, _ in found.values()), Trace(read)


def _noting(catalogue: Catalogue, copies: "_Copies", rigs: Collection[str]) -> Catalogue:
    """Return a copy of a catalogue; quantities of some rigs, and of their parts, are noted when they are read."""
    parts = {part for id_ in rigs for _, part, _, _ in rig_uses(catalogue.rigs[id_])}
    guide = catalogue.guide.model_copy(update={"choices": copies.choices(catalogue.guide.choices)})
    return replace(
        catalogue,
        guide=guide,
        parts={
            id_: copies.copy(part, Input("part", id_)) if id_ in parts else part
            for id_, part in catalogue.parts.items()
        },
        rigs={id_: copies.copy(rig, Input("rig", id_)) if id_ in rigs else rig for id_, rig in catalogue.rigs.items()},
        places={id_: copies.copy(place, Input("place", id_)) for id_, place in catalogue.places.items()},
    )


class _Copies:
    """Makes copies of entries that note what is read of them.

    A copy shares the values of its entry, and an entry without any quantity is its own copy: of a large guide there are
    many of both.
    """

    def __init__(self, note: Callable[[Input], None]) -> None:
        self._note = note
        self._whose: dict[int, Input] = {}
        self._classes: dict[type[Entry], type[Entry]] = {}
        self._noted: dict[tuple[type[Entry], str], _Noted] = {}

    def forget(self) -> None:
        """Let go the inputs that were read: the next rig has other parts."""
        for noted in self._noted.values():
            noted.inputs.clear()

    def choices(self, entry: AnyEntry) -> AnyEntry:
        """Return a copy of the choices; one that the guide leaves open is noted as well."""
        keys = [key for key, value in entry.__dict__.items() if _is_quantity(value, left=True)]
        return self._noting_copy(entry, entry.__dict__, keys, Input("choice", ""))

    def copy(self, entry: AnyEntry, whose: Input) -> AnyEntry:
        """Return a copy of an entry and of all entries inside it."""
        inside: dict[str, Any] = {}
        keys: list[str] = []
        for key, value in entry.__dict__.items():
            copied: Any = value
            if isinstance(value, Entry):
                copied = self.copy(value, whose._replace(path=(*whose.path, key)))
            elif isinstance(value, tuple) and value and isinstance(value[0], Entry):
                listed = [
                    self.copy(one, whose._replace(path=(*whose.path, key, index))) for index, one in enumerate(value)
                ]
                if any(one is not other for one, other in zip(listed, value, strict=True)):
                    copied = tuple(listed)
            elif _is_quantity(value):
                keys.append(key)
            if copied is not value:
                inside[key] = copied
        if not inside and not keys:
            return entry
        return self._noting_copy(entry, {**entry.__dict__, **inside} if inside else entry.__dict__, keys, whose)

    def _noting_copy(self, entry: AnyEntry, values: dict[str, Any], keys: Sequence[str], whose: Input) -> AnyEntry:
        model = type(entry)
        copy = model.__new__(model)
        for name in _SLOTS:
            object.__setattr__(copy, name, getattr(entry, name))
        object.__setattr__(copy, "__dict__", values)
        object.__setattr__(copy, "__class__", self._class(model))
        self._whose[id(copy)] = whose
        for key in keys:
            self._noting(model, key)
        return copy

    def _class(self, model: type[Entry]) -> type[Entry]:
        """Return a subclass whose instances note which of their quantities are read."""
        if model not in self._classes:
            # Made past pydantic, which would build a validator for each: these are never validated.
            body = {"__slots__": (), "__module__": model.__module__}
            self._classes[model] = type.__new__(type(model), model.__name__, (model,), body)
        return self._classes[model]

    def _noting(self, model: type[Entry], key: str) -> None:
        """Note one field of a model: only fields that hold a quantity somewhere are noted, for that takes time."""
        if (model, key) not in self._noted:
            self._noted[model, key] = noted = _Noted(key, self._note, self._whose)
            type.__setattr__(self._class(model), key, noted)


def _is_quantity(value: object, *, left: bool = False) -> bool:
    return isinstance(value, Reading) or (left and value is None)


class _Noted:
    """Stands before one field of a class and notes when it is read. Being settable, it goes before the instance's own.

    ``whose`` has whose an instance is, by its identity; copies that chapters make for a trial are not in it.
    """

    def __init__(self, key: str, note: Callable[[Input], None], whose: Mapping[int, Input]) -> None:
        self._key, self._note, self._whose = key, note, whose
        self.inputs: dict[int, Input] = {}

    def __get__(self, entry: Entry, _: type[Entry] | None = None) -> Any:
        value = entry.__dict__[self._key]
        if (one := self.inputs.get(id(entry))) is not None:
            self._note(one)
        elif (whose := self._whose.get(id(entry))) is not None and _is_quantity(value, left=whose.owner == "choice"):
            # A choice is called by its name; of all else the path leads to the value.
            choice = whose.owner == "choice"
            one = whose._replace(id=self._key) if choice else whose._replace(path=(*whose.path, self._key))
            self.inputs[id(entry)] = one
            self._note(one)
        return value

    def __set__(self, entry: Entry, value: Any) -> None:
        entry.__dict__[self._key] = value
