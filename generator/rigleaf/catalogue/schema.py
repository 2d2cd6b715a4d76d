"""JSON Schemas of the YAML, so that editors complete and check it while people type."""

from collections.abc import Iterator
from functools import lru_cache
from typing import Any

from pydantic import TypeAdapter

from rigleaf.catalogue.models.carriers import Carrier
from rigleaf.catalogue.models.fields import Entry
from rigleaf.catalogue.models.flight import FlightRule
from rigleaf.catalogue.models.guide import Guide, Place, Target
from rigleaf.catalogue.models.kinds import KINDS
from rigleaf.catalogue.models.lending import DeskBook
from rigleaf.catalogue.models.rig import Rig
from rigleaf.catalogue.models.trip import Trip

_DIALECT = "https://json-schema.org/draft/2020-12/schema"


def schemas() -> dict[str, dict[str, Any]]:
    """Return the schema of each sort of file, by file name.

    ``parts.json`` is for the files in ``parts/``, ``rig.json`` for each rig, ``trip.json`` for those in ``trips/``,
    ``desk.json`` for those in ``desk/``, the others for the file of the same name.
    """
    return {
        "carriers.json": _titled("Carriers", TypeAdapter(list[Carrier]).json_schema()),
        "desk.json": _titled("The book of loans", TypeAdapter(DeskBook).json_schema()),
        "guide.json": _titled("The guide", TypeAdapter(Guide).json_schema()),
        "parts.json": _titled("Parts on the shelf", _parts()),
        "places.json": _titled("Places", TypeAdapter(list[Place]).json_schema()),
        "rig.json": _titled("A rig", TypeAdapter(Rig).json_schema()),
        "trip.json": _titled("A journey", TypeAdapter(Trip).json_schema()),
        "rules.json": _titled("Flight rules", TypeAdapter(list[FlightRule]).json_schema()),
        "targets.json": _titled("Targets", TypeAdapter(list[Target]).json_schema()),
    }


def _titled(title: str, schema: dict[str, Any]) -> dict[str, Any]:
    _tidy(schema)
    return {"$schema": _DIALECT, **schema, "title": title}


def _parts() -> dict[str, Any]:
    """Return a list schema in which the word in ``kind`` alone decides what else may stand there.

    A chain of conditions, rather than a choice of all kinds, lets an editor complain about the one wrong
    key instead of about every kind that does not fit.
    """
    definitions: dict[str, Any] = {}
    branches: list[dict[str, Any]] = []
    for kind in KINDS.values():
        schema = TypeAdapter(kind.model).json_schema(ref_template="#/$defs/{model}")
        definitions.update(schema.pop("$defs", {}))
        schema["required"] = ["id", "kind", "name"]
        definitions[kind.model.__name__] = schema
        condition = {"properties": {"kind": {"const": kind.word}}, "required": ["kind"]}
        branches.append({"if": condition, "then": {"$ref": f"#/$defs/{kind.model.__name__}"}})
    part = {
        "type": "object",
        "required": ["id", "kind", "name"],
        "properties": {"kind": {"enum": list(KINDS), "description": "What sort of part it is."}},
        "allOf": branches,
    }
    return {"type": "array", "items": part, "$defs": definitions}


def _tidy(schema: dict[str, Any]) -> None:
    """Drop pydantic's titles and the null that only means 'left out'."""
    for node in _nodes(schema):
        if isinstance(node.get("title"), str):
            del node["title"]
        options = node.get("anyOf")
        if isinstance(options, list) and {"type": "null"} in options:
            options.remove({"type": "null"})
            if node.get("default", 0) is None:
                del node["default"]
            if len(options) == 1:
                del node["anyOf"]
                node.update(options[0] | dict(node))


def _nodes(schema: object) -> Iterator[dict[str, Any]]:
    if isinstance(schema, dict):
        yield schema
        for value in list(schema.values()):
            yield from _nodes(value)
    elif isinstance(schema, list):
        for value in schema:
            yield from _nodes(value)


@lru_cache(maxsize=256)
def _fields_of(model: type[Entry]) -> dict[str, Any]:
    schema = TypeAdapter(model).json_schema()
    _tidy(schema)
    fields: dict[str, Any] = schema["properties"]
    return fields


def field_schema(model: type[Entry], key: str) -> dict[str, Any]:
    """Return the JSON Schema of the field ``key`` of ``model``."""
    schema: dict[str, Any] = _fields_of(model)[model.model_fields[key].alias or key]
    return schema


def example_of(model: type[Entry], key: str) -> str:
    """Return how the field ``key`` of ``model`` is written: an example, the words it may be, or its sort."""
    schema = field_schema(model, key)
    inner = schema.get("items", {})
    if examples := (schema.get("examples") or inner.get("examples")):
        return str(examples[0])
    if words := (schema.get("enum") or inner.get("enum")):
        return ", ".join(words)
    return {"boolean": "true, false", "integer": "2", "string": "text", "array": "list"}.get(schema.get("type", ""), "")
