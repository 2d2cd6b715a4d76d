"""The dates that MkDocs writes into a site: of the guide's own data, never of the clock."""

import datetime as dt
import gzip
import os
import re
from pathlib import Path

from mkdocs.structure.files import Files

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.lending.today import told_by

_UNDATED = dt.date(1980, 1, 1)
"""Of a guide in which nothing has a date; the earliest that every archive can hold. It is never shown."""


def day_instead(catalogue: Catalogue) -> dt.date | None:
    """Return the day to write in the place of today's; None where SOURCE_DATE_EPOCH tells it to MkDocs itself."""
    if "SOURCE_DATE_EPOCH" in os.environ:
        return None
    return told_by(catalogue) or _UNDATED


def date_pages(files: Files, day: dt.date | None) -> None:
    """Give every page its day, once all pages are there."""
    if day is not None:
        for file in files:
            if file.page is not None:
                file.page.update_date = day.isoformat()


def moment(day: dt.date) -> dt.datetime:
    """Return the moment that stands for a day where a theme wants one."""
    return dt.datetime.combine(day, dt.time(), dt.UTC)


def date_archive(site: Path, day: dt.date | None) -> None:
    """Date the packed map of the site: MkDocs does by its own pages, and may have none."""
    archive = site / "sitemap.xml.gz"
    if archive.is_file():
        seconds = moment(day).timestamp() if day else float(os.environ["SOURCE_DATE_EPOCH"])
        archive.write_bytes(gzip.compress((site / "sitemap.xml").read_bytes(), mtime=seconds))


def without_false_dates(sitemap: str) -> str:
    """Return a map of the site without the day that stands for none."""
    return re.sub(rf"\s*<lastmod>{_UNDATED}</lastmod>", "", sitemap)
