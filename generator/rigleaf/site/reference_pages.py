"""Pages that explain: method, safety, about, and what the YAML may say."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from markupsafe import Markup

import rigleaf
from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.catalogue.defaults import ASSUMED, choice
from rigleaf.catalogue.models.carriers import Carrier
from rigleaf.catalogue.models.fields import Entry
from rigleaf.catalogue.models.flight import FlightRule
from rigleaf.catalogue.models.guide import Guide, Place, Target
from rigleaf.catalogue.models.kinds import KINDS
from rigleaf.catalogue.models.lending import DeskBook
from rigleaf.catalogue.models.part import Part
from rigleaf.catalogue.models.rig import Rig, Use
from rigleaf.catalogue.schema import example_of
from rigleaf.catalogue.validation import entry_in
from rigleaf.chapters.methods import methods
from rigleaf.chapters.register import chapters
from rigleaf.site.addresses import Addresses, method_address
from rigleaf.site.cautions import cautions
from rigleaf.site.facts import label
from rigleaf.site.inventory import INVENTORY, components
from rigleaf.site.prose import first_sentence
from rigleaf.site.record import Heading, PageRecord, SearchEntry
from rigleaf.site.templating import Writer


def reference_pages(catalogue: Catalogue, addresses: Addresses) -> Iterator[PageRecord]:
    """Yield the pages that explain the guide."""
    yield from _method_pages(catalogue, addresses)
    yield _safety(catalogue, addresses)
    yield _about(catalogue, addresses)
    yield _fields(catalogue, addresses)


def _writer(catalogue: Catalogue, address: str, addresses: Addresses) -> Writer:
    return Writer(address, addresses, catalogue.guide.units)


def _method_pages(catalogue: Catalogue, addresses: Addresses) -> Iterator[PageRecord]:
    by_chapter = [
        (chapter, [method for method in methods().values() if method.chapter == chapter.id]) for chapter in chapters()
    ]
    writer = _writer(catalogue, "method/index", addresses)
    html = writer.render("methods.html", chapters=by_chapter, choices=_choices(catalogue, writer))
    words = ", ".join(method.name for method in methods().values())
    contents = (
        *(Heading(chapter.title, chapter.id) for chapter, _ in by_chapter),
        Heading("What is assumed", "assumed"),
    )
    yield PageRecord(
        "method/index",
        "Method",
        html,
        "How every figure is computed and every finding judged.",
        SearchEntry(words),
        contents=contents,
    )
    for chapter, entries in by_chapter:
        writer = _writer(catalogue, method_address(chapter.id), addresses)
        html = writer.render("method.html", chapter=chapter, entries=entries)
        # What every method begins with: whole texts and sources would outgrow all the rest of the index.
        gists = [f"{entry.name}: {first_sentence(entry.words)}" for entry in entries]
        text = " ".join(gists)
        yield PageRecord(
            writer.address,
            f"Method: {chapter.title}",
            html,
            f"Formulas, sources and outside checks for {chapter.title.lower()}.",
            SearchEntry(text, boost=0.5),
            "method/index",
            tuple(Heading(entry.name, entry.id) for entry in entries),
        )


@dataclass(frozen=True, slots=True)
class ChoiceRow:
    """One assumption as the method page shows it."""

    label: str
    value: Markup
    why: str


def _choices(catalogue: Catalogue, writer: Writer) -> list[ChoiceRow]:
    rows = []
    for name, (_, why) in ASSUMED.items():
        reading = choice(catalogue.guide, name)
        chosen = reading.basis != "assumed"
        value = writer.quantity(reading.value, reading.dimension, reading.uncertainty)
        rows.append(ChoiceRow(label(name), value, "chosen in guide.yml" if chosen else why))
    return rows


def _safety(catalogue: Catalogue, addresses: Addresses) -> PageRecord:
    html = _writer(catalogue, "safety/index", addresses).render("safety.html", cautions=cautions())
    told = [caution for caution in cautions() if caution.text]
    text = " ".join(f"{caution.title}. {caution.short} {first_sentence(caution.text)}" for caution in told)
    contents = tuple(Heading(caution.title, caution.id) for caution in told)
    return PageRecord("safety/index", "Safety", html, "The usual cautions.", SearchEntry(text), contents=contents)


def _about(catalogue: Catalogue, addresses: Addresses) -> PageRecord:
    html = _writer(catalogue, "about/index", addresses).render(
        "about.html",
        guide=catalogue.guide,
        rigs=len(catalogue.rigs),
        parts=len(catalogue.parts),
        places=len(catalogue.places),
        targets=len(catalogue.targets),
        version=rigleaf.__version__,
        components=components(),
        inventory=INVENTORY,
    )
    text = "How to read the guide: sound, tight, fails, unsaid; stated, measured, assumed, computed; units."
    contents = (
        Heading("The four words of a finding", "findings"), Heading("Who says so", "basis"), Heading("Units", "units"),
        Heading("Made from", "made-from"), Heading("Made by others", "by-others"),
    )  # fmt: skip
    return PageRecord("about/index", "About", html, "How to read this guide.", SearchEntry(text), contents=contents)


@dataclass(frozen=True, slots=True)
class FieldRow:
    """One field as the reference shows it."""

    key: str
    words: str
    example: str
    needed: bool


@dataclass(frozen=True, slots=True)
class FieldTable:
    """The fields of one entry."""

    title: str
    word: str
    anchor: str
    fields: list[FieldRow]


@dataclass(frozen=True, slots=True)
class FieldGroup:
    """Tables under one heading."""

    title: str
    anchor: str
    words: str
    tables: list[FieldTable]
    fold: bool = False


def _fields(catalogue: Catalogue, addresses: Addresses) -> PageRecord:
    groups = [
        FieldGroup("A rig", "rig", "One rig a file, beside guide.yml.", [_table("A rig", Rig, "rig")]),
        FieldGroup("The guide", "guide", "In guide.yml.", [_table("The guide", Guide, "guide")]),
        FieldGroup("A place", "place", "A list in places.yml.", [_table("A place", Place, "place")]),
        FieldGroup("A target", "target", "A list in targets.yml.", [_table("A target", Target, "target")]),
        FieldGroup("A carrier", "carrier", "A list in carriers.yml.", [_table("A carrier", Carrier, "carrier")]),
        FieldGroup(
            "A flight rule", "rule", "A list in rules.yml: rules that the guide adds, or has in place of ours.",
            [_table("A flight rule", FlightRule, "rule")],
        ),
        FieldGroup(
            "The book of loans", "desk", "Three lists in each file of the folder desk/.",
            [_table("The book of loans", DeskBook, "desk")],
        ),
        FieldGroup(
            "Every part", "part", "Lists in parts/, in as many files as you like. Whatever its kind, a part may state:",
            [_table("Every part", Part, "part")],
        ),
        FieldGroup(
            "Kinds of parts", "kinds", "And by kind:",
            [_table(kind.many, kind.model, f"kind-{kind.word}", kind.word,
            leave_out=Part) for kind in KINDS.values()], fold=True,
        ),
    ]  # fmt: skip
    html = _writer(catalogue, "reference/index", addresses).render("fields.html", groups=groups)
    text = "Fields of the YAML: " + ", ".join(kind.many for kind in KINDS.values())
    return PageRecord(
        "reference/index",
        "YAML fields",
        html,
        "Every field of every file.",
        SearchEntry(text),
        contents=tuple(Heading(group.title, group.anchor) for group in groups),
    )


USE_EXAMPLE = "small-refractor, or { part: power-lead, count: 3, note: Long ones. }"
"""How a rig names a part: by its id, or with how many of it and what is special about it."""


def _table(
    title: str, model: type[Entry], anchor: str, word: str = "", leave_out: type[Entry] | None = None
) -> FieldTable:
    known: Any = leave_out.model_fields if leave_out else {}
    own = [key for key, field in model.model_fields.items() if key not in known or known[key] != field]
    rows = [row for key in own for row in _rows(model, key, "")]
    return FieldTable(title, word, anchor, [row for row in rows if row.key != "kind" or not word])


def _rows(model: type[Entry], key: str, prefix: str) -> Iterator[FieldRow]:
    field = model.model_fields[key]
    inner = entry_in(field.annotation)
    many = "[]" if inner is not None and "tuple" in str(field.annotation) else ""
    name = f"{prefix}{field.alias or key}{many}"
    example = USE_EXAMPLE if inner is Use else example_of(model, key)
    yield FieldRow(name, field.description or "", example, field.is_required() and not prefix)
    if inner is not None and inner is not Use:
        for inner_key in inner.model_fields:
            yield from _rows(inner, inner_key, f"{name}.")
