"""What every kind of test shares: where things are, running commands, and builds made once a run."""

import os
import re
import shutil
import subprocess
import sys
import time
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path

import pytest

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.catalogue.reading import read_catalogue
from rigleaf.chapters.study import RigStudy, study_guide
from rigleaf.site.book import Book, make_book
from rigleaf.site.export import Form, export
from rigleaf.site.typeset.addresses import Addresses

# Pages made in this process and those of a command are of one day, and that is a day of the demo's book of loans.
os.environ.setdefault("SOURCE_DATE_EPOCH", "1795521600")

PROJECT = Path(__file__).resolve().parent.parent

Fill = Callable[[Path], None]
Once = Callable[[str, Fill], Path]

LONG_ONES_FIRST = (
    "packaging/test_wheel.py",
    "test_sentences.py",
    "browser/",
    "packaging/",
    "bench/",
    "engine/",
    "hostile/",
    "site/",
)
"""Files that take long are begun first: each is run by one worker, and none should wait for another at the end."""

_SKIPPED = f"{pytest.skip.Exception.__name__}: "


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Put the files that take long first; the order within a file stays."""

    def rank(item: pytest.Item) -> int:
        path = item.path.relative_to(PROJECT / "tests").as_posix()
        found = (number for number, start in enumerate(LONG_ONES_FIRST) if path.startswith(start))
        return next(found, len(LONG_ONES_FIRST))

    items.sort(key=rank)


@pytest.fixture(scope="session")
def project() -> Path:
    """The folder that holds pyproject.toml."""
    return PROJECT


@pytest.fixture(scope="session")
def package(project: Path) -> Path:
    """The folder of the package's source."""
    return project / "generator" / "rigleaf"


@pytest.fixture(scope="session")
def project_files(project: Path) -> list[Path]:
    """Every file that is, or is about to be, under version control; in a plain download, all but builds."""
    if (project / ".git").exists():
        listed = run(["git", "ls-files", "-z", "--cached", "--others", "--exclude-standard"], cwd=project)
        found = [project / name for name in listed.split("\0") if name]
    else:
        hidden = re.compile(r"(^|/)(\.[^/]+|__pycache__)/|^(site|dist|build|export)/")
        found = [p for p in project.rglob("*") if not hidden.search(p.relative_to(project).as_posix())]
    return sorted(path for path in found if path.is_file())


@pytest.fixture(scope="session")
def once(tmp_path_factory: pytest.TempPathFactory) -> Once:
    """A function that fills a folder once a run: the first worker that asks does it, the others wait.

    It takes a name and a function that fills the folder given to it, and returns the folder. Tests must not
    write into it.
    """
    base = tmp_path_factory.getbasetemp()
    if "PYTEST_XDIST_WORKER" in os.environ:
        base = base.parent

    def folder_filled_once(name: str, fill: Fill) -> Path:
        folder, done = base / name, base / f"{name}.done"
        try:
            folder.mkdir()
        except FileExistsError:
            _wait_for(done)
        else:
            try:
                fill(folder)
            except BaseException as error:
                _write_at_once(done, f"{type(error).__name__}: {error}")
                raise
            _write_at_once(done, "")
        trouble = done.read_text()
        if trouble.startswith(_SKIPPED):
            pytest.skip(trouble.removeprefix(_SKIPPED))
        if trouble:
            pytest.fail(f"{name!r} could not be made when it was first asked for: {trouble}")
        return folder

    return folder_filled_once


def _wait_for(path: Path, seconds: float = 900) -> None:
    end = time.monotonic() + seconds
    while not path.exists():
        if time.monotonic() > end:
            pytest.fail(f"{path} was not made within {seconds} s")
        time.sleep(0.05)


def _write_at_once(path: Path, text: str) -> None:
    draft = path.with_suffix(".draft")
    draft.write_text(text)
    draft.replace(path)


@pytest.fixture(scope="session")
def demo_site(once: Once, project: Path) -> Path:
    """The demo guide, built strictly by MkDocs as `make guide` does, in a folder whose name has a space."""
    return once("demo site", lambda folder: build_guide("mkdocs", project, folder))


@pytest.fixture(scope="session")
def german_site(once: Once, project: Path) -> Path:
    """The demo guide with ``language: de``, built strictly."""

    def fill(folder: Path) -> None:
        source = folder.parent / f"{folder.name} source"
        for part in ("docs", "overrides", "rigs"):
            shutil.copytree(project / part, source / part, dirs_exist_ok=True)
        shutil.copy(project / "mkdocs.yml", source)
        guide = source / "rigs" / "guide.yml"
        guide.write_text(guide.read_text(encoding="utf-8") + "\nlanguage: de\n", encoding="utf-8")
        build_guide("mkdocs", source, folder)
        shutil.rmtree(source)

    return once("demo site in German", fill)


@pytest.fixture(scope="session")
def demo(project: Path) -> Catalogue:
    """The demo guide, read once by each worker."""
    return read_catalogue(project)


@pytest.fixture(scope="session")
def demo_studies(demo: Catalogue) -> tuple[RigStudy, ...]:
    """The studies of all rigs of the demo, in its order."""
    return study_guide(demo)


@pytest.fixture(scope="session")
def demo_book(demo: Catalogue) -> Book:
    """The pages and files of the demo, with addresses of files."""
    return make_book(demo, Addresses(folders=False))


@pytest.fixture(scope="session")
def exported_as(once: Once, demo: Catalogue) -> Callable[[Form], Path]:
    """A function that returns the demo as `rigleaf export` writes it in a form, once a run."""

    def folder_of(form: Form) -> Path:
        def fill(folder: Path) -> None:
            written = export(demo, folder, form)
            found = (path.relative_to(folder) for path in folder.rglob("*.md" if form == "markdown" else "*.html"))
            assert written == sum(path.parts[0] not in {"assets", "404.html"} for path in found)

        return once(f"export as {form}", fill)

    return folder_of


def build_guide(engine: str, source: Path, site: Path) -> None:
    """Build the guide in ``source`` into ``site`` with ``mkdocs`` or a fork with the same command line."""
    run([sys.executable, "-m", engine, "build", "--strict", "--site-dir", str(site)], cwd=source)


def run(command: Sequence[str | Path], *, cwd: Path, env: Mapping[str, str] | None = None) -> str:
    """Run a command and return its standard output; when it fails, fail the test with all that it said."""
    done = subprocess.run(command, cwd=cwd, env=env or quiet_environment(), capture_output=True, text=True, check=False)
    if done.returncode:
        words = " ".join(map(str, command))
        pytest.fail(f"{words!r} ended with {done.returncode}:\n{done.stdout}\n{done.stderr}", pytrace=False)
    return done.stdout


def quiet_environment() -> dict[str, str]:
    """This environment with the Makefile's settings: no banners."""
    return {
        **os.environ,
        "NO_MKDOCS_2_WARNING": "1",
        "DISABLE_MKDOCS_2_WARNING": "true",
    }


def skip_or_fail(reason: str) -> None:
    """Skip the test, saying why; where CI is set, fail it: nothing may be left out there unseen."""
    if os.environ.get("CI"):
        pytest.fail(reason, pytrace=False)
    pytest.skip(reason)
