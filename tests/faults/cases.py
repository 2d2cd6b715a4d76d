"""Bad input as tables: each case is a small guide and the faults that it must bring, word for word.

The tables are the ``*.yml`` files beside this one. A case lays its ``files`` over the sound guide in ``base``
(or stands alone, with ``base: false``) and may ``change`` words in one of the sound files. A file is text, or
``{bytes: "666f"}``, or ``{link: "../elsewhere.yml"}``.
"""

from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import yaml

from rigleaf.catalogue.faults import CatalogueError, Fault
from rigleaf.catalogue.reading import read_catalogue

HERE = Path(__file__).parent
BASE = HERE / "base"


@dataclass(frozen=True)
class Case:
    """One bad guide: where it is described, what it is made of and what must be said of it."""

    table: str
    name: str
    faults: list[str]
    files: dict[str, Any] = field(default_factory=dict)
    change: dict[str, dict[str, str]] = field(default_factory=dict)
    base: bool = True

    @property
    def label(self) -> str:
        """The name of the test."""
        return f"{self.table}: {self.name}"


def all_cases() -> list[Case]:
    """Return the cases of all tables."""
    return [
        Case(table=table.stem, **case)
        for table in sorted(HERE.glob("*.yml"))
        for case in yaml.safe_load(table.read_text(encoding="utf-8"))
    ]


def lay_out(case: Case, folder: Path) -> Path:
    """Write the guide of a case below ``folder`` and return its root."""
    root = folder / "guide"
    root.mkdir()
    if case.base:
        for path in BASE.rglob("*.yml"):
            _write(root / path.relative_to(BASE), path.read_bytes())
    for name, words in case.change.items():
        text = (root / name).read_text(encoding="utf-8")
        for old, new in words.items():
            assert text.count(old) == 1, f"'{old}' must stand once in {name}"
            text = text.replace(old, new)
        _write(root / name, text.encode())
    for name, given in case.files.items():
        if isinstance(given, str):
            _write(root / name, given.encode())
        elif "bytes" in given:
            _write(root / name, bytes.fromhex(given["bytes"]))
        else:
            (root / name).parent.mkdir(parents=True, exist_ok=True)
            (root / name).symlink_to(given["link"])
    return root


def _write(path: Path, content: bytes) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(content)


def faults_of(root: Path) -> tuple[Fault, ...]:
    """Return every fault of the guide in ``root``, in the order in which they are reported."""
    try:
        read_catalogue(root)
    except CatalogueError as error:
        return error.faults
    return ()
