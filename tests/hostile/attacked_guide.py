"""The attacked demo as a project of its own, ready to be built."""

import shutil
from pathlib import Path

from tests.conftest import PROJECT
from tests.hostile.attack import attacked
from tests.hostile.schemas import read_guide, slice_of, write_guide

TRIP = "eclipse-for-two"
RIGS = ("curlew-twin", "heron-cabin", "balcony-grebe", "workshop-misfits")


def write_attacked(project: Path) -> Path:
    """Write the demo's settings and some rigs, a journey and the book, all attacked; return the folder of YAML."""
    guide = read_guide(PROJECT / "rigs")
    rigs = dict.fromkeys((*RIGS, *guide[f"trips/{TRIP}.yml"]["rigs"]))
    rooted = project / "rigs"
    shutil.copytree(PROJECT / "rigs" / "photos", rooted / "photos")
    for name in ("docs", "overrides"):
        shutil.copytree(PROJECT / name, project / name)
    shutil.copy(PROJECT / "mkdocs.yml", project / "mkdocs.yml")
    return write_guide(attacked(slice_of(guide, tuple(rigs), (TRIP,))), rooted)
