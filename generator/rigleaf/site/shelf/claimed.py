"""The page of what is still only claimed: what to measure next, by how many judgements look at it."""

from collections.abc import Sequence
from typing import NamedTuple

from markupsafe import Markup

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.catalogue.models.part import Part
from rigleaf.chapters.claims import BY_DIMENSION, BY_FIELD, HOW, MEASURABLE, Claim, Off, claims, of_parts
from rigleaf.chapters.formatting import unit_of
from rigleaf.chapters.study import RigStudy
from rigleaf.chapters.tracing import Trace
from rigleaf.site.record import Heading, PageRecord, SearchEntry
from rigleaf.site.shelf.claimed_report import what, whose
from rigleaf.site.shelf.facts import label
from rigleaf.site.typeset.addresses import Addresses
from rigleaf.site.typeset.templating import Writer
from rigleaf.words import tr

ADDRESS = "claimed/index"

_MOST = 12
"""Rows of a table that stand open; the others are folded or stand with their parts."""


class Row(NamedTuple):
    """One claim in a table."""

    part: Part | None
    whose: str
    what: str
    value: Markup
    off: Markup
    rigs: int
    judgements: int


class PartRow(NamedTuple):
    """One part with all that is only claimed of it."""

    part: Part
    claims: list[str]
    rigs: int
    judgements: int


class OffRow(NamedTuple):
    """How far a sort of value may be off."""

    words: str
    off: str
    how: str


def claimed_page(catalogue: Catalogue, studies: Sequence[RigStudy], trace: Trace, addresses: Addresses) -> PageRecord:
    """Return the page.

    Masses stand in the order of the kilograms that they may be off by in all rigs together, other values in that of the
    judgements that look at them: both cost nothing to know. What could turn a verdict, the command finds out.
    """
    writer = Writer(ADDRESS, addresses, catalogue.guide.units)
    found = claims(catalogue, studies, trace)
    masses = [claim for claim in found if claim.input.path == ("mass",)]
    masses.sort(key=lambda claim: -claim.off * len(claim.rigs))
    others = [claim for claim in found if claim.input.owner != "part"]
    parts = [_part_row(catalogue, id_, listed) for id_, listed in of_parts(found)]
    html = writer.render(
        "claimed.html",
        count=len(found),
        masses=[_row(catalogue, claim, writer) for claim in masses[:_MOST]],
        more=max(0, len(masses) - _MOST),
        others=[_row(catalogue, claim, writer) for claim in others[:_MOST]],
        rest=[_row(catalogue, claim, writer) for claim in others[_MOST:]],
        parts=sorted(parts, key=lambda row: (-row.judgements, row.part.name)),
        offs=_offs(),
    )
    # Not every part that is only claimed: whoever looks for one wants its own page.
    first = ", ".join(whose(catalogue, claim) for claim in masses[:_MOST])
    text = tr("Values that nobody has measured: what to weigh and measure next. {first}", first=first)
    contents = (
        Heading(tr("On the scale next"), "scale"), Heading(tr("Places, rigs and defaults"), "others"),
        Heading(tr("By part"), "parts"), Heading(tr("How far values may be off"), "off"),
    )  # fmt: skip
    summary = tr("What rests on a maker's word or a default, and what to measure next.")
    return PageRecord(
        ADDRESS, tr("Still only claimed"), html, summary, SearchEntry(text, boost=0.5), "shelf/index", contents
    )


def _row(catalogue: Catalogue, claim: Claim, writer: Writer) -> Row:
    part = catalogue.parts[claim.input.id] if claim.input.owner == "part" else None
    return Row(
        part,
        whose(catalogue, claim),
        what(claim),
        writer.written(claim.reading, error=False),
        writer.quantity(claim.off, claim.reading.dimension),
        len(claim.rigs),
        claim.judgements,
    )


def _part_row(catalogue: Catalogue, id_: str, listed: Sequence[Claim]) -> PartRow:
    names = list(dict.fromkeys(what(claim) for claim in listed))
    rigs = {rig for claim in listed for rig in claim.rigs}
    return PartRow(catalogue.parts[id_], names, len(rigs), max(claim.judgements for claim in listed))


def _offs() -> list[OffRow]:
    """Return how far values may be off: by dimension, by field, and of defaults."""
    rows = [OffRow(label(name), _off(off, unit_of(name)), HOW.get(name, "")) for name, off in BY_DIMENSION.items()]
    fields = [(name, "length" if name == "distance" else "", off) for name, off in BY_FIELD.items()]
    rows += [
        OffRow(label(name) if name != "distance" else "Back focus", _off(off, unit_of(unit)), "")
        for name, unit, off in fields
    ]
    return rows + [
        OffRow(tr("{label}, as a default", label=label(name)), _off(off, unit_of(name)), "")
        for name, off in MEASURABLE.items()
    ]


def _off(off: Off, unit: str) -> str:
    share = f"{100 * off.share:g} %" if off.share else ""
    amount = f"{off.amount:g} {unit}".strip() if off.amount else ""
    return tr("{share}, at least {amount}", share=share, amount=amount) if share and amount else share or amount
