"""The worked example of DEVELOPERS.md: written into a copy of the program as it stands there, it works."""

import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
BLOCK = re.compile(r"^```\w+ file=(\S+)\n(.*?)^```$", re.MULTILINE | re.DOTALL)
IN_ORDER = re.compile(r"put `(.*?)` behind `(.*?)`")


@pytest.fixture(scope="module")
def copy(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A copy of the program and of the tests' small guide, with what the example adds."""
    folder = tmp_path_factory.mktemp("clone")
    shutil.copytree(ROOT / "generator", folder / "generator", ignore=shutil.ignore_patterns("__pycache__"))
    for path in ("pyproject.toml", "tests/chapters/small_guide.py"):
        (folder / path).parent.mkdir(parents=True, exist_ok=True)
        shutil.copy(ROOT / path, folder / path)
    text = (ROOT / "DEVELOPERS.md").read_text("utf-8")
    for path, content in BLOCK.findall(text):
        assert not (ROOT / path).exists(), f"{path}: the example is new"
        (folder / path).parent.mkdir(parents=True, exist_ok=True)
        (folder / path).write_text(content, "utf-8")
    ((new, behind),) = IN_ORDER.findall(text)
    register = folder / "generator/rigleaf/chapters/register.py"
    before = register.read_text("utf-8")
    assert before.count(behind) == 1
    register.write_text(before.replace(behind, f"{behind}\n    {new}"), "utf-8")
    return folder


def run(folder: Path, *words: str) -> str:
    """Run Python in the copy, with the copied program and none of ours."""
    env = {**os.environ, "PYTHONPATH": f"{folder / 'generator'}{os.pathsep}{folder}"}
    done = subprocess.run(
        [sys.executable, "-P", "-m", *words],
        cwd=folder,
        env=env,
        capture_output=True,
        text=True,
        check=False,
        timeout=120,
    )
    assert done.returncode == 0, done.stdout + done.stderr
    return done.stdout


def test_its_own_tests_pass(copy: Path) -> None:
    said = run(copy, "pytest", "-q", "-p", "no:cacheprovider", "-p", "no:xdist", "tests")
    assert re.search(r"^7 passed", said, re.MULTILINE), said


def test_the_command_prints_its_figures(copy: Path) -> None:
    said = run(copy, "rigleaf.cli", "figures", "curlew-twin", "--dir", str(ROOT / "rigs"))
    assert re.search(r"^ +range +13\.5.*Dynamic range$", said, re.MULTILINE), said


def test_it_stands_on_the_pages_of_a_guide(copy: Path, tmp_path: Path) -> None:
    run(copy, "rigleaf.cli", "new", "guide", str(tmp_path / "club"))
    run(copy, "rigleaf.cli", "export", str(tmp_path / "site"), "--dir", str(tmp_path / "club"))
    (page, *_) = sorted(path for path in (tmp_path / "site/rigs").glob("*.html") if path.stem != "index")
    assert 'id="bright-and-faint"' in page.read_text("utf-8")
    assert 'id="dynamic-range"' in (tmp_path / "site/method/bright-and-faint.html").read_text("utf-8")


def test_it_is_written_as_the_linters_want(copy: Path) -> None:
    written = [path for path in BLOCK.findall((ROOT / "DEVELOPERS.md").read_text("utf-8")) if path[0].endswith(".py")]
    ruff = Path(sys.executable).with_name("ruff")
    if not ruff.exists():
        pytest.skip("ruff is not installed here")
    for command in (["check"], ["format", "--check"]):
        done = subprocess.run(
            [ruff, *command, "--no-cache", *(path for path, _ in written)],
            cwd=copy, capture_output=True, text=True, check=False,
        )  # fmt: skip
        assert done.returncode == 0, done.stdout + done.stderr
