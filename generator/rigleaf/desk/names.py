"""The ids by which one entry names another, found by the models' own field types, and their exchange for others."""

from collections.abc import Callable, Iterator, Mapping
from copy import deepcopy
from typing import Any, get_args

from rigleaf.catalogue.document import Path
from rigleaf.catalogue.models.fields import Entry, is_reference
from rigleaf.catalogue.models.guide import Place, Target
from rigleaf.catalogue.models.kinds import KINDS
from rigleaf.catalogue.models.part import UnsortedPart
from rigleaf.catalogue.models.rig import Rig, Use
from rigleaf.catalogue.shelf import Sort

_SORTS: dict[str, Sort] = {"place": "place", "targets": "target"}
"""What the ids under a key name, where it is not a part."""

Data = dict[str, Any]


def model_of(sort: Sort, data: Mapping[str, Any]) -> type[Entry]:
    """Return the model of an entry; a part of a kind that does not exist has only what every part has."""
    if sort == "part":
        kind = KINDS.get(str(data.get("kind")))
        return kind.model if kind else UnsortedPart
    models: dict[Sort, type[Entry]] = {"rig": Rig, "place": Place, "target": Target}
    return models[sort]


def named(sort: Sort, data: Data) -> Iterator[tuple[Sort, str]]:
    """Yield sort and id of everything that an entry names, in its order."""
    found: list[tuple[Sort, str]] = []
    _walk(model_of(sort, data), data, lambda owner, key, path: found.append((_sort(path), owner[key])), ())
    yield from found


def renamed(sort: Sort, data: Data, names: Mapping[tuple[Sort, str], str]) -> Data:
    """Return a copy of an entry in which it and what it names are called as ``names`` says."""
    copy = deepcopy(data)

    def exchange(owner: Any, key: Any, path: Path) -> None:
        owner[key] = names.get((_sort(path), owner[key]), owner[key])

    _walk(model_of(sort, copy), copy, exchange, ())
    copy["id"] = names.get((sort, data["id"]), data["id"])
    return copy


def _sort(path: Path) -> Sort:
    return _SORTS.get(str(path[0]), "part")


def _walk(model: type[Entry], data: Data, visit: Callable[[Any, Any, Path], None], path: Path) -> None:
    for key in list(data):
        field = model.model_fields.get(key)
        if field is None or data[key] is None:
            continue
        if is_reference(field.metadata):
            visit(data, key, (*path, key))
        else:
            _inside(field.annotation, data, key, visit, (*path, key))


def _inside(annotation: object, owner: Any, key: Any, visit: Callable[[Any, Any, Path], None], path: Path) -> None:
    """Visit the references in ``owner[key]``, which is written as ``annotation`` says."""
    value = owner[key]
    if is_reference(getattr(annotation, "__metadata__", ())):
        visit(owner, key, path)
    elif isinstance(annotation, type) and issubclass(annotation, Entry):
        if isinstance(value, dict):
            _walk(annotation, value, visit, path)
        elif isinstance(value, str) and issubclass(annotation, Use):  # written as its id alone
            visit(owner, key, path)
    elif isinstance(value, list):
        for index in range(len(value)):
            for inner in get_args(annotation):
                _inside(inner, value, index, visit, (*path, index))
    else:
        for inner in get_args(annotation):
            _inside(inner, owner, key, visit, path)
