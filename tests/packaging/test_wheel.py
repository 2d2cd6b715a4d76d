"""The wheel alone, in an empty environment, builds a guide from a folder of YAML somewhere else."""

import json
import os
import re
import subprocess
import sys
import zipfile
from collections import Counter
from pathlib import Path

import pytest
import yaml

from rigleaf.site.delivery.static_files import static_content, static_files
from tests.conftest import Once, quiet_environment, run, skip_or_fail

GUIDE = {
    "guide.yml": "name: Harbour guide\n",
    "parts/all.yml": """\
- id: brass-tube
  kind: optic
  name: Brass tube
  form: refractor
  aperture: 70 mm
  focal_length: 420 mm
  mass: 2.1 kg
- id: grey-camera
  kind: camera
  name: Grey camera
  sensor: {pixels: 4000 x 3000, pixel: 3.8 um}
  mass: 500 g
- id: small-mount
  kind: mount
  name: Small mount
  mass: 4 kg
  private: {serial: SERIAL-0815}
""",
    "parts/all.yml.bak": "serial: SERIAL-0815\n",
    "evening-rig.yml": """\
id: evening-rig
name: Evening rig
train: [brass-tube, grey-camera]
mount: small-mount
""",
}

# Runs first in the new environment's interpreter and writes down every file that Python opens.
NOTE_OPENED_FILES = """\
import os, sys
if log := os.environ.get("OPENED_FILES"):
    out = os.open(log, os.O_WRONLY | os.O_CREAT | os.O_APPEND)

    def note(event, args):
        if event == "open":
            os.write(out, (os.path.realpath(str(args[0])) + "\\n").encode())

    sys.addaudithook(note)
"""

NO_NETWORK = re.compile(r"NewConnectionError|NameResolutionError|name resolution|ConnectTimeout|Network is unreach")


@pytest.fixture(scope="module")
def wheel(once: Once, project: Path) -> Path:
    def fill(folder: Path) -> None:
        run(
            [sys.executable, "-m", "build", "--wheel", "--no-isolation", "--outdir", folder, project],
            cwd=folder,
        )

    return next(once("wheel", fill).glob("*.whl"))


@pytest.fixture(scope="module")
def wheel_names(wheel: Path) -> list[str]:
    with zipfile.ZipFile(wheel) as archive:
        return archive.namelist()


@pytest.fixture(scope="module")
def elsewhere(once: Once, wheel: Path, project: Path) -> Path:
    """A folder with an environment that holds the wheel and nothing of this one, and a small guide, built."""
    return once("some where else", lambda folder: build_elsewhere(folder, wheel, project))


def five_lines(project: Path) -> str:
    """The mkdocs.yml that README.md shows, as it stands there."""
    (block,) = re.findall(r"```yaml\n(site_name:.*?)```", (project / "README.md").read_text("utf-8"), re.DOTALL)
    return str(block)


def build_elsewhere(folder: Path, wheel: Path, project: Path) -> None:
    subprocess.run([sys.executable, "-m", "venv", folder / "venv"], check=True)
    install = ["-m", "pip", "--disable-pip-version-check", "install", "-qq", "--no-compile", "--constraint"]
    command = [str(folder / "venv" / "bin" / "python"), *install, str(project / "constraints.txt"), str(wheel)]
    done = subprocess.run(command, env=outside(), capture_output=True, text=True, check=False)
    if done.returncode and NO_NETWORK.search(done.stderr):
        skip_or_fail("the package registry cannot be reached")
    assert done.returncode == 0, done.stderr
    packages = next((folder / "venv").glob("lib/python*/site-packages"))
    (packages / "note_opened_files.py").write_text(NOTE_OPENED_FILES)
    (packages / "note_opened_files.pth").write_text("import note_opened_files\n")
    (folder / "mkdocs.yml").write_text(five_lines(project), encoding="utf-8")
    for name, text in GUIDE.items():
        path = folder / "rigs" / name
        path.parent.mkdir(exist_ok=True, parents=True)
        path.write_text(text)
    run(
        [folder / "venv" / "bin" / "mkdocs", "build", "--strict"],
        cwd=folder,
        env=outside() | {"OPENED_FILES": str(folder / "opened")},
    )


def outside() -> dict[str, str]:
    """An environment that does not lead back to this project."""
    return {name: value for name, value in quiet_environment().items() if name not in {"PYTHONPATH", "VIRTUAL_ENV"}}


def test_every_file_of_the_package_is_in_the_wheel_and_nothing_else(
    wheel_names: list[str], package: Path, project_files: list[Path]
) -> None:
    source = {str(p.relative_to(package.parent)) for p in project_files if p.is_relative_to(package)}
    assert {name for name in wheel_names if ".dist-info/" not in name} == source


def test_templates_styles_and_data_are_among_them(wheel_names: list[str]) -> None:
    endings = Counter(Path(name).suffix for name in wheel_names)
    assert {ending for ending in (".html", ".css", ".js", ".yml", ".woff2") if not endings[ending]} == set()
    assert "rigleaf/py.typed" in wheel_names


def test_licences_travel_along(wheel_names: list[str]) -> None:
    assert any(name.endswith(".dist-info/licenses/LICENSE") for name in wheel_names)


def test_the_readme_shows_a_whole_mkdocs_yml_of_five_lines(project: Path) -> None:
    lines = five_lines(project).splitlines()
    assert len(lines) == 5
    assert yaml.safe_load("\n".join(lines))["docs_dir"] == "rigs"


def test_the_readme_names_the_wheel_that_is_built(wheel: Path, project: Path) -> None:
    text = (project / "README.md").read_text("utf-8")
    assert "pip install .\n" in re.sub(r" +#.*", "", text)
    assert f"pip install dist/{wheel.name}" in text


@pytest.mark.registry
def test_a_guide_elsewhere_publishes_no_yaml_though_it_lies_in_its_docs(elsewhere: Path) -> None:
    files = [path for path in (elsewhere / "site").rglob("*") if path.is_file()]
    assert [path for path in files if b"SERIAL-0815" in path.read_bytes()] == []
    assert [path.name for path in files if ".yml" in path.name] == ["evening-rig.bundle.yml"]


@pytest.mark.registry
def test_a_guide_elsewhere_has_a_page_for_the_rig_and_each_part(elsewhere: Path) -> None:
    pages = [path.read_text() for path in (elsewhere / "site").rglob("*.html")]
    titles = {re.sub(r"<[^>]*>", "", heading).strip() for page in pages for heading in headings(page)}
    assert {"Evening rig", "Brass tube", "Grey camera", "Small mount"} <= titles


def headings(page: str) -> list[str]:
    return re.findall(r"<h1\b[^>]*>(.*?)</h1>", page, re.DOTALL)


@pytest.mark.registry
def test_a_guide_elsewhere_has_the_packages_styles_and_fonts(elsewhere: Path) -> None:
    own = [path for path in static_files() if path.endswith((".css", ".js", ".woff2"))]
    assert len(own) > 10
    assert [path for path in own if (elsewhere / "site" / path).read_bytes() != static_content(path)] == []


@pytest.mark.registry
def test_every_style_script_and_picture_that_a_page_asks_for_is_there(elsewhere: Path) -> None:
    missing = []
    for page in (elsewhere / "site").rglob("*.html"):
        if "copies" in page.parts:  # a copy to send asks for nothing
            continue
        text = page.read_text()
        asked = re.findall(r'<(?:script|img)\b[^>]*\bsrc="([^"]+)"', text)
        asked += re.findall(r'<link\b(?=[^>]*\brel="(?:stylesheet|icon)")[^>]*\bhref="([^"]+)"', text)
        assert asked
        base = elsewhere / "site" if page.name == "404.html" else page.parent
        missing += [
            f"{page.name}: {address}"
            for address in asked
            if not (base / address.partition("?")[0].lstrip("/")).is_file()
        ]
    assert missing == []


@pytest.mark.registry
def test_a_guide_elsewhere_uses_no_file_of_the_source_tree(elsewhere: Path, project: Path) -> None:
    opened = {Path(line) for line in (elsewhere / "opened").read_text().splitlines()}
    installed = {path for path in opened if path.is_relative_to(elsewhere / "venv") and "rigleaf" in path.parts}
    assert {".py", ".html", ".css", ".yml"} <= {path.suffix for path in installed}
    assert [path for path in opened if path.is_relative_to(project)] == []


@pytest.mark.registry
def test_the_site_elsewhere_names_no_folder_of_this_machine(elsewhere: Path, project: Path) -> None:
    own = [os.fsencode(elsewhere), os.fsencode(project)]
    files = [path for path in (elsewhere / "site").rglob("*") if path.is_file()]
    assert [path for path in files if any(folder in path.read_bytes() for folder in own)] == []


@pytest.mark.registry
def test_the_command_judges_the_guide_elsewhere(elsewhere: Path) -> None:
    command = elsewhere / "venv" / "bin" / "rigleaf"
    run([command, "check", "rigs"], cwd=elsewhere, env=outside())
    figures = json.loads(run([command, "figures", "evening-rig", "--json"], cwd=elsewhere, env=outside()))
    assert figures


@pytest.mark.registry
def test_the_command_exports_as_many_pages_as_mkdocs_builds(elsewhere: Path, tmp_path: Path) -> None:
    command = elsewhere / "venv" / "bin" / "rigleaf"
    run([command, "export", tmp_path / "pages"], cwd=elsewhere, env=outside())
    built = {path for path in (elsewhere / "site").rglob("*.html") if path.name != "404.html"}
    written = (path for path in (tmp_path / "pages").rglob("*") if path.name != "404.html")
    exported = {path for path in written if path.suffix in {".html", ".md"}}
    assert len(exported) == len(built) > len(GUIDE)
