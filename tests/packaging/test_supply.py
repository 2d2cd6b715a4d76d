"""What a release installs: pinned, with digests, looked over for known weaknesses, and each package for a reason."""

import importlib.util
import json
import re
import subprocess
import sys
import tomllib
from pathlib import Path
from types import ModuleType

import pytest
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

from tests.conftest import skip_or_fail

PIN = re.compile(r"^([\w.-]+)==([\w.]+)", re.MULTILINE)


def pins(text: str) -> dict[str, str]:
    return {canonicalize_name(name): version for name, version in PIN.findall(text)}


@pytest.fixture(scope="module")
def hashes(project: Path) -> str:
    return (project / "hashes.txt").read_text("utf-8")


@pytest.fixture(scope="module")
def wanted(project: Path) -> list[str]:
    settings = tomllib.loads((project / "pyproject.toml").read_text("utf-8"))
    return [canonicalize_name(Requirement(one).name) for one in settings["project"]["dependencies"]]


def test_digests_are_of_the_pinned_releases_and_of_all_that_is_wanted(
    project: Path, hashes: str, wanted: list[str]
) -> None:
    pinned = pins((project / "constraints.txt").read_text("utf-8"))
    assert pins(hashes).items() <= pinned.items()
    assert set(wanted) <= pins(hashes).keys()


def test_every_release_has_digests_and_there_is_no_address(hashes: str) -> None:
    entries = re.split(r"\n(?=\S)", hashes.strip())
    bare = [
        entry for entry in entries if not entry.startswith("#") and not re.search(r"--hash=sha256:[0-9a-f]{64}", entry)
    ]
    assert bare == []
    assert "://" not in hashes


@pytest.mark.parametrize("honest", [True, False])
def test_a_file_with_another_digest_is_refused(hashes: str, tmp_path: Path, honest: bool) -> None:
    """One small package stands for all; what compares the digests is pip."""
    (entry,) = re.findall(r"^segno==.*?(?=^\S|\Z)", hashes, re.MULTILINE | re.DOTALL)
    listed = tmp_path / "hashes.txt"
    listed.write_text(entry if honest else re.sub(r"sha256:\w{8}", "sha256:00000000", entry), "utf-8")
    command = [
        sys.executable,
        "-m",
        "pip",
        "--disable-pip-version-check",
        "download",
        "-q",
        "--no-deps",
        "--require-hashes",
    ]
    done = subprocess.run(
        [*command, "-d", tmp_path / "got", "-r", listed], capture_output=True, text=True, check=False, timeout=120
    )
    if done.returncode and "HASHES" not in done.stderr:
        skip_or_fail(f"no package registry was reached: {done.stderr[-300:]}")
    assert (done.returncode == 0) == honest
    assert len(list((tmp_path / "got").glob("segno*"))) == honest


def test_every_package_has_its_reason_in_the_guide_for_contributors(project: Path, wanted: list[str]) -> None:
    text = (project / "DEVELOPERS.md").read_text("utf-8")
    _, _, table = text.partition("## What it needs")
    told = re.findall(r"^\| `([\w-]+)` \|", table.partition("\n## ")[0], re.MULTILINE)
    assert sorted(told) == sorted(wanted)


@pytest.fixture(scope="module")
def audit(project: Path) -> ModuleType:
    path = project / "generator" / "tools" / "audit_pins.py"
    spec = importlib.util.spec_from_file_location("audit_pins", path)
    assert spec
    assert spec.loader
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def test_an_audit_fails_on_what_is_known_to_be_bad_and_on_nothing_else(audit: ModuleType) -> None:
    weak = {"name": "reed", "version": "1.0", "vulns": [{"id": "WEAK-1", "fix_versions": ["1.1", "2.0"]}]}
    hopeless = {"name": "rush", "version": "3", "vulns": [{"id": "WEAK-2", "fix_versions": []}]}
    fine = {"name": "sedge", "version": "2", "vulns": []}
    unknown = {"name": "moss", "skip_reason": "not found"}
    bad, told = audit.judge(json.dumps({"dependencies": [weak, hopeless, fine, unknown]}))
    assert bad == [
        "reed==1.0 is known to be bad: WEAK-1; mended in 1.1, 2.0",
        "rush==3 is known to be bad: WEAK-2; no release mends it",
    ]
    assert told.startswith("3 of 4 pinned packages were audited")
    assert audit.judge(json.dumps({"dependencies": [fine, unknown]}))[0] == []


@pytest.mark.parametrize("said", ["", "{", "[]", "{}"])
def test_without_data_an_audit_says_so_and_lets_pass(audit: ModuleType, said: str) -> None:
    assert audit.judge(said) == ([], "Nothing was audited: there are no data about known weaknesses at hand.")
