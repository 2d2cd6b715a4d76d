"""The list for customs and insurance as one page to print. It holds private values and never becomes part of a site."""

import re
from collections.abc import Iterator
from html import escape
from pathlib import Path

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.catalogue.files import find_root
from rigleaf.catalogue.models.trip import Trip
from rigleaf.catalogue.reading import read_catalogue
from rigleaf.chapters.at_the_airport.words import day
from rigleaf.chapters.formatting import show
from rigleaf.journeys.private import PrivateRow, private_list
from rigleaf.nearest import nearest

WARNING = (
    "Private. This list has serial numbers and values. It is for customs and the insurer: print it, then delete the "
    "file, and never put it on the website."
)
_FOLDER = re.compile(r"^(?:docs_dir|site_dir):\s*['\"]?([^'\"#\n]+)", re.MULTILINE)
_STYLE = """
body { font: 11pt/1.35 serif; color: #000; background: #fff; margin: 2cm auto; max-width: 24cm; padding: 0 1em; }
h1 { font-size: 16pt; margin: 0 0 .3em; }
.warning { border: 2px solid #000; padding: .5em .8em; font-weight: bold; }
table { border-collapse: collapse; width: 100%; margin: 1em 0; }
th, td { border-bottom: 1px solid #888; padding: .25em .4em; text-align: left; vertical-align: top; }
td.number, th.number { text-align: right; white-space: nowrap; }
tr { break-inside: avoid; }
thead { display: table-header-group; }
.blank { margin-top: 2.5em; }
@page { size: A4; margin: 1.5cm; }
@media print { body { margin: 0; max-width: none; } }
"""


def write_customs(directory: Path, trip: str, target: Path) -> int:
    """Write the list of one journey to a file; return how many parts it names.

    Args:
        directory: the guide's folder.
        trip: id of the journey.
        target: the file.

    Raises:
        CatalogueError: when the guide has faults.
        KeyError: when there is no such journey.
        PermissionError: when the file would lie where a site is made from or written to.
    """
    root = find_root(directory)
    for folder in _public(root):
        if target.resolve().is_relative_to(folder):
            raise PermissionError(
                f"'{target}' lies in '{folder}', from where it could get onto the website; write it elsewhere"
            )
    catalogue = read_catalogue(directory)
    if trip not in catalogue.trips:
        near = nearest(trip, sorted(catalogue.trips))
        raise KeyError(f"there is no journey '{trip}'" + (f"; did you mean '{near}'?" if near else ""))
    rows = private_list(catalogue, catalogue.trips[trip])
    target.write_text(page(catalogue, catalogue.trips[trip], rows), encoding="utf-8")
    return len(rows)


def _public(root: Path) -> Iterator[Path]:
    """Yield the folders that a site is made from or written to."""
    yield root.resolve()
    for base in dict.fromkeys((root.resolve().parent, Path.cwd())):
        for name in ("docs", "site", "overrides", "public"):
            yield base / name
        settings = base / "mkdocs.yml"
        if settings.is_file():
            for found in _FOLDER.findall(settings.read_text(encoding="utf-8", errors="replace")):
                yield (base / found.strip()).resolve()


def page(catalogue: Catalogue, trip: Trip, rows: tuple[PrivateRow, ...]) -> str:
    """Return the list as one page of HTML that needs nothing else."""
    units = catalogue.guide.units
    known = [row.mass * row.count for row in rows if row.mass is not None]
    least = "" if len(known) == len(rows) else "at least "
    legs = "".join(
        f"<li>{day(leg.date)}: {escape(leg.leaves)} – {escape(leg.arrives)}</li>" for leg in trip.legs
    )  # fmt: skip
    body = "".join(_row(row, units) for row in rows)
    return (
        f'<!doctype html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n<meta name="robots" content="noindex">\n'
        f"<title>Equipment list: {escape(trip.name)}</title>\n<style>{_STYLE}</style>\n</head>\n<body>\n"
        f'<p class="warning">{escape(WARNING)}</p>\n<h1>Equipment taken along and brought back</h1>\n'
        f"<p>{escape(catalogue.guide.name)}. {escape(trip.name)}.</p>\n<ul>{legs}</ul>\n"
        "<table>\n<thead><tr><th>Part</th><th>Tag</th><th>Serial number</th>"
        '<th class="number">Number</th><th class="number">Mass of one</th><th class="number">Value</th></tr></thead>\n'
        f"<tbody>\n{body}</tbody>\n</table>\n"
        f"<p>{sum(row.count for row in rows)} pieces, {least}{escape(show(sum(known), 'mass', units).first)} in all. "
        "Used equipment for personal or club use, not for sale, to be taken home again.</p>\n"
        '<p class="blank">Name: ______________________________ &nbsp; Date and signature: '
        "______________________________</p>\n"
        '<p class="blank">Stamp of customs: ______________________________</p>\n</body>\n</html>\n'
    )


def _row(row: PrivateRow, units: str) -> str:
    mass = "" if row.mass is None else show(row.mass, "mass", units).first
    cells = (row.name, row.asset, row.serial)
    numbers = (str(row.count), mass, row.value)
    return (
        "<tr>"
        + "".join(f"<td>{escape(cell)}</td>" for cell in cells)
        + "".join(f'<td class="number">{escape(cell)}</td>' for cell in numbers)
        + "</tr>\n"
    )
