"""Pages of the places: all of them, and each with its nights through the year."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from markupsafe import Markup

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.catalogue.defaults import year_of
from rigleaf.catalogue.models.guide import Place
from rigleaf.catalogue.models.place_fields import MONTHS, ByMonth
from rigleaf.chapters.figures import Drawing
from rigleaf.chapters.formatting import decimal
from rigleaf.chapters.under_the_sky.gaps import gap_in_words
from rigleaf.chapters.under_the_sky.place_sky import clock_in_words, nights_of, time_in_words
from rigleaf.chapters.under_the_sky.year_plate import year_plate
from rigleaf.quantities import Reading
from rigleaf.site.record import Heading, PageRecord, SearchEntry
from rigleaf.site.typeset.addresses import Addresses, place_address, trip_address
from rigleaf.site.typeset.cautions import cautions
from rigleaf.site.typeset.prose import first_sentence, plain
from rigleaf.site.typeset.templating import Writer, unsaid
from rigleaf.sky.night import Nights
from rigleaf.sky.seasons import night_of
from rigleaf.words import LANGUAGES, in_digits, speaking, tr

CAUTION = "cold"
"""What is said to everybody who works outside at night, whatever the rig."""


@dataclass(frozen=True, slots=True)
class PlaceRow:
    """One place in the table of all."""

    place: Place
    address: str
    coordinates: str
    sky: Markup
    seeing: Markup
    dark: Markup
    moonless: Markup
    rigs: int


@dataclass(frozen=True, slots=True)
class MonthRow:
    """One month at a place; ``more`` holds temperature and humidity as far as the place states any."""

    month: str
    dark: Markup
    moonless: Markup
    more: tuple[Markup, ...]


@dataclass(frozen=True, slots=True)
class DayRow:
    """Dusk, dawn and daylight on the 15th of a month, by the clocks of the place."""

    date: str
    times: tuple[str, ...]
    daylight: Markup


def place_pages(catalogue: Catalogue, addresses: Addresses) -> Iterator[PageRecord]:
    """Yield the table of all places, and every place."""
    yield _index(catalogue, addresses)
    for place in catalogue.places.values():
        yield _place(catalogue, place, addresses)


def coordinates(place: Place) -> str:
    """Return latitude and longitude in words, "" where either is unsaid."""
    if place.latitude is None or place.longitude is None:
        return ""
    east = (place.longitude.value + 180) % 360 - 180
    return f"{_half(place.latitude.value, 'N', 'S')}, {_half(east, 'E', 'W')}"


def _half(angle: float, positive: str, negative: str) -> str:
    degrees = in_digits(decimal(abs(angle), 3).rstrip("0").rstrip("."))
    return f"{degrees}°\u00a0{negative if angle < 0 else positive}"


def _index(catalogue: Catalogue, addresses: Addresses) -> PageRecord:
    writer = Writer("places/index", addresses, catalogue.guide.units)
    rows = [_row(catalogue, place, writer) for place in catalogue.places.values()]
    html = writer.render("places.html", rows=rows, year=year_of(catalogue.guide))
    names = ", ".join(place.name for place in catalogue.places.values())
    words = tr("Where the rigs are used, with coordinates, skies and dark hours.")
    return PageRecord(
        "places/index",
        tr("Places"),
        html,
        words,
        SearchEntry(tr("All places: {names}", names=names) if names else words),
    )


def _row(catalogue: Catalogue, place: Place, writer: Writer) -> PlaceRow:
    found = nights_of(catalogue, place)
    return PlaceRow(
        place,
        place_address(place.id),
        coordinates(place),
        _written(place.sky_brightness, writer),
        _written(place.seeing, writer),
        _hours(found.dark.sum(), writer) if found else unsaid(),
        _hours(found.moonless.sum(), writer) if found else unsaid(),
        len(_rigs(catalogue, place)),
    )


def _rigs(catalogue: Catalogue, place: Place) -> list[tuple[str, str]]:
    """Return id and name of the rigs at home there."""
    return [(rig.id, rig.name) for rig in catalogue.rigs.values() if catalogue.place_of(rig) is place]


def _written(reading: Reading | None, writer: Writer) -> Markup:
    return writer.written(reading) if reading is not None else unsaid()


def _hours(hours: float | np.float64, writer: Writer) -> Markup:
    return writer.quantity(float(hours), "hours")


def _place(catalogue: Catalogue, place: Place, addresses: Addresses) -> PageRecord:
    writer = Writer(place_address(place.id), addresses, catalogue.guide.units)
    found = nights_of(catalogue, place)
    rigs = _rigs(catalogue, place)
    journeys = [(trip_address(trip.id), trip.name) for trip in catalogue.trips.values() if trip.place == place.id]
    html = writer.render(
        "place.html",
        place=place,
        facts=_facts(place, writer),
        year=year_of(catalogue.guide),
        gap=gap_in_words(found) if found else "",
        plate=_plate(place, found) if found else None,
        months=_months(place, found, writer) if found else [],
        more=_more(place),
        sums=_sums(found, writer) if found else (),
        days=_days(found, writer) if found else [],
        clock=clock_in_words(place),
        skyline=[
            (writer.written(point.azimuth), writer.written(point.altitude))
            for point in sorted(place.horizon, key=lambda point: point.azimuth.value)
        ],
        rigs=rigs,
        journeys=journeys,
        caution=next(caution for caution in cautions() if caution.id == CAUTION),
    )
    words = [coordinates(place), place.timezone or "", place.notes or "", ", ".join(name for _, name in rigs)]
    source = catalogue.sources.get(("place", place.id))
    contents = [(tr("The nights of the year"), "nights"), (tr("Twilight by the clock"), "twilight")] if found else []
    contents += [(tr("Skyline"), "skyline")] if place.horizon else []
    contents += [(tr("Notes"), "notes")] if place.notes else []
    contents += [(tr("Rigs at home here"), "rigs")]
    contents += [(tr("Journeys that lead here"), "journeys")] if journeys else []
    return PageRecord(
        address=writer.address,
        title=place.name,
        article=html,
        description=first_sentence(place.notes or tr("{name}: a place where the rigs are used.", name=place.name)),
        section="places/index",
        contents=tuple(Heading(title, anchor) for title, anchor in contents),
        search=SearchEntry(plain(". ".join(word.rstrip(". ") for word in words if word)), tags=("place",), boost=1.5),
        source=f"{source.file}:{source.line}" if source else "",
    )


def _plate(place: Place, found: Nights) -> Drawing:
    with speaking(LANGUAGES[0]):  # as chapters draw theirs; the page says its words in its own language
        return year_plate(place.id, place.name, found)


def _facts(place: Place, writer: Writer) -> list[tuple[str, Markup | str]]:
    """Return what is known of a place, at the head of its page."""
    return [
        (tr("Coordinates"), coordinates(place) or unsaid()),
        (tr("Height above the sea"), _written(place.elevation, writer)),
        (tr("Sky brightness"), _written(place.sky_brightness, writer)),
        (tr("Seeing"), _written(place.seeing, writer)),
        (tr("Time zone"), place.timezone or unsaid()),
    ]


def _months(place: Place, found: Nights, writer: Writer) -> list[MonthRow]:
    dark, moonless = found.by_month(found.dark), found.by_month(found.moonless)
    return [
        MonthRow(
            tr(name),
            _hours(dark[month], writer),
            _hours(moonless[month], writer),
            tuple(_written(values[month], writer) for _, values in _stated(place)),
        )
        for month, name in enumerate(MONTHS)
    ]


def _stated(place: Place) -> list[tuple[str, ByMonth]]:
    """Return what a place states month by month."""
    both = ((tr("Coldest of the night"), place.night_temperature), (tr("Humidity at night"), place.night_humidity))
    return [(label, values) for label, values in both if values is not None]


def _more(place: Place) -> list[str]:
    return [label for label, _ in _stated(place)]


def _sums(found: Nights, writer: Writer) -> tuple[Markup, Markup]:
    return _hours(found.dark.sum(), writer), _hours(found.moonless.sum(), writer)


def _days(found: Nights, writer: Writer) -> list[DayRow]:
    """Return the 15th of each month: sunset, end of each twilight, and back to sunrise."""
    rows = []
    for month, name in enumerate(MONTHS):
        night = night_of(found, month)
        instants = [*found.dusk[night].tolist(), *found.dawn[night][::-1].tolist()]
        times = tuple(time_in_words(found, when) if np.isfinite(when) else "–" for when in instants)
        daylight = float(found.day_parts(found.dates[night])[0])
        rows.append(DayRow(f"15\u00a0{name[:3]}", times, _hours(daylight, writer)))
    return rows
