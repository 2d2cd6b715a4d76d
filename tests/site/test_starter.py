"""The guide that ``rigleaf new`` writes: faultless, strict, in step with the tutorial."""

import json
import re
from collections.abc import Callable
from pathlib import Path

import pytest
import yaml

from rigleaf.catalogue.reading import read_catalogue
from rigleaf.catalogue.schema import schemas
from rigleaf.chapters.study import study_rig
from rigleaf.cli import main
from rigleaf.site.commands.starter import write_starter
from tests.conftest import Once, build_guide


@pytest.fixture
def starter(tmp_path: Path) -> Path:
    folder = tmp_path / "our club"
    write_starter(folder)
    return folder


@pytest.fixture(scope="module")
def site(once: Once) -> Path:
    """The starter's site, built strictly."""

    def fill(folder: Path) -> None:
        write_starter(folder / "guide")
        build_guide("mkdocs", folder / "guide", folder / "site")

    return once("starter", fill) / "site"


def test_it_has_no_faults(starter: Path) -> None:
    catalogue = read_catalogue(starter)
    assert (len(catalogue.rigs), len(catalogue.places), len(catalogue.targets)) == (1, 1, 3)
    assert set(catalogue.used_by) == set(catalogue.parts)  # nothing stands on the shelf without a reason
    assert catalogue.guide.place in catalogue.places


def test_only_what_its_comments_announce_is_not_sound(starter: Path) -> None:
    catalogue = read_catalogue(starter)
    (rig,) = catalogue.rigs.values()
    # Hardly any rig may run by itself for a whole night; that is no fault of its description.
    wanting = [
        finding
        for _, finding in study_rig(catalogue, rig).findings
        if finding.verdict != "sound" and finding.id != "unattended"
    ]
    assert {(finding.verdict, finding.parts) for finding in wanting} == {("unsaid", ("power-lead",))}
    assert "Nobody has weighed it yet" in (starter / "rigs" / "parts" / "shelf.yml").read_text()


def test_it_builds_strictly_with_the_hand_written_page_among_the_others(site: Path) -> None:
    for name in ("index", "rigs/evening-rig", "parts/travel-refractor", "shelf/optic", "method/index"):
        assert (site / f"{name}.html").is_file(), name
    page = (site / "borrowing.html").read_text(encoding="utf-8")
    assert 'href="rigs/evening-rig.html"' in page
    assert "borrowing.html" in (site / "index.html").read_text(encoding="utf-8")


def test_neither_yaml_nor_schemas_nor_private_words_reach_its_site(site: Path) -> None:
    files = [path for path in site.rglob("*") if path.is_file()]
    yaml_there = [path for path in files if path.suffix in {".yml", ".yaml"} or path.parent.name == "schema"]
    assert [path.parent.name for path in yaml_there] == ["bundles"]
    assert [path for path in files if b"600 EUR" in path.read_bytes()] == []


def test_it_brings_what_publishes_it_and_nothing_left_over(starter: Path, package: Path) -> None:
    names = {path.relative_to(starter).as_posix() for path in starter.rglob("*") if path.is_file()}
    hidden = {name for name in names if name.startswith(".")}
    assert hidden == {".gitignore", ".gitlab-ci.yml", ".github/workflows/publish.yml"}
    assert {name for name in names if name.endswith((".npz", ".pyc"))} == set()
    assert [path for path in (package / "site" / "starter_guide").rglob(".*") if path.name != ".cache"] == []
    readme = (starter / "README.md").read_text(encoding="utf-8")
    assert [name for name in hidden - {".gitignore"} if name not in readme] == []
    assert {"/site/", "/public/", ".cache/"} <= set((starter / ".gitignore").read_text(encoding="utf-8").splitlines())


@pytest.mark.parametrize(("file", "folder"), [(".github/workflows/publish.yml", "site"), (".gitlab-ci.yml", "public")])
def test_the_workflows_check_build_and_upload_the_folder_that_they_built(
    file: str, folder: str, starter: Path, site: Path
) -> None:
    assert site.is_dir()  # so that what they run is known to work: the same command has built it
    workflow = yaml.safe_load((starter / file).read_text(encoding="utf-8"))
    if "pages" in workflow:
        job = workflow["pages"]
        lines, uploaded = job["script"], job["artifacts"]["paths"][0]
    else:
        steps = workflow["jobs"]["publish"]["steps"]
        lines = [step["run"] for step in steps if "run" in step]
        (uploaded,) = (step["with"]["path"] for step in steps if "upload" in step.get("uses", ""))
    assert lines == [
        "python -m pip install wheels/*.whl", "rigleaf check rigs", f"mkdocs build --strict --site-dir {folder}",
    ]  # fmt: skip
    assert uploaded == folder
    assert main(["check", str(starter / "rigs")]) == 0


@pytest.mark.parametrize("words", [["new"], ["new", "guide"]])
def test_the_command_writes_it_with_and_without_the_word_guide(words: list[str], tmp_path: Path) -> None:
    assert main([*words, str(tmp_path / "club")]) == 0
    assert (tmp_path / "club" / "mkdocs.yml").is_file()


def test_every_file_names_its_schema_and_the_schema_is_there(starter: Path) -> None:
    named = set()
    for path in (starter / "rigs").rglob("*.yml"):
        first = path.read_text(encoding="utf-8").splitlines()[0]
        schema = path.parent / first.removeprefix("# yaml-language-server: $schema=")
        assert json.loads(schema.read_text(encoding="utf-8")) == schemas()[schema.name]
        named.add(schema.name)
    # A beginner has neither carriers nor rules, journeys or a book of loans of their own.
    assert named | {"carriers.json", "rules.json", "trip.json", "desk.json"} == set(schemas())


def test_the_tutorial_can_be_followed_in_it(starter: Path, project: Path) -> None:
    text = (project / "docs" / "getting-started.md").read_text(encoding="utf-8")
    examples = re.findall(r"```yaml\n(.*?)```", text, re.DOTALL)
    (part,) = (example for example in examples if example.startswith("- id:"))
    (rig,) = (example for example in examples if example.startswith("id:"))
    with (starter / "rigs" / "parts" / "shelf.yml").open("a", encoding="utf-8") as shelf:
        shelf.write("\n" + part)
    (starter / "rigs" / "garden.yml").write_text(rig, encoding="utf-8")
    assert len(read_catalogue(starter).rigs) == 2


def with_a_file(target: Path) -> None:
    target.mkdir()
    (target / "mine.txt").write_text("mine")


def with_a_hidden_file(target: Path) -> None:
    target.mkdir()
    (target / ".mine").write_text("mine")


def as_a_file(target: Path) -> None:
    target.write_text("mine")


@pytest.mark.parametrize("taken", [with_a_file, with_a_hidden_file, as_a_file])
def test_it_refuses_what_is_not_an_empty_folder(
    taken: Callable[[Path], None], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    target = tmp_path / "taken"
    taken(target)
    before = sorted(tmp_path.rglob("*"))
    with pytest.raises(FileExistsError) as caught:
        write_starter(target)
    assert caught.value.args[0] == f"'{target}' is not an empty folder; name another, or empty it"
    assert main(["new", str(target)]) == 2
    assert capsys.readouterr().err == f"rigleaf: {caught.value.args[0]}\n"
    assert sorted(tmp_path.rglob("*")) == before


def test_an_empty_folder_and_one_that_lacks_its_parent_will_do(tmp_path: Path) -> None:
    (tmp_path / "empty").mkdir()
    for target in (tmp_path / "empty", tmp_path / "deep" / "down"):
        write_starter(target)
        assert (target / "mkdocs.yml").is_file()


def test_the_command_says_what_to_do_next(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["new", str(tmp_path / "guide")]) == 0
    assert "mkdocs serve" in capsys.readouterr().out
