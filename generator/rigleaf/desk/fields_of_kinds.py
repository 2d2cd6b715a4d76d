"""Every field of a part that one cell of a list can fill, by kind: its path and what it holds."""

from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from rigleaf.catalogue.models.fields import Entry
from rigleaf.catalogue.models.kinds import KINDS
from rigleaf.catalogue.schema import field_schema
from rigleaf.catalogue.validation import entry_in


@dataclass(frozen=True, slots=True)
class Leaf:
    """One field.

    Attributes:
        path: keys from the part down, such as ("sensor", "pixel").
        holds: a dimension of quantities.DIMENSIONS, "size", "joint", "integer", "boolean", "text", or "list" of texts.
        words: what it may say, where only certain words are known.
    """

    path: tuple[str, ...]
    holds: str
    words: tuple[str, ...] = ()

    @property
    def name(self) -> str:
        """The path as people write it, such as "sensor.pixel"."""
        return ".".join(self.path)


@lru_cache(maxsize=len(KINDS))
def leaves(kind: str) -> dict[str, Leaf]:
    """Return the fields of a kind by name, as "focal_length" or "sensor.pixel"."""
    found = {leaf.name: leaf for leaf in _below(KINDS[kind].model, ())}
    # What the club measured stands inside a quantity.
    mass = found["mass"]
    found["mass.measured"] = Leaf(("mass", "measured"), mass.holds)
    found["mass.on"] = Leaf(("mass", "on"), "text")
    return found


def _below(model: type[Entry], path: tuple[str, ...]) -> list[Leaf]:
    found: list[Leaf] = []
    for key, field in model.model_fields.items():
        inner = entry_in(field.annotation)
        if key in ("photo", "kind") and not path:
            continue  # a kind has its own way; a photo is a file
        if inner is None:
            if leaf := _leaf(field_schema(model, key), (*path, key)):
                found.append(leaf)
        elif "tuple" not in str(field.annotation):
            found += _below(inner, (*path, key))
    return found


def _leaf(schema: dict[str, Any], path: tuple[str, ...]) -> Leaf | None:
    if "x-dimension" in schema:
        return Leaf(path, schema["x-dimension"])
    if "enum" in schema:
        return Leaf(path, "text", tuple(schema["enum"]))
    sort = schema.get("type")
    if any("female" in str(example) for example in schema.get("examples", ())):
        return Leaf(path, "joint")
    if sort in ("integer", "boolean"):
        return Leaf(path, sort)
    if sort == "array":
        words = tuple(schema.get("items", {}).get("enum", ()))
        return Leaf(path, "list", words) if schema.get("items", {}).get("type") == "string" else None
    return Leaf(path, "text") if sort == "string" else None
