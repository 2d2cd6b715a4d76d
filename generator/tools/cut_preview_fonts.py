"""Cuts the two typefaces of the pictures for link previews out of the full ones. Only a maintainer runs it.

    python generator/tools/cut_preview_fonts.py FOLDER

FOLDER holds `Literata_400Regular.ttf` and `Literata_600SemiBold.ttf` of the npm package `@expo-google-fonts/literata`
0.4.3, in any of its subfolders. fontTools is needed. No outline is altered.
"""

import sys
from pathlib import Path

from fontTools.subset import Options, Subsetter
from fontTools.ttLib import TTFont

TARGET = Path(__file__).parents[1] / "rigleaf" / "site" / "previews" / "fonts"
FACES = {"Literata_400Regular.ttf": "literata-regular.ttf", "Literata_600SemiBold.ttf": "literata-semibold.ttf"}
RANGES = (
    (0x20, 0x7E), (0xA0, 0x17F), (0x192, 0x192), (0x218, 0x21B), (0x386, 0x3CE), (0x400, 0x45F), (0x490, 0x491),
    (0x1E80, 0x1E85), (0x1E9E, 0x1E9E), (0x1EA0, 0x1EF9), (0x2009, 0x200A), (0x2010, 0x2015), (0x2018, 0x201E),
    (0x2020, 0x2022), (0x2026, 0x2026), (0x202F, 0x202F), (0x2030, 0x2030), (0x2032, 0x2033), (0x2039, 0x203A),
    (0x2044, 0x2044), (0x2070, 0x2070), (0x2074, 0x2079), (0x2080, 0x2089), (0x20AC, 0x20AC), (0x2116, 0x2116),
    (0x2122, 0x2122), (0x2190, 0x2193), (0x2212, 0x2212), (0x221E, 0x221E), (0x2248, 0x2248), (0x2264, 0x2265),
)  # fmt: skip
"""Latin with all its accents, Greek and Cyrillic, and the signs of figures."""


def main(folder: Path) -> None:
    """Write both faces."""
    options = Options()
    options.hinting = False
    options.layout_features = ["kern"]
    options.name_IDs = [0, 1, 2, 5, 13, 14]
    options.notdef_outline = True
    options.recalc_timestamp = False  # the same file on every run
    for source, target in FACES.items():
        font = TTFont(next(folder.rglob(source)), recalcTimestamp=False)
        cutter = Subsetter(options)
        cutter.populate(unicodes=[code for first, last in RANGES for code in range(first, last + 1)])
        cutter.subset(font)
        font.save(TARGET / target)
        print(target, (TARGET / target).stat().st_size, "bytes")


if __name__ == "__main__":
    main(Path(sys.argv[1]))
