"""Writes a small guide to begin with, whose comments teach; the files stand in ``starter_guide``."""

import json
from importlib.resources import files
from pathlib import Path

from rigleaf.catalogue.files import SCHEMA
from rigleaf.catalogue.schema import schemas

STARTER = str(files("rigleaf.site") / "starter_guide")
"""Folder of the guide as it is written."""


def write_starter(target: Path) -> None:
    """Write the guide into ``target``, which is made if need be, and the schemas for editors beside its YAML.

    Raises:
        FileExistsError: when there is something in the way; what stands there is never touched.
    """
    if target.exists() and (not target.is_dir() or any(target.iterdir())):
        raise FileExistsError(f"'{target}' is not an empty folder; name another, or empty it")
    root = Path(STARTER)
    # Written anew rather than copied: the installed files may be write-protected.
    for path in sorted(root.rglob("*")):
        if path.is_file():
            _write(target / path.relative_to(root), path.read_bytes())
    for name, schema in schemas().items():
        text = json.dumps(schema, indent=1, ensure_ascii=False) + "\n"
        _write(target / "rigs" / SCHEMA / name, text.encode("utf-8"))


def _write(path: Path, content: bytes) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(content)
