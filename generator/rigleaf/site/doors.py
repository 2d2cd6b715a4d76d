"""The ways on from a rig's page: what people do with a rig once they have read about it."""

from collections.abc import Iterator
from typing import NamedTuple

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.catalogue.models.rig import Rig
from rigleaf.desk.bundle import write_bundle
from rigleaf.site.addresses import AWAY_ADDRESS
from rigleaf.site.templating import Writer

BUNDLES = "assets/bundles"


class Door(NamedTuple):
    """A way on from a rig's page: to a sheet, to a file or to another page about the same rig.

    ``href`` is as seen from the rig's page; ``note`` says in a few words what is there. ``download`` names the file
    that a browser should keep instead of showing it.
    """

    href: str
    label: str
    note: str
    download: str = ""


def doors_of(rig: Rig, writer: Writer) -> tuple[Door, ...]:
    """Return what can be done with a rig, in the order in which people do it."""
    bundle = bundle_path(rig.id)
    name = bundle.rpartition("/")[2]
    return (
        Door(
            writer.link(AWAY_ADDRESS, rig.id),
            "Keep it for the field",
            "where there is no signal: what this device has of it",
        ),
        Door(writer.file(bundle), "Take it into your guide", "the rig with all its parts as one YAML file", name),
    )


def bundle_path(rig: str) -> str:
    """Return where in the site the bundle of a rig stands."""
    return f"{BUNDLES}/{rig}.bundle.yml"


def bundle_files(catalogue: Catalogue) -> Iterator[tuple[str, bytes]]:
    """Yield the path in the site and the content of every rig's bundle."""
    for rig in catalogue.rigs:
        yield bundle_path(rig), write_bundle(catalogue, rig).encode("utf-8")
