"""The page about using the guide without signal, and what goes along with a rig that is kept for the field."""

from collections.abc import Iterable, Iterator

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.catalogue.models.rig import Rig
from rigleaf.site.lent.calendars import calendar_path
from rigleaf.site.record import Heading, PageRecord, SearchEntry
from rigleaf.site.rigs.side_by_side import rig_file
from rigleaf.site.skies.mosaics import rig_of
from rigleaf.site.skies.targets import target_address
from rigleaf.site.typeset.addresses import (
    AWAY_ADDRESS,
    Addresses,
    away_anchor,
    place_address,
    rig_address,
    trip_address,
)
from rigleaf.site.typeset.doors import FOLDER_ANCHOR, bundle_path
from rigleaf.site.typeset.templating import Writer
from rigleaf.words import tr


def away_page(catalogue: Catalogue, addresses: Addresses, *, field_copy: bool = True) -> PageRecord:
    """Return the page; it tells of readers' browsers that keep the guide only where they do (``field_copy``).

    What a device keeps, its script fills in; without script it says how things are.
    """
    writer = Writer(AWAY_ADDRESS, addresses, catalogue.guide.units)
    rigs = [(rig, rig_address(rig.id), addresses.document(rig_address(rig.id))) for rig in catalogue.rigs.values()]
    said = tr("How to have the guide where there is no network")
    stored = tr(": what is stored on this device, keeping a rig, removing what is stored") if field_copy else ""
    return PageRecord(
        AWAY_ADDRESS,
        tr("Without signal"),
        writer.render("away.html", guide=catalogue.guide, rigs=rigs, field_copy=field_copy, away_anchor=away_anchor),
        tr("{said}, and what this device keeps of it.", said=said) if field_copy else f"{said}.",
        SearchEntry(
            tr("Use the guide offline, without signal or network, in the field{stored}, USB stick.", stored=stored)
        ),
        section="about/index",
        contents=(
            *((Heading(tr("How it works"), "how"),) if field_copy else ()),
            Heading(tr("From a folder or a USB stick"), FOLDER_ANCHOR),
        ),
    )


def files_of_rigs(catalogue: Catalogue, files: Iterable[str]) -> dict[str, tuple[str, ...]]:
    """Return for every rig's address which of a book's files are of use with that rig only."""
    owner = {path: rig for rig in catalogue.rigs for path in (bundle_path(rig), calendar_path(rig), rig_file(rig))}
    found: dict[str, list[str]] = {rig: [] for rig in catalogue.rigs}
    for path in files:
        rig = owner.get(path) or rig_of(path)
        if rig:
            found[rig].append(path)
    return {rig_address(rig): tuple(paths) for rig, paths in found.items()}


def goes_along(catalogue: Catalogue) -> dict[str, tuple[str, ...]]:
    """Return for every rig's address those of pages that one needs in the field, whether its page links them or not."""
    return {rig_address(rig.id): tuple(dict.fromkeys(_needed(catalogue, rig))) for rig in catalogue.rigs.values()}


def _needed(catalogue: Catalogue, rig: Rig) -> Iterator[str]:
    yield from (target_address(id_) for id_ in rig.targets)
    home = catalogue.place_of(rig)
    if home:
        yield place_address(home.id)
    for trip in catalogue.trips.values():
        if rig.id in trip.rigs:
            yield trip_address(trip.id)
            if trip.place:
                yield place_address(trip.place)
