"""Pages of the shelf: all kinds, each kind, each part."""

import posixpath
from collections.abc import Iterator
from pathlib import PurePosixPath
from typing import NamedTuple

from markupsafe import Markup

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.catalogue.models.kinds import KINDS, Kind
from rigleaf.catalogue.models.part import Part
from rigleaf.site.addresses import Addresses, kind_address, part_address
from rigleaf.site.facts import Fact, facts, label
from rigleaf.site.record import Heading, PageRecord, SearchEntry
from rigleaf.site.rig_page import first_sentence, plain
from rigleaf.site.templating import Writer

COLUMNS = 4
"""Properties in the table of a kind: those that most of its parts state."""


class Row(NamedTuple):
    """One part in the table of its kind."""

    part: Part
    values: list[Markup]
    rigs: int


def shelf_pages(catalogue: Catalogue, addresses: Addresses) -> Iterator[PageRecord]:
    """Yield the shelf, every kind that has parts, and every part."""
    by_kind = {
        kind: found for kind in KINDS.values() if (found := [part for part in catalogue.parts.values() if part.kind == kind.word])
    }
    yield _shelf(catalogue, by_kind, addresses)
    for kind, parts in by_kind.items():
        yield _kind(catalogue, kind, parts, addresses)
    for part in catalogue.parts.values():
        yield _part(catalogue, part, addresses)


def _shelf(catalogue: Catalogue, by_kind: dict[Kind, list[Part]], addresses: Addresses) -> PageRecord:
    writer = Writer("shelf/index", addresses, catalogue.guide.units)
    html = writer.render("shelf.html", kinds=[(kind, len(parts)) for kind, parts in by_kind.items()])
    text = "Every part by kind: " + ", ".join(kind.many for kind in by_kind)
    return PageRecord("shelf/index", "Shelf", html, "Every part that the club owns, by kind.", SearchEntry(text))


def _kind(catalogue: Catalogue, kind: Kind, parts: list[Part], addresses: Addresses) -> PageRecord:
    writer = Writer(kind_address(kind.word), addresses, catalogue.guide.units)
    stated = {part.id: {fact.key: fact for _, group in facts(part, writer)[0][:1] for fact in group} for part in parts}
    keys = [key for key in kind.model.model_fields if any(key in found for found in stated.values())]
    common = sorted(keys, key=lambda key: (-sum(key in found for found in stated.values()), keys.index(key)))
    chosen = [key for key in keys if key in [*_first(common), *(["mass"] if "mass" in keys else [])]]
    rows = [
        Row(part, [_value(stated[part.id].get(key)) for key in chosen], len(catalogue.used_by.get(part.id, ()))) for part in parts
    ]
    html = writer.render("kind.html", kind=kind, columns=[label(key) for key in chosen], rows=rows)
    text = ", ".join(part.name for part in parts)
    return PageRecord(
        writer.address, kind.many, html, f"{kind.many} on the shelf of {catalogue.guide.name}.", SearchEntry(text), "shelf/index"
    )


def _first(common: list[str]) -> list[str]:
    """Leave out what says little in a table (owned is on the part's page)."""
    return [key for key in common if key not in ("owned", "packed", "mass")][:COLUMNS]


def _value(fact: Fact | None) -> Markup:
    return fact.value if fact else Markup('<span class="rl-unsaid">unsaid</span>')


def photo_path(photo: str) -> str:
    """Return where a part's photo stands in the site: below one folder, whatever steps upwards its path takes."""
    return "assets/photos" + posixpath.normpath(f"/{PurePosixPath(photo).as_posix().lstrip('/')}")


def _part(catalogue: Catalogue, part: Part, addresses: Addresses) -> PageRecord:
    writer = Writer(part_address(part.id), addresses, catalogue.guide.units)
    kind = KINDS[part.kind]
    groups, unsaid = facts(part, writer)
    rigs = [catalogue.rigs[id_] for id_ in catalogue.used_by.get(part.id, ())]
    html = writer.render(
        "part.html",
        part=part,
        kind=kind,
        groups=groups,
        unsaid=unsaid,
        rigs=rigs,
        photo=photo_path(part.photo) if part.photo else "",
    )
    source = catalogue.source("part", part.id)
    words = [part.summary or "", kind.one, part.notes or ""]
    words += [f"{fact.label} {Markup(fact.value).striptags()}" for _, group in groups for fact in group]
    words.append("Used in " + ", ".join(rig.name for rig in rigs) if rigs else "")
    contents = [Heading("What is known", "what-is-known")]
    contents += [Heading("Notes", "notes")] if part.notes else []
    return PageRecord(
        address=writer.address,
        title=part.name,
        html=html,
        description=first_sentence(part.summary or f"{part.name}: {kind.phrase} on the shelf of {catalogue.guide.name}."),
        section="shelf/index",
        contents=(*contents, Heading("Used in", "used-in")),
        search=SearchEntry(plain(". ".join(word.rstrip(". ") for word in words if word)), tags=(kind.one,)),
        source=f"{source.file}:{source.line}",
    )
