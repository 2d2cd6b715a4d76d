"""The page about using the guide without signal, and what goes along with a rig that is kept for the field."""

from collections.abc import Iterator

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.catalogue.models.rig import Rig
from rigleaf.site.addresses import AWAY_ADDRESS, Addresses, place_address, rig_address, trip_address
from rigleaf.site.record import Heading, PageRecord, SearchEntry
from rigleaf.site.target_pages import target_address
from rigleaf.site.templating import Writer
from rigleaf.words import tr


def away_page(catalogue: Catalogue, addresses: Addresses) -> PageRecord:
    """Return the page. What a device keeps, its script fills in; without script it says how things are."""
    writer = Writer(AWAY_ADDRESS, addresses, catalogue.guide.units)
    rigs = [(rig, rig_address(rig.id), addresses.document(rig_address(rig.id))) for rig in catalogue.rigs.values()]
    return PageRecord(
        AWAY_ADDRESS,
        tr("Without signal"),
        writer.render("away.html", guide=catalogue.guide, rigs=rigs),
        tr("How to have the guide where there is no network, and what this device keeps of it."),
        SearchEntry(
            tr(
                "Use the guide offline, without signal or network, in the field: what is stored on this device, "
                "keeping a rig, removing what is stored, USB stick."
            )
        ),
        section="about/index",
        contents=(Heading(tr("How it works"), "how"), Heading(tr("From a folder or a USB stick"), "folder")),
    )


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
