"""Bad input as tables: each case is a small guide and the faults that it must bring, word for word.

The tables are the ``*.yml`` files beside this one. A case lays its ``files`` over the sound guide in ``base``
(or stands alone, with ``base: false``) and may ``change`` words in one of the sound files. A file is text,
``{bytes: "666f"}`` or ``{link: "../elsewhere.yml"}``. Input that is too large for a table is made here.
"""

from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory
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


@cache
def all_cases() -> dict[str, Case]:
    """Return the cases of all tables by their labels."""
    tables = [
        Case(table=table.stem, **case)
        for table in sorted(HERE.glob("*.yml"))
        for case in yaml.safe_load(table.read_text(encoding="utf-8"))
    ]
    cases = {case.label: case for case in (*tables, *_large_cases())}
    assert len(cases) == len(tables) + len(_large_cases()), "two cases have the same name"
    return cases


def _large_cases() -> list[Case]:
    """Return what a table would be too small for."""
    too_deep = "values are nested more than 24 deep"
    too_many = "the file holds more than 100,000 values (aliases counted)"
    deep_keys = "".join(f"{'  ' * depth}k:\n" for depth in range(30))
    bomb = "a0: &a0 [x, x]\n" + "".join(f"a{i}: &a{i} [*a{i - 1}, *a{i - 1}]\n" for i in range(1, 40))
    long_text = f"id: new\nname: New\nsummary: {'x' * 4001}\n"
    long_quantity = f"- {{id: new, kind: tool, name: New, mass: '1 x{' ' * 4000}x'}}\n"
    long_size = f"- {{id: new, kind: tool, name: New, packed: '1{' ' * 4000}x'}}\n"
    size = "write three lengths and a unit, like '420 x 180 x 160 mm'"
    rows: list[tuple[str, str, str, str]] = [
        (
            "too many bytes",
            "new.yml",
            "#" * 1_000_001,
            "1:1: the file is larger than 1,000,000 bytes; split it",
        ),
        ("lists nested too deep", "new.yml", f"name: {'[' * 30}{']' * 30}", f"1:31: {too_deep}"),
        (
            "lists nested far too deep",
            "new.yml",
            "[" * 5000,
            "1:1001: this is not YAML: values are nested far too deep",
        ),
        ("mappings nested too deep", "new.yml", deep_keys, f"26:51: {too_deep}"),
        ("too many values", "new.yml", "name:\n" + "- x\n" * 100_000, f"100000:3: {too_many}"),
        ("aliases of aliases", "new.yml", bomb, f"15:18: {too_many}"),
        ("too much text", "new.yml", long_text, "3:10: 'summary': the text is longer than 4,000 characters"),
        # Text that would take for ever if the patterns of quantities and sizes met all of it.
        (
            "blanks in a quantity",
            "parts/new.yml",
            long_quantity,
            f"1:42: '1 x{' ' * 56}…' is not a quantity; write it like '4.2 kg'",
        ),
        ("blanks in a size", "parts/new.yml", long_size, f"1:44: '1{' ' * 58}…' is not a size; {size}"),
    ]
    one_each = [Case("made", name, [f"{file}:{fault}"], {file: text}) for name, file, text, fault in rows]
    told = [f"new.yml:{line}:3: unknown part 'zz-{line}'; describe it in 'parts/'" for line in range(4, 204)]
    lines = "".join(f"- zz-{line}\n" for line in range(4, 1000))
    last = "new.yml:203:4: there may be more than these 200 faults; mend them and look again"
    return [
        *one_each,
        Case("made", "too many faults", [*told, last], {"new.yml": f"id: new\nname: New\ncarried:\n{lines}"}),
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


def faults_in(root: Path) -> tuple[Fault, ...]:
    """Return every fault of the guide in ``root``, in the order in which they are reported."""
    try:
        read_catalogue(root)
    except CatalogueError as error:
        return error.faults
    return ()


@cache
def faults_of(label: str) -> tuple[Fault, ...]:
    """Return the faults of a case."""
    with TemporaryDirectory() as folder:
        return faults_in(lay_out(all_cases()[label], Path(folder)))
