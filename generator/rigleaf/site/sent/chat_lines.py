"""A rig in a few lines of plain text, to paste into a chat: what it is, its figures, and what does not hold of it."""

import re
import textwrap
from collections import Counter
from collections.abc import Iterator, Sequence
from typing import NamedTuple

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.chapters.figures import WORST_FIRST, Figure, Study, Verdict
from rigleaf.chapters.formatting import show
from rigleaf.chapters.study import RigStudy
from rigleaf.sentences import named
from rigleaf.site.typeset.addresses import Addresses, rig_address
from rigleaf.words import tr, within

WIDEST = 100
"""Characters in a line. An address alone may be longer: a broken one leads nowhere."""

LONGEST = 940
"""Characters in all, where the address is of a usual length."""

AIRPORT = "at-the-airport"

_PLAIN = str.maketrans(
    {
        "\u00a0": " ", "\u202f": " ", "\u2009": " ", "\u00ad": "", "−": "-", "–": "-", "—": "-", "×": "x",
        "″": " arcsec", "′": " arcmin", "“": '"', "”": '"', "‘": "'", "’": "'", "·": ",", "…": "...",
    }
)  # fmt: skip
"""Signs that some chats lose or turn into something else, and what stands for them."""

_BY = {
    "on foot": "on foot",
    "stays put": "nowhere",
    "hand luggage": "as hand luggage",
    "hold luggage": "as hold luggage",
}


class Room(NamedTuple):
    """How many characters of a name may be taken by each of the lines that grow."""

    fails: int
    tight: int
    brief: int
    flying: int


_ROOMS: tuple[Room, ...] = (
    Room(260, 200, 160, 190), Room(260, 0, 160, 190), Room(0, 0, 160, 190), Room(0, 0, 100, 190), Room(0, 0, 100, 110),
    Room(0, 0, 0, 80),
)  # fmt: skip
"""The most generous first: the first with which all of it is short enough is taken."""


def chat_lines(catalogue: Catalogue, study: RigStudy, addresses: Addresses, brief: str) -> str:
    """Return a few lines about a rig, each ended by a newline.

    They say what its findings say: what does not hold is named where there is room, and counted where there is none.

    Args:
        catalogue: the guide that the rig stands in.
        study: what was found out about it.
        addresses: whether, and where, the rig's page stands for all to read.
        brief: the first sentence of its summary.
    """
    text = ""
    for room in _ROOMS:
        text = "".join(f"{line}\n" for line in _lines(catalogue, study, addresses, brief, room))
        if len(text) <= LONGEST:
            break
    return text


def _lines(catalogue: Catalogue, study: RigStudy, addresses: Addresses, brief: str, room: Room) -> Iterator[str]:
    rig = study.rig
    yield from _wrapped(f"{_cut(rig.name, 90)} ({_cut(catalogue.guide.name, 60)})")
    yield from _wrapped(_cut(brief, room.brief))
    uses = (
        (tr("for "), [tr(what) for what in rig.purpose]),
        (tr("travels "), [tr(_BY.get(way, f"by {way}")) for way in rig.travels]),
    )
    yield from _wrapped(_sentence([word + ", ".join(said) for word, said in uses if said]))
    figures = [f"{_small(named(figure.label))} {_value(figure, catalogue.guide.units)}" for _, figure in study.on_card]
    yield from _wrapped(_sentence(figures))
    yield from _wrapped(_judgements(study))
    yield from _wrapped(_named(study, "fails", tr("Does not hold"), room.fails))
    yield from _wrapped(_named(study, "tight", tr("Only just holds"), room.tight))
    yield from _wrapped(_flying(study, room.flying))
    yield from _wrapped(tr("Ask: {cut}", cut=_cut(catalogue.guide.contact, 90)) if catalogue.guide.contact else "")
    page = addresses.public(addresses.path(rig_address(rig.id)))
    if page:
        yield page


def _wrapped(text: str) -> list[str]:
    """Return a text in as few lines as will do, of about one length, so that no word stands alone in the last."""
    text = _plain(text)
    most = textwrap.wrap(text, WIDEST, break_on_hyphens=False)
    tries = (
        textwrap.wrap(text, width, break_on_hyphens=False)
        for width in range(-(-len(text) // max(len(most), 1)), WIDEST)
        if len(most) > 1
    )
    return next((lines for lines in tries if len(lines) == len(most)), most)


def _plain(text: str) -> str:
    return " ".join(re.sub(r"(?<=\d)\u202f(?=\d)", "", text).translate(_PLAIN).split())


def _cut(text: str, room: int) -> str:
    """Return as many words of a text as there is room for."""
    text = _plain(text)
    if len(text) <= room:
        return text
    words = text[: max(room - 3, 0)].rpartition(" ")[0].rstrip(" ,;:(")
    return f"{words}..." if words else ""


def _sentence(pieces: Sequence[str]) -> str:
    text = "; ".join(pieces)
    return f"{text[:1].upper()}{text[1:]}." if text else ""


def _small(text: str) -> str:
    return within(text[:1]) + text[1:]


def _value(figure: Figure, units: str) -> str:
    return figure.value if isinstance(figure.value, str) else show(figure.value or 0.0, figure.dimension, units).first


def _judgements(study: RigStudy) -> str:
    """Count the findings: what is named below is seen to be a part, and what is unsaid is not passed over."""
    counts = Counter(finding.verdict for _, finding in study.findings)
    told = ", ".join(f"{counts[verdict]} {tr(verdict)}" for verdict in WORST_FIRST if counts[verdict])
    return tr("Judged: {told}.", told=told) if told else ""


def _named(study: RigStudy, verdict: Verdict, words: str, room: int) -> str:
    """Name the findings of one verdict, or count them by chapter where there is no room; flying has its own line."""
    by_chapter: dict[str, list[str]] = {}
    for chapter, finding in study.findings:
        if finding.verdict == verdict and chapter.id != AIRPORT:
            by_chapter.setdefault(tr(chapter.title), []).append(_plain(named(finding.title)))
    if not by_chapter:
        return ""
    told = "; ".join(f"{chapter}: {', '.join(titles)}" for chapter, titles in by_chapter.items())
    if len(told) > room:
        counts = ((chapter, len(titles)) for chapter, titles in by_chapter.items())
        told = ", ".join(f"{chapter} ({count})" if count > 1 else chapter for chapter, count in counts)
    return f"{words}: {told}."


def _flying(study: RigStudy, room: int) -> str:
    """Say in the chapter's own words what may fly; nothing is said of a rig that was not asked about, but that."""
    found = next((found for chapter, found in study.studies if chapter.id == AIRPORT), None)
    if found is None:
        return ""
    if not found.figures:
        return tr("Flying: not asked, which is no permission.") if found.not_asked else tr("Flying: not known.")
    return _by_word(found, room)


def _by_word(found: Study, room: int) -> str:
    """Join titles such as "Stays home: the rucksack" that begin with the same word, the strictest first."""
    answers: dict[str, list[str]] = {}
    for finding in found.worst_first:
        word, _, what = named(finding.title).partition(": ")
        answers.setdefault(word if what else tr("Unsaid"), []).append(what or _small(named(finding.title)))
    told = [f"{word}: {', '.join(what)}" for word, what in answers.items()]
    text = ". ".join(told)
    if len(text) > room:
        words = ", ".join(within(word) for word in answers if word != tr("May fly"))
        text = tr("of some parts the answer is {words}; see the page", words=words)
    return tr("Flying: {text_}. Advice, no permission.", text_=text)
