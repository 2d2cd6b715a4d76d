"""QR codes (ISO/IEC 18004) for labels: what they hold, how large they are printed, and their drawing."""

import zlib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache

import segno

LEAST_MODULE = 0.4
"""Smallest side of a module in mm that a telephone reads from a printed label at arm's length; common practice, no
source."""
QUIET = 4
"""Modules that stay blank around a code, ISO/IEC 18004."""
PRINTER = 1.5
"""How far, in mm, a code keeps from the edge of its label, as printers feed paper that much askew; common practice."""
USUAL_SHARE, MOST_SHARE = 0.4, 0.52
"""Part of a label's width that a code takes where that is enough, and at most: the rest is for words."""


@dataclass(frozen=True, slots=True)
class Code:
    """One code.

    Attributes:
        text: what it holds.
        modules: modules along its side, without the quiet zone.
        path: the dark modules as the data of an SVG path to be stroked one unit wide, the quiet zone counted.
    """

    text: str
    modules: int
    path: str

    @property
    def across(self) -> int:
        """Modules along its side with the quiet zone, which is the side of its drawing in its own units."""
        return self.modules + 2 * QUIET


@dataclass(frozen=True, slots=True)
class PrintedCode:
    """A code and the side in mm at which it is printed, quiet zone included."""

    code: Code
    side: float

    @property
    def module(self) -> float:
        """Side of one module in mm."""
        return self.side / self.code.across


def code_of(text: str) -> Code:
    """Return the code that holds a text, at error correction M (15 %) or better.

    All pieces of a part share one, on every page.
    """
    modules, path = _packed(text)
    return Code(text, modules, zlib.decompress(path).decode("ascii"))


@lru_cache(maxsize=1 << 16)
def _packed(text: str) -> tuple[int, bytes]:
    """Return how many modules a code has along its side, and its path, packed: a long shelf has very many.

    The mask is given: any mask is read as well as any other, and
    trying all eight takes five times as long, which counts where thousands of labels are drawn.
    """
    # Bytes beyond ASCII are told by their form, and what is right UTF-8 is hardly ever anything else.
    made = segno.make_qr(text, error="m", mask=0, encoding=None if text.isascii() else "utf-8")
    rows = [bytes(row) for row in made.matrix]
    return len(rows), zlib.compress("".join(_strokes(rows)).encode("ascii"), 1)


def _strokes(rows: Sequence[bytes]) -> Iterator[str]:
    """Yield a stroke for each run of dark modules, row by row, as seen from the end of the one before."""
    yield f"M{QUIET} {QUIET}.5"
    here, line = 0, 0
    for number, row in enumerate(rows):
        column = 0
        while (start := row.find(1, column)) >= 0:
            end = row.find(0, start)
            column = end if end >= 0 else len(row)
            if (start, number) != (here, line):
                yield f"m{start - here} {number - line}"
            yield f"h{column - start}"
            here, line = column, number


def printed(texts: Sequence[str], width: float, height: float) -> PrintedCode | None:
    """Return the code for a label: that of the first text whose modules come out large enough.

    Args:
        texts: what it may hold, the most telling first.
        width: of the label, in mm.
        height: of the label, in mm.

    Returns:
        None where no text fits: a code is never shrunk below what is read, nor its text cut.
    """
    high = height - 2 * PRINTER
    usual, most = min(high, USUAL_SHARE * width), min(high, MOST_SHARE * width)
    return next((found for text in texts if (found := within(text, usual, most))), None)


def within(text: str, usual: float, most: float) -> PrintedCode | None:
    """Return the code that holds a text, in mm as large as usual or, for the sake of its modules, up to ``most``.

    Returns:
        None where it would have to be larger.
    """
    code = code_of(text)
    least = LEAST_MODULE * code.across
    return PrintedCode(code, round(max(usual, least), 2)) if least <= most else None


def for_people(address: str) -> str:
    """Return a public address as one types it."""
    return address.removeprefix("https://").removeprefix("http://").removesuffix("/")
