"""What a browser prints, read out of the PDF itself: rectangles and level strokes by their place in mm and colour."""

import io
from collections.abc import Iterable, Iterator
from typing import NamedTuple

from PIL import Image, ImageDraw
from playwright.sync_api import Page
from pypdf import PageObject, PdfReader
from pypdf.generic import ContentStream

MM_PER_POINT = 25.4 / 72
PAPER = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}
WITHIN_MM = 25.4 / 96
"""A browser paints grounds from whole pixel to whole pixel, 96 to the inch; printers feed paper worse by far."""

Box = tuple[float, float, float, float]
"""Left, top, width and height in mm."""


class Painted(NamedTuple):
    """One rectangle of a printed page, filled or stroked, and its colour from 0 to 1."""

    box: Box
    colour: tuple[float, ...]
    stroke: bool


def pdf(page: Page, **options: object) -> PdfReader:
    """Print a page."""
    return PdfReader(io.BytesIO(page.pdf(**options)))  # type: ignore[arg-type]


def size_of(page: PageObject) -> tuple[float, float]:
    """Width and height of a printed page in mm."""
    return float(page.mediabox.width) * MM_PER_POINT, float(page.mediabox.height) * MM_PER_POINT


class _Pen:
    """Where the pen stands, how it paints, and what it has drawn that is not painted yet, as PDF has it (ISO 32000)."""

    def __init__(self, tall: float) -> None:
        self.at = (0.0, 0.0)
        self.drawn: list[Box] = []
        self.tall = tall
        self.scale, self.origin = (1.0, 1.0), (0.0, 0.0)
        self.fill: tuple[float, ...] = (0.0,)
        self.ink: tuple[float, ...] = (0.0,)
        self.width = 1.0
        self.kept: list[tuple[object, ...]] = []

    def keep(self) -> None:
        self.kept.append((self.scale, self.origin, self.fill, self.ink, self.width))

    def restore(self) -> None:
        self.scale, self.origin, self.fill, self.ink, self.width = self.kept.pop()  # type: ignore[assignment]

    def move(self, a: float, b: float, c: float, d: float, e: float, f: float) -> None:
        assert b == c == 0, "nothing is turned"
        self.origin = self.origin[0] + self.scale[0] * e, self.origin[1] + self.scale[1] * f
        self.scale = self.scale[0] * a, self.scale[1] * d

    def box(self, x: float, y: float, width: float, height: float) -> Box:
        left, right = sorted(self.origin[0] + self.scale[0] * at for at in (x, x + width))
        low, high = sorted(self.origin[1] + self.scale[1] * at for at in (y, y + height))
        one, two, three, four = (at * MM_PER_POINT for at in (left, self.tall - high, right - left, high - low))
        return one, two, three, four

    def take(self, operator: bytes, numbers: list[float]) -> None:
        """Do what changes the pen or the path, and pass over all else, such as words."""
        match operator:
            case b"q":
                self.keep()
            case b"Q":
                self.restore()
            case b"cm":
                self.move(*numbers)
            case b"rg":
                self.fill = tuple(numbers)
            case b"RG":
                self.ink = tuple(numbers)
            case b"w":
                self.width = numbers[0]
            case b"re":
                self.drawn.append(self.box(*numbers))
            case b"l" if numbers[1] == self.at[1]:
                self.drawn.append(
                    self.box(self.at[0], self.at[1] - self.width / 2, numbers[0] - self.at[0], self.width)
                )
        if operator in (b"m", b"l"):
            self.at = numbers[0], numbers[1]


_WITH_NUMBERS = {b"cm", b"rg", b"RG", b"w", b"re", b"m", b"l"}
_PAINTING = {b"f": False, b"f*": False, b"S": True}


def painted(page: PageObject) -> Iterator[Painted]:
    """Yield the rectangles and level strokes of a page in the order in which they are painted."""
    contents = page.get_contents()
    assert contents is not None
    pen = _Pen(float(page.mediabox.height))
    for operands, operator in ContentStream(contents, page.pdf).operations:
        pen.take(operator, [float(one) for one in operands] if operator in _WITH_NUMBERS else [])
        if operator in _PAINTING:
            stroke = _PAINTING[operator]
            yield from (Painted(box, pen.ink if stroke else pen.fill, stroke) for box in pen.drawn)
        if operator in _PAINTING or operator == b"n":
            pen.drawn = []


def blue_boxes(page: PageObject) -> Iterator[Box]:
    """Yield every rectangle of a printed page that is filled with pure blue."""
    yield from (one.box for one in painted(page) if one.colour == (0, 0, 1) and not one.stroke)


def as_picture(page: PageObject, shapes: Iterable[Painted], per_mm: float = 12.0) -> Image.Image:
    """Draw what is painted on a page, save its words, as a printer of 12 dots to the mm would."""
    picture = Image.new("L", (round(size_of(page)[0] * per_mm), round(size_of(page)[1] * per_mm)), 255)
    draw = ImageDraw.Draw(picture)
    for (left, top, width, height), colour, _ in shapes:
        first = round(left * per_mm), round(top * per_mm)
        last = round((left + width) * per_mm) - 1, round((top + height) * per_mm) - 1
        if last[0] >= first[0] and last[1] >= first[1]:
            draw.rectangle((first, last), fill=round(255 * sum(colour) / len(colour)))
    return picture
