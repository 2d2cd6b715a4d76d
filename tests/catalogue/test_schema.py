"""The JSON Schemas are valid, complete, and of one mind with the reader."""

import json
from collections.abc import Iterator
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from rigleaf.catalogue.document import read_document
from rigleaf.catalogue.schema import example_of, schemas
from tests.catalogue.models import every_model
from tests.faults.cases import BASE, all_cases, faults_of, lay_out

SCHEMAS = schemas()
VALIDATORS = {name: Draft202012Validator(schema) for name, schema in SCHEMAS.items()}
MODELINE = "# yaml-language-server: $schema="

# Faults that a schema can find; the others need units, files or other entries.
SHARED_CODES = {"unknown-key", "kind", "choice", "count", "truth", "list", "mapping", "missing"}


def schema_for(name: str) -> str:
    """Return the name of the schema for a file of a guide."""
    folder, inside, _ = name.partition("/")
    if inside:
        return {"parts": "parts.json", "trips": "trip.json", "desk": "desk.json"}[folder]
    own = ("carriers", "guide", "places", "rules", "targets")
    return {f"{word}.yml": f"{word}.json" for word in own}.get(name, "rig.json")


def complaints(name: str, content: bytes) -> list[str]:
    """Return what the schema says against a file."""
    data = read_document(name, content).data
    return [error.message for error in VALIDATORS[schema_for(name)].iter_errors(data)]


@pytest.mark.parametrize("name", SCHEMAS)
def test_the_schema_is_valid(name: str) -> None:
    schema = SCHEMAS[name]
    assert schema["$schema"] == "https://json-schema.org/draft/2020-12/schema"
    Draft202012Validator.check_schema(schema)
    assert json.loads(json.dumps(schema)) == schema


@pytest.mark.parametrize("name", SCHEMAS)
def test_the_demo_has_the_schema_as_it_is(name: str, project: Path) -> None:
    """Renew with: rigleaf schema."""
    assert json.loads((project / "rigs" / "schema" / name).read_text(encoding="utf-8")) == SCHEMAS[name]


@pytest.mark.parametrize("name", SCHEMAS)
def test_every_reference_in_the_schema_leads_somewhere(name: str) -> None:
    schema = SCHEMAS[name]
    for node in nodes(schema):
        if "$ref" in node:
            assert node["$ref"].removeprefix("#/$defs/") in schema["$defs"]


@pytest.mark.parametrize("name", SCHEMAS)
def test_every_key_in_the_schema_is_described(name: str) -> None:
    keys = [(key, said) for node in nodes(SCHEMAS[name]) for key, said in property_schemas(node)]
    assert keys
    for key, said in keys:
        assert said.get("description", said.get("const")), f"'{key}' has no description"


@pytest.mark.parametrize("name", SCHEMAS)
def test_the_schema_does_not_speak_of_the_source(name: str) -> None:
    text = json.dumps(SCHEMAS[name])
    for word in ("pydantic", "``", "Reading", '"default": null', '{"type": "null"}'):
        assert word not in text


def nodes(schema: object) -> Iterator[dict[str, Any]]:
    """Yield every mapping in a schema."""
    if isinstance(schema, dict):
        yield schema
    if isinstance(schema, (dict, list)):
        for inner in schema.values() if isinstance(schema, dict) else schema:
            yield from nodes(inner)


def property_schemas(node: dict[str, Any]) -> Iterator[tuple[str, dict[str, Any]]]:
    """Yield key and schema of what an object may say."""
    properties = node.get("properties")
    if node.get("type") == "object" and isinstance(properties, dict):
        yield from properties.items()


def test_every_field_is_described_in_a_sentence() -> None:
    for model in every_model():
        assert model.__doc__
        for key, field in model.model_fields.items():
            description = field.description or ""
            assert key == "kind" or (description[:1].isupper() and description.endswith(".")), f"{model.__name__}.{key}"


@pytest.mark.parametrize("folder", [BASE, Path(__file__).parent / "good"], ids=["base", "good"])
def test_sound_guides_pass(folder: Path) -> None:
    for path in folder.rglob("*.yml"):
        assert complaints(path.relative_to(folder).as_posix(), path.read_bytes()) == []


def test_what_the_reader_refuses_the_schema_refuses_too() -> None:
    refused = 0
    for label, case in all_cases().items():
        names = {fault.file for fault in faults_of(label) if fault.code in SHARED_CODES}
        with TemporaryDirectory() as folder:
            root = lay_out(case, Path(folder)) if names else Path(folder)
            for name in names:
                assert complaints(name, (root / name).read_bytes()), f"the schema is content with '{label}'"
                refused += 1
    assert refused > 60


def test_the_schema_complains_about_the_one_wrong_key_only() -> None:
    text = b"- {id: a, kind: optic, name: A, aperture: 80 mm, focal_lenght: 480 mm}\n"
    assert complaints("parts/a.yml", text) == ["Additional properties are not allowed ('focal_lenght' was unexpected)"]


def test_examples_for_a_reader() -> None:
    models = {model.__name__: model for model in every_model()}
    assert example_of(models["Optic"], "mass") == "4.2 kg"
    assert example_of(models["Rig"], "purpose").startswith("wide field, ")
    assert example_of(models["Optic"], "needs_collimation") == "true, false"


def test_the_demo_carries_the_line_by_which_editors_find_the_schema(project: Path) -> None:
    rigs = project / "rigs"
    paths = [path for path in rigs.rglob("*.yml") if "schema" not in path.parts]
    assert paths
    for path in paths:
        name = path.relative_to(rigs).as_posix()
        up = "../" * name.count("/")
        first = path.read_text(encoding="utf-8").partition("\n")[0]
        assert first == f"{MODELINE}{up}schema/{schema_for(name)}", name


def test_the_demo_passes(project: Path) -> None:
    rigs = project / "rigs"
    for path in rigs.rglob("*.yml"):
        assert complaints(path.relative_to(rigs).as_posix(), path.read_bytes()) == []
