"""Every field that names another entry is found, in whatever form it is written."""

from typing import Any

from rigleaf.catalogue.models.fields import is_reference
from rigleaf.desk.names import named, renamed
from tests.catalogue.models import every_model

RIG: dict[str, Any] = {
    "id": "rig", "name": "Rig", "train": ["a", {"part": "b", "count": 2}], "guiding": {"scope": "c", "camera": "d"},
    "riders": ["e"], "mount": "f", "counterweights": ["g"], "tripod": "h", "power": ["i"], "carried": ["l"],
    "feeds": [{"source": "i", "lead": "j", "to": ["f", "e"]}], "bags": [{"part": "k", "holds": ["f"]}],
    "worn": ["e"], "loose": ["h"], "targets": ["m31"], "place": "field", "notes": None,
}  # fmt: skip


def test_a_rig_names_parts_targets_and_place() -> None:
    found = set(named("rig", RIG))
    assert {id_ for sort, id_ in found if sort == "part"} == set("abcdefghijkl")
    assert found >= {("target", "m31"), ("place", "field")}


def test_parts_name_parts() -> None:
    assert list(named("part", {"id": "x", "kind": "corrector", "made_for": ["a", "b"]})) == [
        ("part", "a"),
        ("part", "b"),
    ]
    assert list(named("part", {"id": "x", "kind": "optic", "sun_filter": "a"})) == [("part", "a")]
    assert list(named("part", {"id": "x", "kind": "dew-heater", "front_of": "a"})) == [("part", "a")]


def test_an_exchange_keeps_everything_else() -> None:
    names = {("part", "f"): "z", ("part", "h"): "y", ("target", "m31"): "m31-2", ("rig", "rig"): "rig-2"}
    new = renamed("rig", RIG, names)  # type: ignore[arg-type]
    assert new == {**RIG, "id": "rig-2", "mount": "z", "tripod": "y", "loose": ["y"], "targets": ["m31-2"],
                   "feeds": [{"source": "i", "lead": "j", "to": ["z", "e"]}],
                   "bags": [{"part": "k", "holds": ["z"]}]}  # fmt: skip
    assert RIG["mount"] == "f"


def test_no_field_of_the_models_is_called_like_a_reference_without_being_one() -> None:
    """A new field that names an entry must have the type by which it is found."""
    fields = {(model.__name__, key): field for model in every_model() for key, field in model.model_fields.items()}
    wrong = [
        where
        for where, field in fields.items()
        if "Id of" in (field.description or "") or "Ids of" in (field.description or "")
        if not (is_reference(field.metadata) or "_read_reference" in repr(field.annotation))
        and "Use" not in repr(field.annotation)
    ]
    assert wrong == []
