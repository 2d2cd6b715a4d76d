"""Files with the panels of mosaics, for the programs that point a mount: one for each target and rig that needs one."""

import csv
import io
from collections.abc import Iterator

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.catalogue.targets import resolve
from rigleaf.chapters.in_the_frame import fleet
from rigleaf.chapters.in_the_frame.framing import panels_of, wishes_of
from rigleaf.chapters.in_the_frame.physics import Panel

FOLDER = "assets/mosaics"
FEW_PANELS = 6
"""Panels up to which a mosaic is worth a file for a rig that is not put together for the target."""

HEADS = ("panel", "row", "column", "ra_deg", "dec_deg", "ra_hms", "dec_dms", "position_angle_deg")


def mosaic_path(target: str, rig: str) -> str:
    """Return where in the site the panels of a target for a rig stand."""
    return f"{FOLDER}/{target}--{rig}.csv"  # no id has two hyphens in a row


def rig_of(path: str) -> str:
    """Return the id of the rig for which a file of panels is; empty for any other file of the site."""
    return path.removesuffix(".csv").rpartition("--")[2] if path.startswith(f"{FOLDER}/") else ""


def has_file(one: fleet.Ranked) -> bool:
    """Whether a rig's mosaic of a target has a file: where the rig is put together for it, and where it is small."""
    if not one.framed.has_panels:
        return False
    return one.framed.target.id in one.rig.targets or one.framed.grid.cells <= FEW_PANELS


def mosaic_files(catalogue: Catalogue) -> Iterator[tuple[str, bytes]]:
    """Yield the path in the site and the content of every file of panels."""
    wishes = wishes_of(catalogue.guide)
    for target in map(resolve, catalogue.targets.values()):
        for one in fleet.named(fleet.ranking_as_shown(catalogue, target), target.id):
            if has_file(one):
                yield mosaic_path(target.id, one.rig.id), content(panels_of(one.framed, one.view, wishes))


def content(panels: tuple[Panel, ...]) -> bytes:
    """Return the panels as CSV: ICRS places in degrees and in hours, minutes and seconds, and position angles."""
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\r\n")
    writer.writerow(HEADS)
    for number, panel in enumerate(panels, 1):
        writer.writerow(
            [number, panel.row, panel.column, f"{panel.ra:.5f}", f"{panel.dec:.5f}", _hms(panel.ra), _dms(panel.dec),
             f"{panel.position_angle:.2f}"]
        )  # fmt: skip
    return text.getvalue().encode("ascii")


def _hms(degrees: float) -> str:
    tenths = round(degrees % 360 * 2400) % 864_000
    return f"{tenths // 36_000:02d}:{tenths // 600 % 60:02d}:{tenths % 600 / 10:04.1f}"


def _dms(degrees: float) -> str:
    seconds = round(abs(degrees) * 3600)
    return f"{'-' if degrees < 0 else '+'}{seconds // 3600:02d}:{seconds // 60 % 60:02d}:{seconds % 60:02d}"
