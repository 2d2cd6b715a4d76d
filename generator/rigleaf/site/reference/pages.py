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
from rigleaf.site.delivery.inventory import INVENTORY, components
from rigleaf.site.record import Heading, PageRecord, SearchEntry
from rigleaf.site.shelf.facts import label
from rigleaf.site.typeset.addresses import Addresses, method_address
from rigleaf.site.typeset.cautions import cautions
from rigleaf.site.typeset.prose import first_sentence
from rigleaf.site.typeset.templating import Writer, english
from rigleaf.words import tr, within


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
        Heading(tr("What is assumed"), "assumed"),
    )
    yield PageRecord(
        "method/index",
        tr("Method"),
        html,
        tr("How every figure is computed and every finding judged."),
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
            tr("Method: {title}", title=tr(chapter.title)),
            html,
            tr("Formulas, sources and outside checks for {lower}.", lower=within(tr(chapter.title))),
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
        rows.append(ChoiceRow(label(name), value, tr("chosen in guide.yml") if chosen else english(why)))
    return rows


def _safety(catalogue: Catalogue, addresses: Addresses) -> PageRecord:
    html = _writer(catalogue, "safety/index", addresses).render("safety.html", cautions=cautions())
    told = [caution for caution in cautions() if caution.text]
    text = " ".join(f"{caution.title}. {caution.short} {first_sentence(caution.text)}" for caution in told)
    contents = tuple(Heading(caution.title, caution.id) for caution in told)
    return PageRecord(
        "safety/index", tr("Safety"), html, tr("The usual cautions."), SearchEntry(text), contents=contents
    )


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
    text = tr("How to read the guide: sound, tight, fails, unsaid; stated, measured, assumed, computed; units.")
    contents = (
        Heading(tr("The four words of a finding"), "findings"), Heading(tr("Who says so"), "basis"),
        Heading(tr("Units"), "units"),
        Heading(tr("Made from"), "made-from"), Heading(tr("Made by others"), "by-others"),
    )  # fmt: skip
    return PageRecord(
        "about/index", tr("About"), html, tr("How to read this guide."), SearchEntry(text), contents=contents
    )


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
        FieldGroup(tr("A rig"), "rig", tr("One rig a file, beside guide.yml."), [_table(tr("A rig"), Rig, "rig")]),
        FieldGroup(tr("The guide"), "guide", tr("In guide.yml."), [_table(tr("The guide"), Guide, "guide")]),
        FieldGroup(tr("A place"), "place", tr("A list in places.yml."), [_table(tr("A place"), Place, "place")]),
        FieldGroup(tr("A target"), "target", tr("A list in targets.yml."), [_table(tr("A target"), Target, "target")]),
        FieldGroup(tr("A carrier"), "carrier", tr("A list in carriers.yml."),
                   [_table(tr("A carrier"), Carrier, "carrier")]),
        FieldGroup(
            tr("A flight rule"), "rule", tr("A list in rules.yml: rules that the guide adds, or has in place of ours."),
            [_table(tr("A flight rule"), FlightRule, "rule")],
        ),
        FieldGroup(
            tr("The book of loans"), "desk", tr("Three lists in each file of the folder desk/."),
            [_table(tr("The book of loans"), DeskBook, "desk")],
        ),
        FieldGroup(
            tr("Every part"), "part",
            tr("Lists in parts/, in as many files as you like. Whatever its kind, a part may state:"),
            [_table(tr("Every part"), Part, "part")],
        ),
        FieldGroup(
            tr("Kinds of parts"), "kinds", tr("And by kind:"),
            [_table(tr(kind.many), kind.model, f"kind-{kind.word}", kind.word,
            leave_out=Part) for kind in KINDS.values()], fold=True,
        ),
    ]  # fmt: skip
    html = _writer(catalogue, "reference/index", addresses).render("fields.html", groups=groups)
    text = tr("Fields of the YAML: ") + ", ".join(tr(kind.many) for kind in KINDS.values())
    return PageRecord(
        "reference/index",
        tr("YAML fields"),
        html,
        tr("Every field of every file."),
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
