"""Labels to stick on batteries: one for each that goes on a journey."""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.catalogue.models.power import Battery
from rigleaf.chapters.formatting import as_written
from rigleaf.journeys.result import BatteryState, BatteryStudy, TripStudy
from rigleaf.quantities import Reading
from rigleaf.site.record import PageRecord, SearchEntry
from rigleaf.site.sheets.label_sheets import label_sheets
from rigleaf.site.trips.words import ADVICE, cautions_of, chemistry, energy
from rigleaf.site.typeset.addresses import TRIPS_ADDRESS, Addresses, labels_address, trip_address
from rigleaf.site.typeset.templating import Writer
from rigleaf.words import tr

STATES: dict[BatteryState, str] = {
    "installed": "installed, switched off",
    "loose": "terminals covered",
    "power bank": "terminals covered, switched off",
}
"""What a label says of the state in which a battery travels."""


@dataclass(frozen=True, slots=True)
class Label:
    """What stands on one label; an empty text is left blank to be filled in by hand."""

    name: str
    energy: str
    volts: str
    charge: str
    chemistry: str
    state: str
    asset: str
    piece: str


def labelled(study: TripStudy) -> tuple[BatteryStudy, ...]:
    """Return the batteries that go along."""
    return tuple(battery for battery in study.batteries if battery.spot is not None)


def labels_of(catalogue: Catalogue, study: TripStudy) -> Iterator[Label]:
    """Yield a label for each battery; several alike are counted, as one asset tag may stand for all."""
    along = labelled(study)
    alike = Counter[str]()
    for battery in along:
        alike[battery.part] += battery.count
    done = Counter[str]()
    for battery in along:
        part = catalogue.parts[battery.part]
        stated = part if isinstance(part, Battery) else None  # a bag with a battery built in states its energy only
        for _ in range(battery.count):
            done[battery.part] += 1
            yield Label(
                name=battery.name,
                energy=energy(battery) if battery.energy is not None else "",
                volts=_written(stated.nominal_voltage) if stated else "",
                charge=_written(stated.charge) if stated else "",
                chemistry="" if battery.chemistry == "unsaid" else chemistry(battery),
                state=STATES[battery.state],
                asset=part.asset or "",
                piece=tr("{value} of {value2}", value=done[battery.part], value2=alike[battery.part])
                if alike[battery.part] > 1
                else "",
            )


def _written(reading: Reading | None) -> str:
    return as_written(reading, error=False).first if reading is not None else ""


def label_page(catalogue: Catalogue, study: TripStudy, addresses: Addresses) -> PageRecord:
    """Return the page that prints as sheets of labels."""
    writer = Writer(labels_address(study.id), addresses, catalogue.guide.units)
    sheet = label_sheets()[catalogue.guide.label_sheet]
    labels = [*labels_of(catalogue, study)]
    title = tr("Labels for batteries")
    html = writer.render(
        "battery_labels.html",
        title=title,
        study=study,
        sheet=sheet,
        pages=sheet.laid_out(labels),
        owner=catalogue.guide.name,
        trip=trip_address(study.id),
        cautions=cautions_of(labelled(study)),
        advice=ADVICE,
    )
    return PageRecord(
        address=writer.address,
        title=f"{title}: {study.name}",
        article=html,
        description=tr("{name}: labels to stick on batteries, with watt-hours, volts and chemistry.", name=study.name),
        section=TRIPS_ADDRESS,
        search=SearchEntry(
            tr("{name}. Labels to print and stick on batteries: watt-hours, volts, chemistry.", name=study.name)
        ),
    )
