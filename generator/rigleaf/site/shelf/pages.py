"""Pages of the shelf: all kinds, each kind, each part."""

from collections.abc import Iterator, Mapping
from typing import Any, NamedTuple

from markupsafe import Markup

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.catalogue.models.fields import Entry
from rigleaf.catalogue.models.kinds import KINDS, Kind
from rigleaf.catalogue.models.part import Part
from rigleaf.chapters.image_train.neighbours import Neighbours, neighbours
from rigleaf.lending.today import as_of
from rigleaf.quantities import Reading
from rigleaf.site.lent.of_part import PartBook, PartLending
from rigleaf.site.record import Heading, PageRecord, SearchEntry
from rigleaf.site.sheets.part_labels import pieces_on_the_shelf
from rigleaf.site.shelf.facts import NOT_FACTS, fact, facts, label
from rigleaf.site.shelf.photos import photo_path
from rigleaf.site.typeset.addresses import SHELF_LABELS_ADDRESS, Addresses, kind_address, part_address
from rigleaf.site.typeset.prose import first_sentence, plain
from rigleaf.site.typeset.templating import Writer, unsaid
from rigleaf.words import tr

COLUMNS: dict[str, tuple[str, ...]] = {
    "optic": ("form", "aperture", "focal_length", "image_circle", "rear"),
    "corrector": ("factor", "back_focus.distance", "front", "rear", "image_circle"),
    "filter": ("mount_size", "glass_thickness", "clear_aperture"),
    "camera": ("sensor.pixels", "sensor.pixel", "sensor.mosaic", "front", "cooling_depth"),
    "guide-camera": ("sensor.pixels", "sensor.pixel", "sensor.mosaic", "front"),
    "mount": ("drive", "capacity", "capacity_with_counterweight", "periodic_error"),
    "tripod": ("form", "height", "foot_radius", "capacity", "top"),
    "battery": ("chemistry", "nominal_voltage", "charge", "marked_energy"),
    "bag": ("outer", "load_limit", "goes_in"),
}
"""What people choose by, in the tables of the kinds that they choose among."""

MOST_NEIGHBOURS = 30
"""Parts that a part's page lists on each of its sides; a long shelf has hundreds with the same thread."""

OTHER_COLUMNS = 4
"""Columns in the table of any other kind: the properties that most of its parts state."""


class Side(NamedTuple):
    """What mates with one side of a part: the first of them, and how many more there are."""

    heading: str
    parts: list[Part]
    more: int


class Row(NamedTuple):
    """One part in the table of its kind."""

    part: Part
    values: list[Markup]
    rigs: int


NOT_SOUGHT: frozenset[str] = frozenset({"Packed", "Owned by the club"})
"""Facts by whose words nobody looks for a part: they would only swell the index."""


def shelf_pages(catalogue: Catalogue, addresses: Addresses) -> Iterator[PageRecord]:
    """Yield the shelf, every kind that has parts, and every part."""
    by_kind = {
        kind: found
        for kind in KINDS.values()
        if (found := [part for part in catalogue.parts.values() if part.kind == kind.word])
    }
    yield _shelf(catalogue, by_kind, addresses)
    for kind, parts in by_kind.items():
        yield _kind(catalogue, kind, parts, addresses)
    around = neighbours(catalogue.parts)
    book = PartBook(catalogue, as_of(catalogue)) if catalogue.desk else None
    names = {id_: part.name for id_, part in catalogue.parts.items()}
    for part in (part for parts in by_kind.values() for part in parts):  # the pages before and after are of one kind
        writer = Writer(part_address(part.id), addresses, catalogue.guide.units, names)
        yield _part(
            catalogue, part, _sides(catalogue.parts, part, around), book.told(part.id) if book else None, writer
        )


def _shelf(catalogue: Catalogue, by_kind: dict[Kind, list[Part]], addresses: Addresses) -> PageRecord:
    writer = Writer("shelf/index", addresses, catalogue.guide.units)
    labels = SHELF_LABELS_ADDRESS if any(map(pieces_on_the_shelf, catalogue.parts.values())) else ""
    html = writer.render("shelf.html", kinds=[(kind, len(parts)) for kind, parts in by_kind.items()], labels=labels)
    text = tr("Every part by kind: ") + ", ".join(tr(kind.many) for kind in by_kind)
    return PageRecord(
        "shelf/index", tr("Shelf"), html, tr("Every part that the club owns, by kind."), SearchEntry(text)
    )


def _kind(catalogue: Catalogue, kind: Kind, parts: list[Part], addresses: Addresses) -> PageRecord:
    writer = Writer(kind_address(kind.word), addresses, catalogue.guide.units)
    chosen = [*(COLUMNS.get(kind.word) or _most_stated(kind, parts)), "mass"]
    rows = [
        Row(part, [_value(part, path, writer) for path in chosen], len(catalogue.used_by.get(part.id, ())))
        for part in parts
    ]
    heads = [label(path.rpartition(".")[2]) if path != "back_focus.distance" else "Back focus" for path in chosen]
    html = writer.render("kind.html", kind=kind, columns=heads, rows=rows)
    text = ", ".join(part.name for part in parts)
    return PageRecord(
        writer.address,
        tr(kind.many),
        html,
        tr("{many} on the shelf of {name}.", many=tr(kind.many), name=catalogue.guide.name),
        SearchEntry(text),
        "shelf/index",
    )


def _most_stated(kind: Kind, parts: list[Part]) -> list[str]:
    """Return the properties that most of these parts state, in the order of the model."""
    keys = [key for key in kind.model.model_fields if key not in NOT_FACTS | {"owned", "packed", "mass"}]
    stated = {key: sum(_is_plain(getattr(part, key)) for part in parts) for key in keys}
    common = sorted((key for key in keys if stated[key]), key=lambda key: (-stated[key], keys.index(key)))
    return [key for key in keys if key in common[:OTHER_COLUMNS]]


def _is_plain(value: object) -> bool:
    """Whether a value fits a cell of a table."""
    nested = isinstance(value, Entry) or (isinstance(value, tuple) and bool(value) and isinstance(value[0], Entry))
    return value not in (None, ()) and not nested


def _value(part: Part, path: str, writer: Writer) -> Markup:
    """Return the value at a path such as ``sensor.pixel``, without its uncertainty."""
    value: Any = part
    for step in path.split("."):
        value = getattr(value, step, None)
    if value in (None, ()):
        return unsaid()
    if isinstance(value, Reading):
        return writer.written(value, error=False)
    return fact(path.rpartition(".")[2], value, writer).value


def _sides(parts: Mapping[str, Part], part: Part, around: Neighbours) -> list[Side]:
    """Return what mates with the sides of a part, for those sides with which anything does."""
    fitting = ((tr("Towards the sky"), around.before(part)), (tr("Towards the sensor"), around.behind(part)))
    return [
        Side(heading, [parts[id_] for id_ in ids[:MOST_NEIGHBOURS]], max(0, len(ids) - MOST_NEIGHBOURS))
        for heading, ids in fitting if ids
    ]  # fmt: skip


def _part(catalogue: Catalogue, part: Part, mating: list[Side], lent: PartLending | None, writer: Writer) -> PageRecord:
    kind = KINDS[part.kind]
    groups, missing = facts(part, writer)
    rigs = [catalogue.rigs[id_] for id_ in catalogue.used_by.get(part.id, ())]
    html = writer.render(
        "part.html",
        part=part,
        lent=lent,
        kind=kind,
        groups=groups,
        unsaid=missing,
        rigs=rigs,
        mating=mating,
        photo=photo_path(catalogue.root, part.photo) if part.photo else "",
    )
    source = catalogue.source("part", part.id)
    words = [part.summary or "", kind.one, part.notes or ""]
    told = (fact for _, group in groups for fact in group if fact.label not in NOT_SOUGHT)
    words += [f"{fact.label} {fact.value.striptags()}" for fact in told]
    words.append(tr("Used in ") + ", ".join(rig.name for rig in rigs) if rigs else "")
    contents = [Heading(tr("What is known"), "what-is-known")]
    contents += [Heading(tr("Notes"), "notes")] if part.notes else []
    contents += [Heading(tr("Threads that mate"), "mating")] if mating else []
    contents += [Heading(tr("In the book of loans"), "in-the-book")] if lent else []
    return PageRecord(
        address=writer.address,
        title=part.name,
        article=html,
        description=first_sentence(
            part.summary
            or tr(
                "{name}: {phrase} on the shelf of {name2}.",
                name=part.name,
                phrase=tr(kind.phrase),
                name2=catalogue.guide.name,
            )
        ),
        section="shelf/index",
        contents=(*contents, Heading(tr("Used in"), "used-in")),
        search=SearchEntry(
            plain(". ".join(word.rstrip(". ") for word in words if word)),
        ),
        source=f"{source.file}:{source.line}",
    )
