"""What a part states, as rows that a page can show: labels, values and who says so."""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from markupsafe import Markup, escape

from rigleaf.catalogue.models.connections import Connection
from rigleaf.catalogue.models.fields import Box, Entry, Offset, Pixels
from rigleaf.catalogue.models.part import Part
from rigleaf.chapters.formatting import show
from rigleaf.quantities import Basis, Reading
from rigleaf.site.typeset.addresses import part_address
from rigleaf.site.typeset.templating import Writer
from rigleaf.words import tr, within

NOT_FACTS = frozenset({"id", "kind", "name", "summary", "photo", "notes", "private", "asset"})
"""Fields that a page shows elsewhere, or never (private)."""


REFERENCES = frozenset({"sun_filter", "front_of"})
"""Fields that name another part."""


LABELS: dict[str, str] = {
    "periodic_error": "periodic error, peak to peak",
    "dark_current": "dark current of a pixel",
    "dark_current_at": "temperature of that dark current",
    "owned": "owned by the club",
    "goes_in": "usually travels in",
    "ccc_mark": "CCC mark",
    "made_for": "made for",
}
"""Fields whose own name leaves a question open."""


@dataclass(frozen=True, slots=True)
class Fact:
    """One row: label, value as HTML, who says so, and a note."""

    key: str
    label: str
    value: Markup
    basis: Basis
    note: str = ""


def label(key: str) -> str:
    """Return a field's name as words: ``focal_length`` is "Focal length"."""
    words = LABELS.get(key, key.replace("_", " "))
    return tr(words[:1].upper() + words[1:])


def facts(part: Part, writer: Writer) -> tuple[list[tuple[str, list[Fact]]], list[str]]:
    """Return groups of facts about a part, and the labels of what is unsaid.

    The first group has no heading; a nested entry such as a sensor makes a group of its own.
    """
    plain: list[Fact] = []
    groups: list[tuple[str, list[Fact]]] = [("", plain)]
    unsaid: list[str] = []
    for key in type(part).model_fields:
        if key in NOT_FACTS:
            continue
        value = getattr(part, key)
        if value is None or value == ():
            unsaid += [] if key in part.beside_the_point() else [within(label(key))]
        elif isinstance(value, Entry):
            groups.append((label(key), [*_inner(value, writer)]))
            unsaid += [f"{within(label(key))}: {name}" for name in _missing(value)]
        elif isinstance(value, tuple) and isinstance(value[0], Entry):
            for number, one in enumerate(value, 1):
                groups.append((f"{label(key)} {number}", [*_inner(one, writer)]))
                unsaid += [f"{within(label(key))} {number}: {name}" for name in _missing(one)]
        else:
            plain.append(fact(key, value, writer))
    return [(heading, rows) for heading, rows in groups if rows], unsaid


def _inner(entry: Entry, writer: Writer) -> Iterator[Fact]:
    for key in type(entry).model_fields:
        value = getattr(entry, key)
        if value is not None:
            yield fact(key, value, writer)


def _missing(entry: Entry) -> list[str]:
    return [within(label(key)) for key in type(entry).model_fields if getattr(entry, key) is None]


def fact(key: str, value: Any, writer: Writer) -> Fact:
    """Return one value as a row."""
    if key in REFERENCES:
        link = Markup('<a href="{}">{}</a>').format(
            writer.link(part_address(value)), writer.part_names.get(value, value)
        )
        return Fact(key, label(key), link, _basis(value))
    if isinstance(value, Reading):
        note = tr("stated {text_}", text_=value.stated.text) if value.stated is not None else ""
        if value.date is not None:
            note = "; ".join(filter(None, [tr("measured on {isoformat}", isoformat=value.date.isoformat()), note]))
        return Fact(key, label(key), writer.written(value), _basis(value), note)
    return Fact(key, label(key), plain_value(value, writer), _basis(value))


def _basis(value: Any) -> Basis:
    """Return who says so: whatever the YAML gives is stated, unless it says that somebody measured all of it."""
    several = value if type(value) is tuple else (value,)  # a named tuple such as a size is one value
    bases: set[Basis] = {one.basis if isinstance(one, Reading) else "stated" for one in several}
    return bases.pop() if len(bases) == 1 else "stated"


def plain_value(value: Any, writer: Writer) -> Markup:
    """Return a value that is no quantity as HTML."""
    match value:
        case bool():
            return escape(tr("yes") if value else tr("no"))
        case Box():
            return writer.box(value)
        case Pixels():
            return escape(f"{value.across} × {value.down}")
        case Offset():
            return escape(f"{_mm(value.x)}, {_mm(value.y)}")
        case Connection():
            return escape(re.sub(r" x ", " × ", str(value)))
        case tuple():
            return Markup(", ").join(
                writer.written(one) if isinstance(one, Reading) else escape(str(one)) for one in value
            )
    return escape(str(value))


def _mm(value: float) -> str:
    return show(value, "offset").first
