"""The page on which two to four rigs stand side by side; its script fills it with the files of the chosen ones."""

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.site.record import PageRecord, SearchEntry
from rigleaf.site.rigs.side_by_side import FOLDER, LIST_PATH
from rigleaf.site.typeset.addresses import COMPARE_ADDRESS, Addresses, rig_address
from rigleaf.site.typeset.templating import Writer
from rigleaf.words import tr

MOST = 4
"""Rigs that a page, a sheet of paper and a reader hold side by side."""

STANDS_FOR_ID = "id-of-a-rig"


def side_by_side_page(catalogue: Catalogue, addresses: Addresses, zone: str = "") -> PageRecord:
    """Return the page; it grows neither with the rigs nor with what is known of them.

    Args:
        catalogue: what was read.
        addresses: how addresses become paths.
        zone: name of the time zone by whose calendar the days of the book of loans count, where there is a book.
    """
    writer = Writer(COMPARE_ADDRESS, addresses, catalogue.guide.units)
    html = writer.render(
        "side_by_side.html",
        most=MOST,
        list_path=LIST_PATH,
        rig_files=f"{writer.file(FOLDER)}/{STANDS_FOR_ID}.js",
        rig_pages=writer.link(rig_address(STANDS_FOR_ID)),
        page_of_index=writer.link(rig_address("index")),
        stands_for_id=STANDS_FOR_ID,
        zone=zone,
    )
    return PageRecord(
        address=COMPARE_ADDRESS,
        title=tr("Rigs side by side"),
        article=html,
        description=tr("Two to four rigs side by side: figures, frames to one scale, and what is found about each."),
        section="rigs/index",
        search=SearchEntry(tr("Compare rigs: two to four side by side, what differs, frames over the same target.")),
    )
