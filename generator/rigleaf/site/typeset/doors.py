"""The ways on from a rig's page: what people do with a rig once they have read about it."""

from typing import NamedTuple

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.catalogue.models.rig import Rig
from rigleaf.site.typeset.addresses import (
    AWAY_ADDRESS,
    COMPARE_ADDRESS,
    away_anchor,
    field_card_address,
    hand_over_address,
    rig_labels_address,
)
from rigleaf.site.typeset.templating import Writer
from rigleaf.words import tr

BUNDLES = "assets/bundles"
COPIES = "assets/copies"

FOLDER_ANCHOR = "folder"
"""Where the page about using the guide without signal tells of folders and USB sticks."""

MOST_COPIES = 100
"""So many rigs have copies of their pages unless the guide says more: each takes half a megabyte of the site."""


class Door(NamedTuple):
    """A way on from a rig's page: to a sheet, to a file or to another page about the same rig.

    ``href`` is as seen from the rig's page; ``note`` says in a few words what is there. ``download`` names the file
    that a browser should keep instead of showing it.
    """

    href: str
    label: str
    note: str
    download: str = ""


def doors_of(catalogue: Catalogue, rig: Rig, writer: Writer, *, field_copy: bool = True) -> tuple[Door, ...]:
    """Return what can be done with a rig, in the order in which people do it.

    Args:
        catalogue: the guide.
        rig: one of its rigs.
        writer: of the rig's page.
        field_copy: whether readers' browsers keep the guide.
    """
    if field_copy:
        away = Door(
            writer.link(AWAY_ADDRESS, away_anchor(rig.id)),
            tr("Keep it for the field"),
            tr("where there is no signal: what this device has of it"),
        )
    else:
        away = Door(
            writer.link(AWAY_ADDRESS, FOLDER_ANCHOR),
            tr("Take the guide where there is no signal"),
            tr("it opens from a folder or a USB stick too"),
        )
    copy = Door(
        writer.file(copy_path(rig.id)),
        tr("Send it to a friend"),
        tr("this page as one file for a mail: it opens on any telephone, without a network"),
        f"{rig.id}.html",
    )
    bundle = Door(
        writer.file(bundle_path(rig.id)),
        tr("Take it into your guide"),
        tr("the rig with all its parts as one YAML file"),
        bundle_path(rig.id).rpartition("/")[2],
    )
    at_the_club = (
        Door(
            f"{writer.link(COMPARE_ADDRESS)}?rigs={rig.id}",
            tr("Set it beside another rig"),
            tr("what differs, and both frames to one scale"),
        ),
        Door(
            writer.link(hand_over_address(rig.id)),
            tr("Checklist to print"),
            tr("every part to tick when the rig is handed over and comes back, on two sides of paper"),
        ),
        Door(
            writer.link(field_card_address(rig.id)),
            tr("Field card"),
            tr("what to set and how to begin, one side for the lid"),
        ),
        Door(
            writer.link(rig_labels_address(rig.id)), tr("Labels"), tr("codes for its parts and the lids of its cases")
        ),
        away,
    )
    return (*at_the_club, copy, bundle) if offers_copies(catalogue) else (*at_the_club, bundle)


def copy_path(rig: str) -> str:
    """Return where in the site the copy of a rig's page to send stands."""
    return f"{COPIES}/{rig}.html"


def offers_copies(catalogue: Catalogue) -> bool:
    """Return whether the site has a copy of each rig's page: as the guide says, or as long as they are not too many."""
    said = catalogue.guide.copies
    return len(catalogue.rigs) <= MOST_COPIES if said is None else said


def bundle_path(rig: str) -> str:
    """Return where in the site the bundle of a rig stands."""
    return f"{BUNDLES}/{rig}.bundle.yml"
