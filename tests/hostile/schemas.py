"""Every field of every entry of a guide, found by the schemas of its files: for tests that change or fill them all."""

from collections.abc import Iterator
from copy import deepcopy
from functools import cache
from pathlib import Path
from typing import Any, NamedTuple

import yaml

from rigleaf.catalogue.document import read_document
from rigleaf.catalogue.schema import schemas

Guide = dict[str, Any]
"""What each file of a guide says, by the file's name."""

Schema = dict[str, Any]


_NAMES = ("photo", "object")
"""Words that name something which must be there."""


class Field(NamedTuple):
    """One field of one entry, whether the entry states it or not."""

    owner: Any
    key: str | int
    schema: Schema
    file: str
    path: tuple[str | int, ...]

    @property
    def stated(self) -> bool:
        """Whether it is there."""
        return isinstance(self.owner, list) or self.key in self.owner

    @property
    def is_text(self) -> bool:
        """Whether it takes any words at all."""
        return self.schema.get("maxLength") in (200, 4000) and self.key not in (
            "photo",
            "object",
        )  # these name something that must be there


def read_guide(folder: Path) -> Guide:
    """Return what every YAML file of a guide says."""
    return {
        path.relative_to(folder).as_posix(): read_document(path.name, path.read_bytes()).data
        for path in sorted(folder.rglob("*.yml"))
    }


def write_guide(guide: Guide, folder: Path) -> Path:
    """Write a guide's files below ``folder`` and return it."""
    for name, data in guide.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        # A width without end, since folding puts escapes into words that are read back as such.
        text = yaml.dump(data, Dumper=_DUMPER, sort_keys=False, allow_unicode=True, width=10**9)
        path.write_bytes(text.encode("utf-8", "surrogatepass"))
    return folder


_DUMPER = getattr(yaml, "CSafeDumper", yaml.SafeDumper)


@cache
def _schema_of(file: str) -> Schema:
    folder, inside, _ = file.partition("/")
    if inside:
        return schemas()[{"parts": "parts.json", "trips": "trip.json", "desk": "desk.json"}[folder]]
    return schemas().get(file.replace(".yml", ".json"), schemas()["rig.json"])


def fields(guide: Guide, *files: str) -> Iterator[Field]:
    """Yield every field that the entries of a guide (or of some files) state or could state, the outer ones first."""
    for file in files or guide:
        data = guide[file]
        schema = _schema_of(file)
        yield from _inside(data, schema, schema.get("$defs", {}), file, ())


def resolved(schema: Schema, definitions: Schema) -> Schema:
    """Return a schema with the one that it names in its place."""
    while "$ref" in schema:
        schema = definitions[schema["$ref"].rpartition("/")[2]]
    return schema


def _inside(data: Any, schema: Schema, definitions: Schema, file: str, path: tuple[str | int, ...]) -> Iterator[Field]:
    schema = resolved(schema, definitions)
    if isinstance(data, list):
        items = schema.get("items", {})
        for index, inner in enumerate(data):
            if not isinstance(inner, (dict, list)):
                yield Field(data, index, resolved(items, definitions) | {"$defs": definitions}, file, (*path, index))
            yield from _inside(inner, items, definitions, file, (*path, index))
        return
    if not isinstance(data, dict):
        return
    if "allOf" in schema:  # a part: its kind decides
        word = data.get("kind")
        branches = [one for one in schema["allOf"] if one["if"]["properties"]["kind"]["const"] == word]
        schema = resolved(branches[0]["then"], definitions) if branches else schema
    if "x-dimension" in schema:
        return
    for option in schema.get("anyOf", ()):
        if (found := resolved(option, definitions)).get("type") == "object":
            schema = found
    for key, inner in schema.get("properties", {}).items():
        found = resolved(inner, definitions)
        yield Field(data, key, found | ({"$defs": definitions}), file, (*path, key))
        if key in data:
            yield from _inside(data[key], inner, definitions, file, (*path, key))


def slice_of(guide: Guide, rigs: tuple[str, ...], trips: tuple[str, ...] = ()) -> Guide:
    """Return a smaller guide: some rigs and journeys, the parts that they name, and of the book what speaks of them."""
    own = ("guide.yml", "places.yml", "targets.yml", "carriers.yml", "rules.yml")
    found = {
        name: deepcopy(data)
        for name, data in guide.items()
        if name in own or name.removesuffix(".yml") in rigs or (name.startswith("trips/") and Path(name).stem in trips)
    }
    shelf = {part["id"]: part for name, data in guide.items() if name.startswith("parts/") for part in data or ()}
    words: set[str] = set()
    more = set(_words([data for name, data in found.items() if name not in own]))
    while more:
        words |= more
        more = set(_words([shelf[word] for word in more if word in shelf])) - words
    found["targets.yml"] = [one for one in found["targets.yml"] if one["id"] in words][:4] or found["targets.yml"][:2]
    for rig in rigs:
        found[f"{rig}.yml"].pop("targets", None)
    for name, data in guide.items():
        if name.startswith("parts/"):
            found[name] = [deepcopy(part) for part in data or () if part["id"] in words]
        elif name.startswith("desk/"):
            found[name] = {
                key: [deepcopy(one) for one in some if _is_among(one, rigs, words)] for key, some in data.items()
            }
    return found


def _is_among(entry: Any, rigs: tuple[str, ...], words: set[str]) -> bool:
    named = set(_words([entry.get("parts"), entry.get("part")])) - {"part", "count", "note"}
    return entry.get("rig") in (None, *rigs) and named <= words


def _words(data: Any) -> Iterator[str]:
    """Yield every text in some data; ids are among them."""
    if isinstance(data, str):
        yield data
    elif isinstance(data, (list, dict)):
        for inner in data.values() if isinstance(data, dict) else data:
            yield from _words(inner)
