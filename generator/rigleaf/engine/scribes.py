"""Frames pages and writes them, in as many processes as pay.

MkDocs frames one page after the other. Where nobody else takes part in it, a finished article needs nothing of that but
the theme's template, so processes that know all that this one knows share the work.
"""

from collections.abc import Callable, Iterator, Sequence
from contextlib import suppress
from functools import partial
from pathlib import Path
from typing import NamedTuple

from mkdocs import utils

from rigleaf.engine.guide_page import GuidePage
from rigleaf.engine.inline import Moved
from rigleaf.processes import NO_HELP, apart, copies, may_be_copied, processors, shared
from rigleaf.site.link_facts import facts_of
from rigleaf.site.links import Mark, mark_of
from rigleaf.site.packed import Packed

LEAST_FOR_TWO = 200
"""So many pages must be framed before further processes pay."""

LARGE = 250_000
"""Bytes of a packed article above which a page is framed apart: millions of letters, of thousands of rigs."""

_AT_ONCE = 24
"""Pages that a process frames before it asks for more."""

Frame = Callable[[GuidePage], tuple[str, Moved]]
"""Makes the document around an article; what was inline in it has been moved out."""


class Framed(NamedTuple):
    """What came of one page.

    Attributes:
        mark: of its file.
        moved: the files into which went what was inline in the frame.
        left: names of attributes for which no file could be made.
        facts: what its links ask for, packed.
    """

    mark: Mark
    moved: dict[str, bytes]
    left: tuple[str, ...]
    facts: bytes


def write_pages(
    pages: Sequence[GuidePage], frame: Frame, site: Path, processes: int | None = None
) -> Iterator[Framed]:  # fmt: skip
    """Frame pages, write them into the site's folder, and yield what came of each, in their order.

    Args:
        pages: of the guide, with all that their frames tell.
        frame: makes the document of one.
        site: the folder.
        processes: how many share the work; as many as there are processors where nobody says.
    """
    # The largest come first, while helpers do not yet have a copy of their own of what all share.
    large = {number: apart(partial(_write, page, frame, site)) for number, page in enumerate(pages) if _is_large(page)}
    others = [page for number, page in enumerate(pages) if number not in large]
    written = _written(others, frame, site, processes or (processors() if len(others) >= LEAST_FOR_TWO else 1))
    for number in range(len(pages)):
        yield large[number] if number in large else next(written)


def _is_large(page: GuidePage) -> bool:
    """Say whether framing a page takes so much room that this should be given back at once."""
    article = page.record.article
    return isinstance(article, Packed) and article.size > LARGE


def _written(pages: Sequence[GuidePage], frame: Frame, site: Path, processes: int) -> Iterator[Framed]:
    _work[:] = [(frame, site, pages)]
    done = 0
    try:
        if processes > 1 and may_be_copied():
            with suppress(*NO_HELP):  # this process does what is left
                for found in _by_several(len(pages), processes):
                    done += 1
                    yield found
        for number in range(done, len(pages)):
            yield _write(pages[number], frame, site)
    finally:
        _work.clear()


_work: list[tuple[Frame, Path, Sequence[GuidePage]]] = []
"""What a further process is to do: it is begun as a copy of this one, for nobody can send it templates."""


def _by_several(number: int, processes: int) -> Iterator[Framed]:
    parts = [range(start, min(start + _AT_ONCE, number)) for start in range(0, number, _AT_ONCE)]
    early: dict[int, list[Framed]] = {}
    turn = 0
    with copies(processes - 1) as pool:
        for start, found in shared(pool, processes - 1, _several, parts):
            early[start] = found
            while turn in early:
                some = early.pop(turn)
                turn += len(some)
                yield from some


def _several(numbers: range) -> tuple[int, list[Framed]]:
    frame, site, pages = _work[0]
    return numbers.start, [_write(pages[number], frame, site) for number in numbers]


def _write(page: GuidePage, frame: Frame, site: Path) -> Framed:
    text, moved = frame(page)
    content = text.encode("utf-8", "xmlcharrefreplace")
    path = site / page.file.dest_uri
    utils.write_file(content, str(path))
    facts = facts_of(page.file.dest_uri, content)
    assert facts is not None  # noqa: S101 - a page is looked into
    return Framed(mark_of(path.stat()), moved.files, tuple(sorted(moved.left)), facts.packed())
