"""The headers of a list: which field each column fills, by the words in it, and in which unit."""

import re
from dataclasses import dataclass

from rigleaf.catalogue.models.kinds import KINDS
from rigleaf.catalogue.models.part import Part
from rigleaf.desk.fields_of_kinds import Leaf, leaves
from rigleaf.nearest import nearest
from rigleaf.quantities import DIMENSIONS, is_common_unit, is_unit

ASK = ("id", "kind", "name")
"""What decides about a row before its other columns are looked at."""

# What people call a field, beside its own name. Where a header may mean several, its unit and the row's kind decide.
_SYNONYMS: dict[str, tuple[str, ...]] = {
    "name": ("item", "part", "equipment", "article", "what"),
    "kind": ("type", "category", "sort", "class"),
    "id": ("key", "short name"),
    "summary": ("description", "about"),
    "mass": ("weight", "stated mass", "stated weight", "weight stated"),
    "mass.measured": ("measured mass", "measured weight", "weighed", "mass measured", "weight measured"),
    "mass.on": ("weighed on", "measured on", "date weighed", "date measured"),
    "packed": ("size", "dimensions", "packed size", "outer size", "l x w x h", "lxwxh"),
    "owned": ("quantity", "qty", "count", "number", "pieces", "pcs", "stock", "how many"),
    "asset": ("asset tag", "tag", "label", "inventory number", "inventory no", "inventory"),
    "notes": ("note", "quirks"),
    "private.serial": ("serial", "serial number", "serial no", "s/n", "sn"),
    "private.value": ("value", "insured value", "price", "cost", "worth"),
    "private.remarks": ("remarks", "remark", "comment", "comments", "private"),
    "aperture": ("diameter", "clear aperture", "opening"),
    "focal_length": ("focal", "fl"),
    "central_obstruction": ("obstruction", "central obstruction diameter"),
    "image_circle": ("corrected circle", "corrected field"),
    "back_focus.distance": ("back focus", "backfocus", "back focus distance"),
    "front": ("front thread", "thread front", "front connection", "thread towards the sky"),
    "rear": ("rear thread", "thread rear", "rear connection", "thread towards the sensor"),
    "optical_length": ("length", "optical path", "light path", "path length", "thickness"),
    "clear_aperture": ("free diameter", "inner diameter"),
    "length": ("cable length",),
    "factor": ("reduction", "magnification"),
    "sensor.pixels": ("pixels", "resolution", "pixel count"),
    "sensor.pixel": ("pixel", "pixel size", "pixel pitch"),
    "sensor.mosaic": ("mosaic", "colour", "colour or mono"),
    "sensor.bits": ("bits", "bit depth"),
    "sensor.read_noise": ("read noise",),
    "sensor.full_well": ("full well", "full well capacity"),
    "sensor.quantum_efficiency": ("quantum efficiency", "qe"),
    "sensor.dark_current": ("dark current",),
    "flange_to_sensor": ("flange distance", "flange to sensor", "flange"),
    "cooling_depth": ("cooling",),
    "power.idle": ("power idle", "idle power", "idle draw"),
    "power.working": ("power", "draw", "consumption", "power draw", "working power", "typical power"),
    "power.peak": ("peak power", "power peak", "largest power", "peak draw"),
    "power.voltage": ("voltage", "supply voltage"),
    "capacity": ("payload", "load", "carries up to", "load capacity"),
    "load_limit": ("payload", "load", "load capacity", "capacity"),
    "charge": ("capacity",),
    "marked_energy": ("energy", "capacity"),
    "nominal_voltage": ("voltage",),
    "periodic_error": ("pe",),
    "foot_radius": ("foot circle radius",),
    "inner": ("inside", "inner size", "inside size"),
    "outer": ("outside", "outer size", "outside size", "size", "dimensions"),
    "mount_size": ("filter size", "size"),
    "filter_size": ("takes filters", "size"),
    "gauge": ("awg", "wire gauge"),
    "ends": ("plugs", "connectors"),
}  # fmt: skip

_SIDES = ("length", "width", "height")
_BRACKETS = re.compile(r"(?P<words>.*?)\s*[(\[]\s*(?P<unit>[^()\[\]]*?)\s*[)\]]\s*", re.DOTALL)
_BEHIND = re.compile(r"(?P<words>.*?)\s*[,/:]\s*(?P<unit>[^,/:]+)", re.DOTALL)


@dataclass(frozen=True, slots=True)
class Header:
    """One header: its words in small letters, and the unit that it names, "" where it names none."""

    text: str
    words: str
    unit: str = ""


def read_header(text: str) -> Header:
    """Read a header such as "Mass (kg)", "Weight [lb]" or "Focal length, mm"."""
    plain = " ".join(text.split())
    if found := _BRACKETS.fullmatch(plain):
        return Header(text, _words(found["words"]), found["unit"])
    if (found := _BEHIND.fullmatch(plain)) and is_common_unit(found["unit"]):
        return Header(text, _words(found["words"]), found["unit"])
    return Header(text, _words(plain))


def _words(text: str) -> str:
    return " ".join(text.casefold().replace("_", " ").replace(".", " ").replace("-", " ").split())


def _called(leaf: Leaf) -> set[str]:
    """Return what a header may call a field, in small letters."""
    own = {_words(leaf.name), _words(leaf.path[-1])} if len(leaf.path) == 1 else {_words(leaf.name)}
    return own | set(_SYNONYMS.get(leaf.name, ()))


def find_leaf(header: Header, kind: str) -> Leaf | None:
    """Return the field that a header means in a row of this kind, or None.

    A unit that does not fit rules a field out. A field's own name goes before what else people call it, and one that
    this kind has before one of every part.
    """
    found = [leaf for leaf in leaves(kind).values() if header.words in _called(leaf)]
    if header.unit:
        # A unit that fits none of them is told later, of the field that was probably meant.
        found = [leaf for leaf in found if _takes(leaf, header.unit)] or found
    # The voltage of a battery is what it gives, before what it might draw.
    found.sort(key=lambda leaf: leaf.path[0] in Part.model_fields)
    own = [leaf for leaf in found if _words(leaf.name) == header.words]
    return next(iter(own or found), None)


def _takes(leaf: Leaf, unit: str) -> bool:
    dimension = "length" if leaf.holds == "size" else leaf.holds
    return dimension in DIMENSIONS and is_unit(unit, dimension)


def asks_for(header: Header) -> str | None:
    """Return which of ASK a header means, or None."""
    return next((key for key in ASK if header.words == key or header.words in _SYNONYMS[key]), None)


def known_to_any_kind(header: Header) -> bool:
    """Say whether parts of some kind have a field that is called so."""
    return any(find_leaf(header, kind) for kind in KINDS)


def nearest_name(words: str, kind: str | None = None) -> str | None:
    """Return the name of a field that is written nearly so, or None."""
    names: dict[str, str] = {}
    for word in [kind] if kind else list(KINDS):
        for leaf in leaves(word).values():
            for called in sorted(_called(leaf)):
                names.setdefault(called, leaf.name)
    near = nearest(words, names)
    return names[near] if near else None
