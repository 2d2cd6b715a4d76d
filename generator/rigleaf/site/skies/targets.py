"""Pages of targets: all of them, and each with the rigs that frame it best."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from markupsafe import Markup

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.catalogue.models.rig import Rig
from rigleaf.catalogue.targets import resolve
from rigleaf.chapters.figures import Drawing
from rigleaf.chapters.formatting import show
from rigleaf.chapters.in_the_frame import fleet, words
from rigleaf.chapters.in_the_frame.framing import Wishes, wishes_of
from rigleaf.chapters.in_the_frame.framing_plate import framing_plate
from rigleaf.chapters.study import RigStudy
from rigleaf.site.record import Heading, PageRecord, SearchEntry
from rigleaf.site.rigs.facts import in_one_frame
from rigleaf.site.skies.mosaics import has_file, mosaic_path
from rigleaf.site.typeset.addresses import Addresses
from rigleaf.site.typeset.prose import first_sentence, plain
from rigleaf.site.typeset.target_words import MONTHS, magnitude, months_in, reason, season_words, size_class, verdict_of
from rigleaf.site.typeset.templating import Writer
from rigleaf.sky.constellations import constellations
from rigleaf.sky.targets import SkyTarget
from rigleaf.words import tr

BEST = 2
"""Rigs that the index names for each target."""


@dataclass(frozen=True)
class RankedRow:
    """One rig in the table of a target's page."""

    rig: Rig
    verdict: str
    reason: str
    angle: str
    panels: str
    pixels: Markup
    elements: Markup
    file: str
    chosen: bool


@dataclass(frozen=True)
class TargetEntry:
    """A target as the index shows it."""

    target: SkyTarget
    size: str
    size_class: str
    magnitude: str
    glow: Markup | None
    constellation: str
    best: tuple[Rig, ...]
    good: tuple[str, ...]
    season: str


def target_address(id_: str) -> str:
    """Return the address of a target's page. No id has an underscore, so one called "index" gets one of its own."""
    return "targets/index_" if id_ == "index" else f"targets/{id_}"


def target_pages(
    catalogue: Catalogue,
    studies: Sequence[RigStudy],
    framings: Mapping[str, list[fleet.Ranked]],
    addresses: Addresses,
    seasons: Mapping[str, str] | None = None,
) -> Iterator[PageRecord]:
    """Yield the index of targets and a page for each.

    Args:
        catalogue: what was read.
        studies: the studies of all rigs, for the order in which they are named.
        framings: by a target's id, how the rigs frame it, the best first.
        addresses: how addresses become paths.
        seasons: by a target's id, when it is best seen from the home place, such as "August to November".
    """
    found = [resolve(target) for target in catalogue.targets.values()]
    placed = [target for target in found if target.place is not None]
    names = constellations(tuple(target.place for target in placed if target.place is not None))
    where = {target.id: name for target, name in zip(placed, names, strict=True)}
    rigs = {study.rig.id for study in studies}
    ranked = {target.id: [one for one in framings[target.id] if one.rig.id in rigs] for target in found}
    units, seasons = catalogue.guide.units, seasons or {}
    index = Writer("targets/index", addresses, units)
    wishes = wishes_of(catalogue.guide)
    entries = [_entry(target, ranked[target.id], where, seasons, wishes, index) for target in found]
    yield _index(catalogue, entries, index)
    for target, entry in zip(found, entries, strict=True):
        writer = Writer(target_address(target.id), addresses, units)
        yield _page(catalogue, entry, ranked[target.id], wishes, writer)


def _entry(
    target: SkyTarget,
    ranked: list[fleet.Ranked],
    where: Mapping[str, str],
    seasons: Mapping[str, str],
    wishes: Wishes,
    writer: Writer,
) -> TargetEntry:
    good = [one for one in ranked if verdict_of(one.framed, wishes) == "sound"]
    glow = target.surface_brightness
    return TargetEntry(
        target=target,
        size=words.size(target),
        size_class=size_class(target),
        magnitude=magnitude(target),
        glow=None if glow is None else writer.quantity(glow, "sky_brightness"),
        constellation=where.get(target.id, ""),
        best=tuple(one.rig for one in (good or ranked)[:BEST]),
        good=tuple(one.rig.id for one in good),
        season=seasons.get(target.id, ""),
    )


def _index(catalogue: Catalogue, entries: list[TargetEntry], writer: Writer) -> PageRecord:
    good = {id_ for entry in entries for id_ in entry.good}
    html = writer.render(
        "targets.html",
        entries=entries,
        seasonal=any(entry.season for entry in entries),
        sizes=[
            name for name in ("huge", "large", "medium", "small", "tiny") if name in {e.size_class for e in entries}
        ],
        rigs=[rig for rig in catalogue.rigs.values() if rig.id in good],
        target_address=target_address,
        months_in=months_in,
        season_words=season_words,
        months=MONTHS,
    )
    description = tr("Every target with its size and light, and the rigs that frame it best.")
    # Each target has a page and a record of its own: the list is found by what it is.
    return PageRecord(
        writer.address,
        tr("Targets"),
        html,
        description,
        SearchEntry(tr("All targets. {description}", description=description)),
    )


def _page(
    catalogue: Catalogue, entry: TargetEntry, ranked: list[fleet.Ranked], wishes: Wishes, writer: Writer
) -> PageRecord:
    target = entry.target
    stated = catalogue.targets[target.id]
    rows = [_row(catalogue, target, one, wishes, writer) for one in fleet.named(ranked, target.id)]
    drawing = _plate(catalogue, ranked[0]) if ranked else None
    html = writer.render(
        "target.html",
        target=target,
        notes=stated.notes or "",
        facts=_facts(entry),
        glow=entry.glow,
        size_known=target.outline is not None,
        drawing=drawing,
        best=ranked[0].rig if ranked else None,
        rows=rows,
        others=len(ranked) - len(rows),
        held=any(in_one_frame(one, wishes) for one in ranked),
    )
    source = catalogue.sources.get(("target", target.id))
    contents = [Heading(tr("What is known"), "what-is-known")]
    contents += [Heading(tr("Notes"), "notes")] if stated.notes else []
    contents += [Heading(tr("Which rig frames it"), "which-rig")] if rows else []
    what = ", ".join(part for part in (target.kind or target.sort, entry.constellation) if part)
    text = [f"{target.designation} {what}", stated.notes or "", season_words(entry.season)]
    text.append(tr("Framed best by ") + ", ".join(rig.name for rig in entry.best) if entry.best else "")
    first = (
        f"{target.name}: {what}."
        if what
        else tr("{name}, a target of {name2}.", name=target.name, name2=catalogue.guide.name)
    )
    return PageRecord(
        address=writer.address,
        title=target.name,
        article=html,
        description=first_sentence(stated.notes) if stated.notes else first,
        section="targets/index",
        contents=tuple(contents),
        search=SearchEntry(
            plain(". ".join(part.strip().rstrip(".") for part in text if part.strip())),
            tags=(target.sort,) if target.sort else (),
        ),
        source=f"{source.file}:{source.line}" if source else "",
    )


def _facts(entry: TargetEntry) -> list[tuple[str, str]]:
    """Return the properties of a target with their words; what is not known is said to be unsaid."""
    target = entry.target
    facts = [(tr("Designation"), target.designation)] if target.designation else []
    facts += [(tr("What it is"), tr(target.kind or target.sort or "unsaid"))]
    if target.place is not None:
        facts += [
            (tr("Constellation"), entry.constellation),
            (tr("Right ascension"), words.right_ascension(target.place[0])),
            (tr("Declination"), words.declination(target.place[1])),
        ]
    facts.append((tr("Size"), entry.size or tr("unsaid")))
    if target.position_angle is not None:
        facts.append((tr("Position angle of its longest extent"), f"{target.position_angle:.0f}°"))
    if target.place is not None:
        facts.append((tr("V magnitude"), entry.magnitude or tr("unsaid")))
    if entry.season:
        facts.append((tr("Best seen"), season_words(entry.season)))
    return facts


def _row(
    catalogue: Catalogue, target: SkyTarget, one: fleet.Ranked, wishes: Wishes, writer: Writer
) -> RankedRow:  # fmt: skip
    framed = one.framed
    units = catalogue.guide.units
    angle = "any" if framed.free and framed.stars is None else f"{framed.angle:.0f}°"
    return RankedRow(
        rig=one.rig,
        verdict=verdict_of(framed, wishes),
        reason=reason(framed, wishes, lambda value, dimension: show(value, dimension, units).first),
        angle=angle if target.place is not None else "–",
        panels=words.grid(framed),
        pixels=writer.quantity(framed.pixels, "pixels"),
        elements=writer.quantity(framed.elements, "number"),
        file=mosaic_path(target.id, one.rig.id) if has_file(one) else "",
        chosen=target.id in one.rig.targets,
    )


def _plate(catalogue: Catalogue, best: fleet.Ranked) -> Drawing:
    """Draw the best rig's frame."""
    units = catalogue.guide.units
    return framing_plate(
        best.rig.id, best.view, best.framed, lambda value, dimension: show(value, dimension, units).first
    )
