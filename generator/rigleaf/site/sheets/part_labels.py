"""Labels with codes that lead to the page of a part or a rig: for a rig's parts and its cases, for the shelf."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.catalogue.models.kinds import KINDS, Kind
from rigleaf.catalogue.models.part import Part
from rigleaf.catalogue.wording import listed
from rigleaf.chapters.assembly import Assembly
from rigleaf.site.record import PageRecord, SearchEntry
from rigleaf.site.sheets.codes import PrintedCode, for_people, printed
from rigleaf.site.sheets.kit_list import Line, groups_of
from rigleaf.site.sheets.label_sheets import LabelSheet, label_sheets
from rigleaf.site.typeset.addresses import (
    SHELF_LABELS_ADDRESS,
    Addresses,
    kind_address,
    kind_labels_address,
    lids_address,
    part_address,
    rig_address,
    rig_labels_address,
)
from rigleaf.site.typeset.templating import Writer
from rigleaf.words import tr

MOST_NAMED = 4
"""Things in a case that its lid names, the first in the order of packing."""
MOST_SHEETS = 4
"""Sheets of labels on one page of the shelf: about a hundred codes, some 60 kB over the wire."""


MOST_PIECES = 100
"""Labels of one part; who owns more of it labels their box."""


@dataclass(frozen=True, slots=True)
class PartLabel:
    """What stands on the label of one piece of a part.

    Attributes:
        name: of the part.
        asset: its tag, or "".
        piece: such as "2 of 3" where there are several, or "".
        short: its address as one types it, or its id where the site has no address.
        code: the code; None where none is large enough to be read.
    """

    name: str
    asset: str
    piece: str
    short: str
    code: PrintedCode | None


@dataclass(frozen=True, slots=True)
class LidLabel:
    """What stands on the lid of one case.

    Attributes:
        rig: name of the rig.
        bag: name of the case, or "" where the rig names none.
        asset: tag of the case, or "".
        piece: such as "2 of 3" cases, or "".
        inside: what is in it, in words, or "" where nobody says so.
        short: address of the rig's page as one types it, or the rig's id.
        code: the code; None where none is large enough to be read.
    """

    rig: str
    bag: str
    asset: str
    piece: str
    inside: str
    short: str
    code: PrintedCode | None


def inside_of(lines: Sequence[Line]) -> str:
    """Return what is in a case, in pieces: "12 pieces: Tube, 2 × Crate and 9 more"."""
    pieces = sum(line.count for line in lines)
    named = lines if len(lines) <= MOST_NAMED + 1 else lines[:MOST_NAMED]
    words = [line.name if line.count == 1 else f"{line.count} × {line.name}" for line in named]
    left = pieces - sum(line.count for line in named)
    if left:
        words.append(tr("{n} more", n=left))
    count = tr("{n} piece" if pieces == 1 else "{n} pieces", n=pieces)
    return f"{count}: {listed(words)}" if lines else ""


@dataclass(frozen=True)
class Marker:
    """Makes labels of one guide for one sheet."""

    catalogue: Catalogue
    addresses: Addresses
    sheet: LabelSheet

    def part(self, part: Part, pieces: int) -> Iterator[PartLabel]:
        """Yield a label for each piece of a part."""
        short, code = self._code(part_address(part.id), part.id, part.asset)
        for number in range(1, min(pieces, MOST_PIECES) + 1):
            yield PartLabel(
                part.name,
                part.asset or "",
                tr("{number} of {pieces}", number=number, pieces=pieces) if pieces > 1 else "",
                short,
                code,
            )

    def lids(self, assembly: Assembly) -> Iterator[LidLabel]:
        """Yield a label for each case of a rig, or one for the case that it may get."""
        rig = assembly.rig
        short, code = self._code(rig_address(rig.id), rig.id, None)
        cases = [group for group in groups_of(assembly) if group.bag is not None]
        for number, group in enumerate(cases[:MOST_PIECES], 1):
            inside = inside_of(group.contents)
            part = group.lines[0].part
            piece = tr("{number} of {len}", number=number, len=len(cases)) if len(cases) > 1 else ""
            yield LidLabel(rig.name, part.name, part.asset or "", piece, inside, short, code)
        if not cases:
            yield LidLabel(rig.name, "", "", "", "", short, code)

    def _code(self, address: str, id_: str, asset: str | None) -> tuple[str, PrintedCode | None]:
        """Return the address for people and the code for machines; without an address, words that identify it."""
        public = self.addresses.public(self.addresses.path(address))
        plain = [word for word in (self.catalogue.guide.name, asset, id_) if word]
        texts = [", ".join(plain[first:]) for first in range(len(plain))]
        code = printed([*([public] if public else []), *texts], self.sheet.width, self.sheet.height)
        return for_people(public) if public else id_, code


def rig_label_pages(catalogue: Catalogue, assembly: Assembly, addresses: Addresses) -> Iterator[PageRecord]:
    """Yield the labels for a rig's parts, and those for the lids of its cases."""
    rig = assembly.rig
    sheet = label_sheets()[catalogue.guide.label_sheet]
    marker = Marker(catalogue, addresses, sheet)
    lines = [line for group in groups_of(assembly) for line in (group.lines if group.bag is None else group.contents)]
    labels = [label for line in lines for label in marker.part(line.part, line.count)]
    writer = Writer(rig_labels_address(rig.id), addresses, catalogue.guide.units)
    html = writer.render(
        "part_labels.html",
        title=tr("Labels for the parts"),
        of=(rig_address(rig.id), rig.name),
        lids=lids_address(rig.id),
        sheet=sheet,
        pages=sheet.laid_out(labels),
        owner=catalogue.guide.name,
        known=bool(addresses.site),
        others=(),
        many=_many(labels),
    )
    words = tr("codes that lead to their pages, asset tags and addresses")
    yield _record(
        writer,
        tr("Labels for the parts: {name}", name=rig.name),
        html,
        tr("{name}: labels for every part: {words}.", name=rig.name, words=words),
    )
    yield _lids(catalogue, assembly, addresses)


def _many(labels: Sequence[PartLabel]) -> list[str]:
    """Return the names of parts of which there are more pieces than labels."""
    last = f"{MOST_PIECES} of "
    return [label.name for label in labels if label.piece.startswith(last) and label.piece != f"{last}{MOST_PIECES}"]


def _lids(catalogue: Catalogue, assembly: Assembly, addresses: Addresses) -> PageRecord:
    rig = assembly.rig
    sheet = label_sheets()[catalogue.guide.lid_label_sheet]
    labels = [*Marker(catalogue, addresses, sheet).lids(assembly)]
    writer = Writer(lids_address(rig.id), addresses, catalogue.guide.units)
    held = {use.part for use in rig.bags}
    shared = [
        part.name
        for id_ in dict.fromkeys(held)
        if len(catalogue.used_by.get((part := catalogue.parts[id_]).id, ())) > 1
    ]
    html = writer.render(
        "lid_labels.html",
        title=tr("Labels for the lids"),
        rig=rig,
        parts=rig_labels_address(rig.id),
        sheet=sheet,
        pages=sheet.laid_out(labels),
        guide=catalogue.guide,
        shared=listed(sorted(shared)) if shared else "",
        several=len(shared) > 1,
        known=bool(addresses.site),
    )
    words = tr("what is inside, whose it is, and a code that leads to the rig's page")
    return _record(
        writer,
        tr("Labels for the lids: {name}", name=rig.name),
        html,
        tr("{name}: labels for its cases: {words}.", name=rig.name, words=words),
    )


def _record(writer: Writer, title: str, html: str, description: str, section: str = "rigs/index") -> PageRecord:
    return PageRecord(
        address=writer.address,
        title=title,
        article=html,
        description=description,
        section=section,
        search=SearchEntry(description),
        sought=writer.address == SHELF_LABELS_ADDRESS,  # rigs, kinds and the shelf lead to all the others
    )


def pieces_on_the_shelf(part: Part) -> int:
    """Return how many labels a part of the shelf needs: one for each piece that the club owns, none for what is not."""
    return part.owned or (1 if part.asset else 0)


def shelf_label_pages(catalogue: Catalogue, addresses: Addresses) -> Iterator[PageRecord]:
    """Yield the list of all labels of the shelf, and the labels kind by kind, on several pages where it takes them."""
    sheet = label_sheets()[catalogue.guide.label_sheet]
    marker = Marker(catalogue, addresses, sheet)
    most = MOST_SHEETS * sheet.each
    kinds: list[tuple[Kind, list[PartLabel]]] = []
    for kind in KINDS.values():
        parts = (part for part in catalogue.parts.values() if part.kind == kind.word)
        labels = [label for part in parts for label in marker.part(part, pieces_on_the_shelf(part))]
        kinds += [(kind, labels)] if labels else []
    if not kinds:
        return
    yield _shelf_list(
        catalogue, addresses, sheet, [(kind, len(labels), _pages(labels, most)) for kind, labels in kinds]
    )
    for kind, labels in kinds:
        yield from _kind_pages(marker, kind, labels, most)


def _pages(labels: Sequence[PartLabel], most: int) -> int:
    return -(-len(labels) // most)


def _shelf_list(
    catalogue: Catalogue, addresses: Addresses, sheet: LabelSheet, kinds: Sequence[tuple[Kind, int, int]]
) -> PageRecord:
    writer = Writer(SHELF_LABELS_ADDRESS, addresses, catalogue.guide.units)
    rows = [
        (
            tr(kind.many),
            [kind_labels_address(kind.word, page) for page in range(1, pages + 1)],
            count,
            -(-count // sheet.each),
        )
        for kind, count, pages in kinds
    ]
    html = writer.render("shelf_labels.html", rows=rows, sheet=sheet, known=bool(addresses.site))
    text = tr("{name}: labels with codes and asset tags for the whole shelf, kind by kind.", name=catalogue.guide.name)
    return _record(writer, tr("Labels for the shelf"), html, text, "shelf/index")


def _kind_pages(marker: Marker, kind: Kind, labels: Sequence[PartLabel], most: int) -> Iterable[PageRecord]:
    sheet, guide = marker.sheet, marker.catalogue.guide
    pages = _pages(labels, most)
    for page in range(1, pages + 1):
        writer = Writer(kind_labels_address(kind.word, page), marker.addresses, guide.units)
        title = tr("Labels: {many}", many=tr(kind.many)) + (
            tr(", {page} of {pages}", page=page, pages=pages) if pages > 1 else ""
        )
        html = writer.render(
            "part_labels.html",
            title=title,
            of=(kind_address(kind.word), tr(kind.many)),
            lids="",
            sheet=sheet,
            pages=sheet.laid_out(labels[(page - 1) * most : page * most]),
            owner=guide.name,
            known=bool(marker.addresses.site),
            many=_many(labels),
            others=tuple((kind_labels_address(kind.word, n), n) for n in range(1, pages + 1) if n != page),
        )
        yield _record(
            writer,
            title,
            html,
            tr("{many}: labels to print, with codes and asset tags.", many=tr(kind.many)),
            "shelf/index",
        )
