"""Small tools for plates: SVG text that follows the palette, is escaped, and carries a text equivalent.

Style lives in the style sheet. A plate uses its classes only: ``ink`` and ``ink-2`` (lines), ``fill-tint``,
``fill-paper``, ``hatch``, ``accent``, ``label`` and ``dim`` (dimension lines and their text). What a class cannot say,
a tone between two, stands in attributes of SVG (``fill-opacity``) and never in ``style``: a strict policy forbids that.
"""

from collections.abc import Iterable
from html import escape

PLATE_WIDTH = 480.0
"""Width of a plate's view box. Lettering is 14 units high and grows to 17 where the plate is shown narrow."""


_HATCH = (
    '<defs><pattern id="{name}-hatch" width="6" height="6" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">'
    '<path class="hatch-line" d="M0 0V6"/></pattern></defs>'
)


def number(value: float) -> str:
    """Return a coordinate with at most two decimals and no needless zeros."""
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


class Plate:
    """A drawing in the making; coordinates in user units, y downwards."""

    def __init__(self, id_: str, width: float, height: float, title: str, description: str) -> None:
        self.id = id_
        self.width, self.height = width, height
        self.title, self.description = title, description
        self.marks: list[str] = []
        self.hatched = False

    def line(self, x1: float, y1: float, x2: float, y2: float, style: str = "ink") -> None:
        """Draw a straight line."""
        self.marks.append(
            f'<line class="{style}" x1="{number(x1)}" y1="{number(y1)}" x2="{number(x2)}" y2="{number(y2)}"/>'
        )

    def rect(
        self,
        x: float,
        y: float,
        width: float,
        height: float,
        style: str = "ink",
        opacity: float | None = None,
    ) -> None:
        """Draw a rectangle from its upper left corner."""
        shade = "" if opacity is None else f' fill-opacity="{number(opacity)}"'
        if "hatch" in style.split():
            shade = f' fill="url(#{escape(self.id)}-hatch)"'
            self.hatched = True
        self.marks.append(
            f'<rect class="{style}" x="{number(x)}" y="{number(y)}" width="{number(width)}"'
            f' height="{number(height)}"{shade}/>'
        )

    def circle(self, x: float, y: float, radius: float, style: str = "ink", dashes: str = "") -> None:
        """Draw a circle; ``dashes`` is an SVG dash pattern."""
        dashed = f' stroke-dasharray="{dashes}"' if dashes else ""
        self.marks.append(f'<circle class="{style}" cx="{number(x)}" cy="{number(y)}" r="{number(radius)}"{dashed}/>')

    def path(self, points: Iterable[tuple[float, float]], style: str = "ink", close: bool = False) -> None:
        """Draw a polyline through ``points``."""
        steps = " L".join(f"{number(x)} {number(y)}" for x, y in points)
        self.marks.append(f'<path class="{style}" d="M{steps}{" Z" if close else ""}"/>')

    def text(self, x: float, y: float, words: str, style: str = "label", anchor: str = "start") -> None:
        """Write words with their baseline at ``y``; ``anchor`` is start, middle or end."""
        self.marks.append(
            f'<text class="{style}" x="{number(x)}" y="{number(y)}" text-anchor="{anchor}">{escape(words)}</text>'
        )

    def dimension(self, x1: float, y1: float, x2: float, y2: float, words: str, above: bool = False) -> None:
        """Draw a dimension line, level or upright, with end ticks and its words beside it, or above a level one."""
        self.line(x1, y1, x2, y2, "dim")
        level = abs(y1 - y2) < abs(x1 - x2)
        for x, y in ((x1, y1), (x2, y2)):
            if level:
                self.line(x, y - 4, x, y + 4, "dim")
            else:
                self.line(x - 4, y, x + 4, y, "dim")
        if level:
            self.text((x1 + x2) / 2, y1 - 7 if above else y1 + 18, words, "dim", "middle")
        else:
            middle = (y1 + y2) / 2
            place = f"translate({number(x1 + 15)} {number(middle)}) rotate(-90)"
            self.marks.append(f'<text class="dim" text-anchor="middle" transform="{place}">{escape(words)}</text>')

    def render(self) -> str:
        """Return the SVG element, with title and description for those who do not see it."""
        name = escape(self.id)
        hatch = _HATCH.format(name=name) if self.hatched else ""
        return (
            f'<svg class="plate-svg plate-480" viewBox="0 0 {number(self.width)} {number(self.height)}" role="img"'
            f' aria-labelledby="{name}-title {name}-desc">'
            f'<title id="{name}-title">{escape(self.title)}</title>'
            f'<desc id="{name}-desc">{escape(self.description)}</desc>{hatch}{"".join(self.marks)}</svg>'
        )
