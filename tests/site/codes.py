"""Reads codes as a telephone would, by a program that had no part in making them."""

import re

import zxingcpp
from PIL import Image, ImageDraw

_STEP = re.compile(r"([Mm])(-?\d+) (-?\d+)(?:\.5)?|h(\d+)")


def drawn(path: str, across: int, scale: int = 4) -> Image.Image:
    """Draw the path of a code, each module ``scale`` dots wide, on white."""
    picture = Image.new("L", (across * scale, across * scale), 255)
    draw = ImageDraw.Draw(picture)
    column = row = done = 0
    for step in _STEP.finditer(path):
        assert step.start() == done, "nothing else stands in a path"
        done = step.end()
        if step[1] == "M":
            column, row = int(step[2]), int(step[3])
        elif step[1]:
            column, row = column + int(step[2]), row + int(step[3])
        else:
            end = column + int(step[4])
            draw.rectangle((column * scale, row * scale, end * scale - 1, (row + 1) * scale - 1), fill=0)
            column = end
    assert done == len(path)
    return picture


def read(picture: Image.Image) -> list[str]:
    """Return what the QR codes of a picture hold, from the top left to the bottom right."""
    found = zxingcpp.read_barcodes(picture)
    return [one.text for one in sorted(found, key=lambda one: (one.position.top_left.y // 40, one.position.top_left.x))]
