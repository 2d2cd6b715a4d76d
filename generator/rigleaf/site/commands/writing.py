"""Writing files for people: into folders that hold nothing yet, and the schemas for their editors."""

import json
from pathlib import Path

from rigleaf.catalogue.schema import schemas


def refuse_unless_empty(folder: Path) -> None:
    """Return quietly where ``folder`` does not exist or holds nothing.

    Raises:
        FileExistsError: when there is something in the way; what stands there is never touched.
    """
    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        raise FileExistsError(f"'{folder}' is not an empty folder; name another, or empty it")


def write(path: Path, content: bytes) -> None:
    """Write one file, and the folders above it where they are missing."""
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(content)


def write_schemas(folder: Path) -> int:
    """Write the JSON Schema of every sort of file into ``folder``; return how many."""
    found = schemas()
    for name, schema in found.items():
        write(folder / name, (json.dumps(schema, indent=1, ensure_ascii=False) + "\n").encode("utf-8"))
    return len(found)
