"""The book of loans as calendars that people subscribe to: one for the club, one for each rig."""

from collections.abc import Iterator

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.lending.calendars import calendar_of
from rigleaf.site.typeset.addresses import Addresses, rig_address

FOLDER = "assets/calendars"
CLUB_CALENDAR = f"{FOLDER}/club.ics"
"""Where in the site the club's calendar stands."""


def calendar_path(rig: str) -> str:
    """Return where in the site the calendar of a rig stands; no id has an underscore."""
    return f"{FOLDER}/{'club_' if rig == 'club' else rig}.ics"


def has_calendars(catalogue: Catalogue) -> bool:
    """Whether the guide has calendars: where it keeps a book."""
    return bool(catalogue.desk)


def calendar_files(catalogue: Catalogue, addresses: Addresses) -> Iterator[tuple[str, bytes]]:
    """Yield the path in the site and the content of every calendar."""
    if not has_calendars(catalogue):
        return
    yield CLUB_CALENDAR, calendar_of(catalogue, url=addresses.public(addresses.path("index")) or "")
    for rig in catalogue.rigs:
        page = addresses.public(addresses.path(rig_address(rig)))
        yield calendar_path(rig), calendar_of(catalogue, rig, url=page or "")
