"""Writes the two guides that the benchmark builds: ours from YAML, a bare one with its text."""

from pathlib import Path
from typing import Any

import yaml

from rigleaf.catalogue.reading import read_catalogue
from rigleaf.engine.settings import FEATURES
from rigleaf.site.book import SECTIONS, make_book
from rigleaf.site.typeset.addresses import Addresses
from tests.bench.bare import markdown
from tests.bench.generate import write_guide

HOOK = Path(__file__).with_name("clock.py")


def prepare(ours: Path, bare: Path, rigs: int, seed: int) -> None:
    """Write both guides into two folders, which are made; the second holds the pages of the first."""
    write_guide(ours / "rigs", rigs, seed)
    (ours / "docs").mkdir()
    _settings(ours, {"theme": {"name": "material"}, "plugins": ["search", "offline", "rigleaf"]})
    for page in make_book(read_catalogue(ours), Addresses()).pages:
        path = bare / "docs" / f"{page.address}.md"
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(markdown(page.html), encoding="utf-8")
    _settings(
        bare,
        {
            # What our plugin sets by itself: none of the difference comes from there.
            "theme": {"name": "material", "font": False, "features": list(FEATURES)},
            "nav": [{section.title: f"{section.address}.md"} for section in SECTIONS],
            "not_in_nav": "*",
            "plugins": ["search", "offline"],
        },
    )


def _settings(guide: Path, settings: dict[str, Any]) -> None:
    settings = {"site_name": "Measured Shelf", **settings, "hooks": [str(HOOK)]}
    (guide / "mkdocs.yml").write_text(yaml.safe_dump(settings, sort_keys=False), encoding="utf-8")
