"""New files to fill in: every field of a rig or a part with what it means and how it is written, ready to uncomment.

They are made from the models, so that a field that is new there is here too. A field stands behind a '#' in the column
of its entry, without a blank: take the '#' away, and the line is right as it stands. Words about it have one blank.
"""

from collections.abc import Mapping
from pathlib import Path

from rigleaf.catalogue import files
from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.catalogue.models.fields import Entry, is_id, nearest_id
from rigleaf.catalogue.models.kinds import KINDS
from rigleaf.catalogue.models.night_fields import Steps
from rigleaf.catalogue.models.part import Part
from rigleaf.catalogue.models.rig import Rig, Use
from rigleaf.catalogue.schema import field_schema
from rigleaf.catalogue.validation import entry_in
from rigleaf.desk.drafts import free_name, modeline, read_or_begin, write_drafts
from rigleaf.desk.errors import DeskError
from rigleaf.desk.yaml_text import as_item, comment, indented, write_value
from rigleaf.nearest import nearest
from rigleaf.quantities import short

_WIDTH = 112
_MOST_IDS = 8

_FROM_SHELF: dict[str, tuple[tuple[str, ...], bool]] = {
    "train": (("optic", "camera"), True),
    "riders": (("fixing", "focuser-motor", "computer"), True),
    "mount": (("mount",), False),
    "counterweights": (("counterweight",), True),
    "tripod": (("tripod",), False),
    "power": (("battery", "mains-supply"), True),
    "bags": (("bag",), True),
    "carried": (("tool", "spare", "sundry"), True),
}
"""Which kinds of the shelf a field of a rig may name, and whether it is a list of them."""

_EXAMPLES: dict[str, str] = {
    "bits": "16", "full_well": "51000 e-", "offset": "[0 mm, -17.5 mm]", "photo": "photos/one.jpg", "idle": "2 W",
    "working": "8 W", "peak": "15 W", "voltage": "12 V", "lowest_voltage": "11 V", "source": "battery-20ah",
    "lead": "power-lead", "gauge": "18", "serial": "SN-0001", "value": "600 EUR", "asset": "OPT-1",
    "ends": "10:47:32",
}  # fmt: skip
"""How fields are written of which the models say less than a reader wants."""

_HOW = (
    "Only what stands without '#' counts. Take the '#' away from a field, and from the lines below that belong to it,",
    "put your own values there, and delete what you do not need: what is left out is unsaid, never zero. Numbers carry",
    "their unit, and any sensible unit will do.",
)


def begin_rig(folder: Path, id_: str) -> str:
    """Write a new rig into the guide in ``folder``; return what was done.

    Raises:
        CatalogueError: with every fault of the guide.
        DeskError: when the id is none, or stands in the guide already.
    """
    guide = read_or_begin(folder)
    _free(id_, "rig", guide.rigs)
    wanted = f"{id_}.yml"
    if wanted in files.OF_THE_GUIDE:
        wanted = f"rig-{wanted}"
    name = free_name(guide.root, wanted, {})
    text = modeline(guide.root, name, "rig.json") + comment(
        ["One rig: what is put together, and what it is for.", *_HOW]
    )
    filled = {"id": id_, "name": _said(id_)}
    write_drafts(guide.root, {name: (text + "\n" + blank(Rig, filled, _shelf_examples(guide))).encode()})
    return f"{guide.root / name} is begun: fill in its train, then run: rigleaf check {folder}\n"


def begin_part(folder: Path, kind: str, id_: str) -> str:
    """Write a new part of a kind into the guide in ``folder``, in a file of its own; return what was done.

    Raises:
        CatalogueError: with every fault of the guide.
        DeskError: when there is no such kind, or the id is none or stands in the guide already.
    """
    if kind not in KINDS:
        near = nearest(kind, KINDS)
        cure = f"did you mean '{near}'?" if near else f"known are {', '.join(KINDS)}"
        raise DeskError(f"unknown kind '{short(kind)}'; {cure}")
    guide = read_or_begin(folder)
    _free(id_, "part", guide.parts)
    name = free_name(guide.root, f"{files.PARTS}/{id_}.yml", {})
    phrase = KINDS[kind].phrase
    lines = [f"{phrase[:1].upper()}{phrase[1:]}. You may move it into any other list in {files.PARTS}/.", *_HOW]
    text = modeline(guide.root, name, "parts.json") + comment(lines)
    filled = {"id": id_, "kind": kind, "name": _said(id_)}
    write_drafts(guide.root, {name: (text + "\n" + as_item(blank(KINDS[kind].model, filled, {}))).encode()})
    return f"{guide.root / name} is begun: fill it in, then run: rigleaf check {folder}\n"


def _free(id_: str, sort: str, taken: Mapping[str, object]) -> None:
    if not is_id(id_):
        near = nearest_id(id_)
        raise DeskError(f"'{short(id_)}' is not an id; use small letters, digits and hyphens, like '{near}'")
    if id_ in taken:
        raise DeskError(f"there is a {sort} '{id_}' already; choose another id")


def _said(id_: str) -> str:
    words = id_.replace("-", " ")
    return words[:1].upper() + words[1:]


def blank(model: type[Entry], filled: Mapping[str, str], examples: Mapping[str, tuple[str, str]]) -> str:
    """Return every field of a model with its description and an example, as lines of YAML.

    Args:
        model: what is described.
        filled: fields that are given at once.
        examples: by field, how it would be written, and a remark about it, where the guide knows better than the model.
    """
    fields = "".join(f"{key}: {write_value(value)}\n" for key, value in filled.items())
    return fields + "".join(_field(model, key, examples) for key in _in_order(model) if key not in filled)


def _in_order(model: type[Entry]) -> list[str]:
    """Return the fields of a model; of a part, those of its kind stand before those of every part."""
    of_every_part = Part.model_fields if issubclass(model, Part) else {}
    return sorted(model.model_fields, key=lambda key: key in of_every_part)


def _field(model: type[Entry], key: str, examples: Mapping[str, tuple[str, str]]) -> str:
    said, remark = examples.get(key, (_example(model, key), ""))
    words = _words(model, key)
    told = " ".join(
        filter(None, [model.model_fields[key].description, f"One of: {', '.join(words)}." if words else "", remark])
    )
    return (
        "\n"
        + comment(_wrapped(told))
        + _behind_marks(f"{key}:{said}\n" if said.startswith("\n") else f"{key}: {said}\n")
    )


def _behind_marks(text: str) -> str:
    return "".join(f"#{line}" for line in text.splitlines(keepends=True))


def _wrapped(text: str) -> list[str]:
    lines = [""]
    for word in text.split():
        if len(lines[-1]) + len(word) >= _WIDTH:
            lines.append("")
        lines[-1] += (" " if lines[-1] else "") + word
    return lines


def _words(model: type[Entry], key: str) -> list[str]:
    schema = field_schema(model, key)
    words: list[str] = schema.get("enum") or schema.get("items", {}).get("enum") or []
    return words


def _example(model: type[Entry], key: str) -> str:
    """Return how a field is written: behind its key, or, from a line's end on, below it."""
    if key in _EXAMPLES:
        return _EXAMPLES[key]
    field, schema = model.model_fields[key], field_schema(model, key)
    inner = entry_in(field.annotation)
    many = "tuple" in str(field.annotation)
    if inner is not None and not issubclass(inner, Use):
        text = "".join(
            comment(_wrapped(inner.model_fields[one].description or "")) + _line(inner, one)
            for one in inner.model_fields
        )
        return "\n" + indented(_item(text) if many else text, 2).removesuffix("\n")
    if inner is not None:
        return "[id-of-a-part]"
    if model is Steps:
        return "5 min"
    if examples := schema.get("examples"):
        return _plain(str(examples[0]))
    if words := _words(model, key):
        return f"[{words[0]}]" if many else words[0]
    items = schema.get("items", {})
    if many:
        return f"[{items['examples'][0]}]" if items.get("examples") else "[text]"
    return {"boolean": "true", "integer": "2"}.get(schema.get("type", ""), "text")


def _line(model: type[Entry], key: str) -> str:
    said = _example(model, key)
    return f"{key}:{said}\n" if said.startswith("\n") else f"{key}: {said}\n"


def _item(text: str) -> str:
    """Return a mapping as the one item of a list, the words about its first field above the mark."""
    lines = text.splitlines(keepends=True)
    first = next(number for number, line in enumerate(lines) if not line.startswith("#"))
    return "".join(lines[:first]) + as_item("".join(lines[first:]))


def _plain(example: str) -> str:
    """Return an example without what it says beside it, as in "{January: -10 degC}, or a list of twelve"."""
    return example.partition(", or ")[0]


def _shelf_examples(guide: Catalogue) -> dict[str, tuple[str, str]]:
    """Return by field of a rig an example out of the guide's own shelf, and what else there is."""
    found: dict[str, tuple[str, str]] = {}
    for key, (kinds, many) in _FROM_SHELF.items():
        by_kind = [[part.id for part in guide.parts.values() if part.kind == kind] for kind in kinds]
        first = [ids[0] for ids in by_kind if ids]
        if len(first) == len(kinds) or (first and key != "train"):
            said = f"[{', '.join(first)}]" if many else first[0]
            found[key] = (said, f"On the shelf: {_some([id_ for ids in by_kind for id_ in ids])}.")
    if "bags" in found:
        said, remark = found["bags"]
        bag = said.strip("[]").partition(",")[0]
        found["bags"] = said, f"{remark} To say what travels in one: '{{part: {bag}, holds: [ids of parts]}}'."
    for key, ids, many in (("targets", list(guide.targets), True), ("place", list(guide.places), False)):
        if ids:
            found[key] = (f"[{', '.join(ids[:2])}]" if many else ids[0], f"There are: {_some(ids)}.")
    return found


def _some(ids: list[str]) -> str:
    more = f" and {len(ids) - _MOST_IDS} more" if len(ids) > _MOST_IDS else ""
    return ", ".join(ids[:_MOST_IDS]) + more


def uncommented(text: str) -> str:
    """Return a new file with every field in use, as if somebody had taken all the marks away."""
    return "".join(_without_mark(line) for line in text.splitlines(keepends=True))


def _without_mark(line: str) -> str:
    bare = line.lstrip()
    said = bare.startswith("#\n") or (bare.startswith("# ") and not bare.startswith("#  "))
    return line if said or not bare.startswith("#") else line.replace("#", "", 1)
