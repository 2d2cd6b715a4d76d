"""Small guides written as YAML to a folder."""

from pathlib import Path
from typing import Any

import yaml

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.catalogue.reading import read_catalogue
from tests.chapters.small_guide import PARTS, RIG, Data


def write_guide(
    root: Path,
    *,
    shelf: dict[str, Data] | None = None,
    rigs: list[Data] | None = None,
    places: list[Data] | None = None,
    targets: list[Data] | None = None,
    desk: Data | None = None,
    **guide: Any,
) -> Path:
    """Write a guide as YAML below ``root`` (made if need be) and return it; without more, the small guide."""
    (root / "parts").mkdir(parents=True, exist_ok=True)
    _write(root / "guide.yml", {"name": "Small guide", **guide})
    listed = [{"id": id_, **data} for id_, data in (PARTS if shelf is None else shelf).items()]
    _write(root / "parts" / "shelf.yml", listed)
    for name, entries in (("places", places), ("targets", targets)):
        if entries:
            _write(root / f"{name}.yml", entries)
    if desk:
        (root / "desk").mkdir(exist_ok=True)
        _write(root / "desk" / "book.yml", desk)
    for rig in [RIG] if rigs is None else rigs:
        _write(root / f"{rig['id']}.yml", rig)
    return root


def read_guide(root: Path, **written: Any) -> Catalogue:
    """Write a guide and read it."""
    return read_catalogue(write_guide(root, **written))


def _write(path: Path, data: Any) -> None:
    path.write_text(yaml.safe_dump(data, sort_keys=False, allow_unicode=True), encoding="utf-8")
