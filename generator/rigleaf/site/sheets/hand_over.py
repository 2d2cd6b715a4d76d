"""The sheet on which a rig is handed out and taken back: every part with two boxes to tick, on two sides of paper."""

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.catalogue.models.cameras import Camera
from rigleaf.catalogue.models.carrying import Liquid
from rigleaf.catalogue.models.power import Battery, Computer
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.figures import Table
from rigleaf.chapters.setting_up.leave_home import CELLS, Item, names
from rigleaf.chapters.study import RigStudy
from rigleaf.sentences import named, said
from rigleaf.site.record import PageRecord, SearchEntry
from rigleaf.site.sheets.kit_list import Group, Line, groups_of
from rigleaf.site.sheets.last_seen import LastSeen
from rigleaf.site.typeset.addresses import Addresses, hand_over_address, lids_address, rig_labels_address
from rigleaf.site.typeset.cautions import cautions_for
from rigleaf.site.typeset.templating import Writer, english
from rigleaf.words import tr

MOST_WORDS = 110
"""Characters of a part's quirks on the sheet: two lines beside the boxes. The part's page has all of them."""

NOTHING: Mapping[str, str] = MappingProxyType({})
UNSEEN = LastSeen()


@dataclass(frozen=True, slots=True)
class Row:
    """One line of the sheet.

    Attributes:
        line: what is handed over.
        mass: of all its pieces in kg; None where it is unsaid.
        quirks: what the next person should know, cut short.
        condition: in which condition it came back last, or "" where nobody wrote that down.
    """

    line: Line
    mass: float | None
    quirks: str
    condition: str

    @property
    def called(self) -> str:
        """Its name with its number, as the list of what is missing calls it."""
        return self.line.name if self.line.count == 1 else f"{self.line.count} × {self.line.name}"


@dataclass(frozen=True, slots=True)
class RowGroup:
    """The lines of what travels together.

    Attributes:
        heading: what it is called; "" where the first line is the bag that holds the others.
        rows: the lines.
        mass: of all of them in kg, a lower bound where ``complete`` is false.
        complete: whether every mass is known.
    """

    heading: str
    rows: tuple[Row, ...]
    mass: float
    complete: bool


def row_groups(assembly: Assembly, conditions: Mapping[str, str] = NOTHING) -> tuple[RowGroup, ...]:
    """Return every part of a rig in the order in which it is packed.

    Args:
        assembly: the rig with its parts.
        conditions: by the part's id, in which condition it came back from its last loan.
    """
    told: set[str] = set()
    return tuple(_group(group, conditions, told) for group in groups_of(assembly))


def _group(group: Group, conditions: Mapping[str, str], told: set[str]) -> RowGroup:
    rows = tuple(_row(line, conditions, told) for line in group.lines)
    masses = [row.mass for row in rows if row.mass is not None]
    return RowGroup("" if group.bag else group.heading, rows, sum(masses), len(masses) == len(rows))


def _row(line: Line, conditions: Mapping[str, str], told: set[str]) -> Row:
    part = line.part
    known = part.id in told  # three crates of a sort have one quirk
    told.add(part.id)
    quirks = shortened(" ".join([*line.notes, *((part.notes,) if part.notes and not known else ())]))
    mass = part.mass.value * line.count if part.mass is not None else None
    return Row(line, mass, quirks, conditions.get(part.id, ""))


def shortened(text: str, most: int = MOST_WORDS) -> str:
    """Return the first sentences of a text that fit; of a first sentence that does not, as much as ends in a word."""
    words = " ".join(text.split())
    if len(words) <= most:
        return words
    ends = [found.start() for found in re.finditer(r"(?<=[.!?]) (?=[^a-z])", words) if found.start() <= most]
    if ends:
        return words[: ends[-1]]
    clauses = [found.start() for found in re.finditer(r"[;:,]? ", words[: most - 1])]
    return words[: clauses[-1] if clauses else most - 2].rstrip(" ,;:") + " …"


def in_short(text: str, most: int | None) -> str:
    """Return as much of a chapter's sentence as fits, in the language spoken, or in English where it is not known."""
    words = said(text)
    if most is None:
        return english(text)
    return english(shortened(text, most)) if words is None else shortened(words, most)


def before_handing(assembly: Assembly) -> list[Item]:
    """Return what is seen to at the club before a rig is handed out: charged, emptied, closed."""
    return [*_batteries(assembly), *_emptied(assembly)]


def _batteries(assembly: Assembly) -> Iterator[Item]:
    batteries = list(assembly.parts(Battery))
    charged = [part for part in batteries if part.chemistry not in CELLS]
    cells = [part for part in batteries if part.chemistry in CELLS]
    loose = [part for part in batteries if part.installed is False]
    hurt = [part for part in batteries if part.damaged]
    if charged:
        yield Item(tr("Charged"), f"{names(charged)}.")
    if cells:
        yield Item(tr("Fresh cells"), tr("{names}; taken out again when it comes back.", names=names(cells)))
    if loose:
        yield Item(tr("Terminals covered"), f"{names(loose)}.")
    if hurt:
        yield Item(tr("Stays here"), tr("{names}: damaged, so nobody takes it along.", names=names(hurt)))


def _emptied(assembly: Assembly) -> Iterator[Item]:
    stores = [part for part in assembly.parts(Camera) if part.storage is not None]
    computers = [part for part in assembly.parts(Computer) if part.form != "tablet"]
    if computers or stores:
        yield Item(tr("Emptied of the last one's frames"), f"{names([*computers, *stores])}.")
    elif any(assembly.parts(Camera)):
        yield Item(tr("Emptied of the last one's frames"), tr("The camera's card."))
    liquids = list(assembly.parts(Liquid))
    if liquids:
        flies = {"hand luggage", "hold luggage"} & set(assembly.rig.travels)
        doing = tr("Closed, and upright in a bag of their own")
        yield Item(
            tr("Liquids and cans"), f"{names(liquids)}. {doing}{'; taken out before a flight' if flies else ''}."
        )


def hand_over_page(catalogue: Catalogue, study: RigStudy, addresses: Addresses, seen: LastSeen = UNSEEN) -> PageRecord:
    """Return the page that prints as a sheet for handing a rig out and taking it back.

    Args:
        catalogue: the guide.
        study: the rig, studied.
        addresses: how addresses become paths.
        seen: how it and its parts were when they were last seen.
    """
    rig, assembly = study.rig, study.assembly
    writer = Writer(hand_over_address(rig.id), addresses, catalogue.guide.units)
    groups = row_groups(assembly, seen.parts)
    rows = [row for group in groups for row in group.rows]
    title = tr("Hand-over")
    html = writer.render(
        "hand_over.html",
        title=title,
        rig=rig,
        guide=catalogue.guide,
        groups=groups,
        sorts=len(rows),
        pieces=sum(row.line.count for row in rows),
        before=before_handing(assembly),
        steps=checklist(study, "up"),
        totality=checklist(study, "totality"),
        after=checklist(study, "after"),
        cautions=cautions_for(assembly),
        seen=seen.whole,
        labels=(rig_labels_address(rig.id), lids_address(rig.id)),
    )
    description = tr("{name}: a sheet to hand it out and take it back by, with every part to tick.", name=rig.name)
    return PageRecord(
        address=writer.address,
        title=f"{title}: {rig.name}",
        article=html,
        description=description,
        section="rigs/index",
        search=SearchEntry(tr("Loan sheet: handed out, taken back, parts to tick.")),
        sought=False,  # the rig's page leads to it
    )


def checklist(study: RigStudy, wanted: str, most: int | None = None) -> list[tuple[str, str]]:
    """Return what and how of a checklist of the chapter on setting up, in so many characters where they are told."""
    tables: Iterable[Table] = (
        table for chapter, found in study.studies if chapter.id == "setting-up" for table in found.tables
    )
    rows = [row for table in tables if table.id == wanted for row in table.rows]
    return [(named(row[0].text), in_short(row[1].text, most)) for row in rows]
