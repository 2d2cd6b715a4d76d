"""The first screen of a rig's page: what it sees, can I have it, does it work, what it weighs, may it fly."""

from collections import Counter
from collections.abc import Iterator
from typing import NamedTuple

from markupsafe import Markup, escape

from rigleaf.chapters.figures import WORST_FIRST, Drawing, Figure, Finding, Verdict
from rigleaf.chapters.register import Chapter
from rigleaf.chapters.study import RigStudy
from rigleaf.sentences import said
from rigleaf.site.typeset.templating import Writer, english
from rigleaf.words import tr


class Line(NamedTuple):
    """A chapter in one line: its worst verdict, the finding that is most worth reading, and what else does not hold."""

    chapter: Chapter
    verdict: Verdict
    finding: Finding
    more: tuple[tuple[Verdict, int], ...]


class Question(NamedTuple):
    """A question that everybody asks first; ``word`` has a mark of its own, ``words`` say the rest."""

    asked: str
    word: str
    words: Markup
    anchor: str


def lines(study: RigStudy) -> list[Line]:
    """Return a line for each chapter that is not sound, the worst first."""
    found = []
    for chapter, result in study.studies:
        worth = [one for one in result.worst_first if one.verdict != "sound"]
        if worth:
            rest = Counter(one.verdict for one in worth[1:])
            more = tuple((verdict, rest[verdict]) for verdict in WORST_FIRST if rest[verdict])
            found.append(Line(chapter, result.worst, worth[0], more))
    return sorted(found, key=lambda line: WORST_FIRST.index(line.verdict))


def holding(study: RigStudy) -> list[Chapter]:
    """Return the chapters in which something was judged, and all of it is sound."""
    return [chapter for chapter, result in study.studies if result.findings and result.worst == "sound"]


def portrait(study: RigStudy) -> Drawing | None:
    """Return the plate for the head of the page, if any chapter has one."""
    return next((found.portrait for _, found in study.studies if found.portrait is not None), None)


def questions(study: RigStudy, writer: Writer) -> Iterator[Question]:
    """Yield what people ask first, with answers taken from the chapters."""
    mass, lift = _figure(study, "what-it-weighs", "total"), _figure(study, "hands-and-back", "heaviest-lift")
    if mass is not None:
        words = writer.brief(mass)
        if lift is not None and lift.value is not None:
            words += escape(tr("; hardest lift {lift}")).format(lift=writer.brief(lift))
        yield Question(tr("How heavy is it?"), "", words, "what-it-weighs")
    flight = _figure(study, "at-the-airport", "answer")
    if flight is not None and isinstance(flight.value, str):
        yield Question(tr("May it fly?"), flight.value, escape(english(flight.note)), "at-the-airport")
        batteries = _figure(study, "at-the-airport", "battery-answer")
        if batteries is not None:
            words = escape(tr("{batteries}, and why", batteries=said(batteries.note) or batteries.note))
            yield Question(tr("And its batteries?"), str(batteries.value), words, "at-the-airport-each-battery")
    else:
        asked = next((not found.not_asked for chapter, found in study.studies if chapter.id == "at-the-airport"), True)
        if asked:
            yield Question(tr("May it fly?"), "say more", escape(tr("something is missing")), "at-the-airport")
        else:
            yield Question(tr("May it fly?"), "", escape(tr("not meant to fly")), "at-the-airport")


def _figure(study: RigStudy, chapter: str, figure: str) -> Figure | None:
    return next((found.index.get(figure) for owner, found in study.studies if owner.id == chapter), None)
