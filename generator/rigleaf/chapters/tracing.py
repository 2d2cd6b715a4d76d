"""Which values of the YAML each chapter looks at while it studies a rig: noted as they are read.

The parts, the place, the rig and the guide's choices are handed to the chapters as copies that note which of their
quantities are asked for. Nothing has to be declared, so a new chapter or field is traced like any other. What a chapter
reads of parts that are not the rig's own, in search of a remedy, does not count.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import Any, Literal, NamedTuple, TypeVar

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.catalogue.models.fields import Entry
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.in_the_frame.fleet import views_of
from rigleaf.chapters.register import chapters
from rigleaf.chapters.study import RigStudy, checked
from rigleaf.quantities import Reading

Owner = Literal["part", "place", "rig", "choice"]
AnyEntry = TypeVar("AnyEntry", bound=Entry)


class Input(NamedTuple):
    """One quantity: whose it is, the id of that (of a choice, its name), and the path to it inside."""

    owner: Owner
    id: str
    path: tuple[str | int, ...] = ()


@dataclass(frozen=True)
class Trace:
    """What was read: the inputs by id of the rig and of the chapter."""

    read: Mapping[tuple[str, str], frozenset[Input]]


class Tracer:
    """Studies the rigs of a guide, and notes what each chapter reads of them."""

    def __init__(self, catalogue: Catalogue) -> None:
        self._catalogue = catalogue
        self._noted: set[Input] = set()
        self._copy = _noting(catalogue, self._noted.add)
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


def _noting(catalogue: Catalogue, note: Callable[[Input], None]) -> Catalogue:
    """Return a copy of a catalogue whose quantities are noted when they are read."""
    copies = _Copies(note)
    guide = catalogue.guide.model_copy(update={"choices": copies.choices(catalogue.guide.choices)})
    return replace(
        catalogue,
        guide=guide,
        parts={id_: copies.copy(part, Input("part", id_)) for id_, part in catalogue.parts.items()},
        rigs={id_: copies.copy(rig, Input("rig", id_)) for id_, rig in catalogue.rigs.items()},
        places={id_: copies.copy(place, Input("place", id_)) for id_, place in catalogue.places.items()},
    )


class _Copies:
    """Makes copies of entries that note what is read of them."""

    def __init__(self, note: Callable[[Input], None]) -> None:
        self.note = note
        self.whose: dict[int, Input] = {}
        self.classes: dict[type[Entry], type[Entry]] = {}

    def choices(self, entry: AnyEntry) -> AnyEntry:
        """Return a copy of the choices; one that the guide leaves open is noted as well."""
        return self._as_noting(entry, Input("choice", ""))

    def copy(self, entry: AnyEntry, whose: Input) -> AnyEntry:
        """Return a copy of an entry and of all entries inside it."""
        inside: dict[str, Any] = {}
        for key, value in entry.__dict__.items():
            if isinstance(value, Entry):
                inside[key] = self.copy(value, whose._replace(path=(*whose.path, key)))
            elif isinstance(value, tuple) and value and isinstance(value[0], Entry):
                inside[key] = tuple(
                    self.copy(one, whose._replace(path=(*whose.path, key, index))) for index, one in enumerate(value)
                )
        return self._as_noting(entry.model_copy(update=inside), whose)

    def _as_noting(self, entry: AnyEntry, whose: Input) -> AnyEntry:
        copy = entry.model_copy()
        object.__setattr__(copy, "__class__", self._class(type(entry)))
        self.whose[id(copy)] = whose
        return copy

    def _class(self, model: type[Entry]) -> type[Entry]:
        """Return a subclass whose instances note which of their quantities are read."""
        if model not in self.classes:
            note, whose, fields, plain = self.note, self.whose, frozenset(model.model_fields), model.__getattribute__

            def noting(entry: Entry, name: str) -> Any:
                value = plain(entry, name)
                if name in fields and (isinstance(value, Reading) or value is None):
                    of = whose.get(id(entry))
                    if of is not None and (of.owner == "choice" or value is not None):
                        note(Input("choice", name) if of.owner == "choice" else of._replace(path=(*of.path, name)))
                return value

            # Made past pydantic, which would build a validator for each: these are never validated.
            body = {"__getattribute__": noting, "__slots__": (), "__module__": model.__module__}
            self.classes[model] = type.__new__(type(model), model.__name__, (model,), body)
        return self.classes[model]
