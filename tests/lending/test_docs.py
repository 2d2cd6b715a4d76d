"""What the page about the book shows is sound, example by example."""

import re
import shutil
from pathlib import Path

import pytest

from rigleaf.catalogue.reading import read_catalogue

EXAMPLE = re.compile(r"^```yaml\n(.*?)^```", re.DOTALL | re.MULTILINE)


def examples(project: Path) -> list[str]:
    return EXAMPLE.findall((project / "docs" / "lending.md").read_text("utf-8"))


@pytest.mark.parametrize("number", range(5))
def test_every_example_is_sound(number: int, project: Path, tmp_path: Path) -> None:
    found = examples(project)
    assert len(found) == 5
    shutil.copytree(project / "rigs", tmp_path / "rigs", ignore=shutil.ignore_patterns("desk"))
    (tmp_path / "rigs" / "desk").mkdir()
    (tmp_path / "rigs" / "desk" / "book.yml").write_text(found[number], encoding="utf-8")
    assert read_catalogue(tmp_path).desk
