"""The `rigleaf` command: exit codes, where it writes what, and messages that name the cure."""

import json
import os
import re
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import jsonschema
import pytest

import rigleaf
from rigleaf.cli import main
from tests.chapters.small_guide import PARTS, RIG
from tests.site.test_reports import CHECK, FAULTS, FIGURES
from tests.site.yaml_guide import write_guide

Command = Callable[..., tuple[int, str, str]]


@pytest.fixture
def command(capsys: pytest.CaptureFixture[str]) -> Command:
    """A function that runs the command in this process and returns exit code, output and complaints."""

    def run(*arguments: str | Path) -> tuple[int, str, str]:
        try:
            code = main([str(argument) for argument in arguments])
        except SystemExit as end:
            code = int(str(end.code))
        out, err = capsys.readouterr()
        return code, out, err

    return run


@pytest.fixture
def guide(tmp_path: Path) -> Path:
    return write_guide(tmp_path / "any folder", rigs=[RIG, {**RIG, "id": "second", "name": "Second rig"}])


@pytest.fixture
def faulty(guide: Path) -> Path:
    (guide / "guide.yml").write_text("name: Small guide\nunit: metric\n")
    (guide / "rig.yml").write_text("id: rig\nname: Rig\ntrain: [tubb]\n")
    return guide


def test_check_of_a_sound_guide(command: Command, guide: Path) -> None:
    code, out, err = command("check", guide)
    assert (code, err) == (0, "")
    assert out.startswith("Small guide: 2 rigs, 8 parts, no faults\n")
    assert "rig: Rig" in out
    assert "second: Second rig" in out


def test_check_all_lists_sound_findings_too(command: Command, guide: Path) -> None:
    assert "sound  Scale and field, Sampling:" not in command("check", guide)[1]
    assert "sound  Scale and field, Sampling:" in command("check", guide, "--all")[1]


def test_check_finds_the_rigs_folder_below(command: Command, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    write_guide(tmp_path / "rigs")
    monkeypatch.chdir(tmp_path)
    assert command("check")[0] == 0
    monkeypatch.chdir(tmp_path / "rigs")
    assert command("check")[0] == 0


def test_check_of_a_faulty_guide_names_every_fault_with_its_place_and_the_cure(command: Command, faulty: Path) -> None:
    code, out, err = command("check", faulty)
    assert (code, out) == (1, "")
    lines = err.splitlines()
    assert lines[0].startswith("guide.yml:2:1: ")
    assert "did you mean 'units'?" in lines[0]
    assert re.match(r"rig\.yml:3:\d+: .*'tubb'.*did you mean 'tube'\?", lines[1])
    assert lines[2:] == ["2 faults"]


def test_check_as_json(command: Command, guide: Path) -> None:
    code, out, err = command("check", guide, "--json")
    assert (code, err) == (0, "")
    jsonschema.validate(json.loads(out), CHECK)


def test_faults_as_json_go_where_json_is_read(command: Command, faulty: Path) -> None:
    code, out, err = command("check", faulty, "--json")
    assert (code, err) == (1, "")
    report = json.loads(out)
    jsonschema.validate(report, FAULTS)
    assert [(fault["file"], fault["line"]) for fault in report["faults"]] == [("guide.yml", 2), ("rig.yml", 3)]


def test_figures_of_every_rig_or_of_one(command: Command, guide: Path) -> None:
    code, out, err = command("figures", "--dir", guide)
    assert (code, err) == (0, "")
    assert [line for line in out.splitlines() if line.startswith(("rig:", "second:"))] == [
        "rig: Rig",
        "second: Second rig",
    ]
    _, one, _ = command("figures", "second", "--dir", guide)
    assert "rig: Rig" not in one.splitlines()
    assert re.search(r"focal-length +384\xa0mm +computed +Focal length", one)


def test_figures_as_json(command: Command, guide: Path) -> None:
    code, out, _ = command("figures", "rig", "--json", "--dir", guide)
    assert code == 0
    report = json.loads(out)
    jsonschema.validate(report, FIGURES)
    (rig,) = report["rigs"]
    (chapter,) = (one for one in rig["chapters"] if one["id"] == "scale-and-field")
    (focal_length,) = (one for one in chapter["figures"] if one["id"] == "focal-length")
    assert focal_length["value"] == pytest.approx(384)
    assert focal_length["unit"] == "mm"


@pytest.mark.parametrize(
    ("asked", "message"),
    [("secnd", "there is no rig 'secnd'; did you mean 'second'?"), ("zzzzzz", "there is no rig 'zzzzzz'")],
)
def test_a_mistyped_rig_is_told_the_nearest_name(command: Command, guide: Path, asked: str, message: str) -> None:
    assert command("figures", asked, "--dir", guide) == (2, "", f"rigleaf: {message}\n")


def test_schemas_are_written_where_editors_find_them(
    command: Command, guide: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(guide)
    code, out, err = command("schema")
    written = sorted(path.name for path in (guide / "schema").iterdir())
    assert (code, err) == (0, "")
    assert re.fullmatch(rf"{len(written)} schemas written to .*schema\n", out)
    assert {"guide.json", "rig.json", "parts.json"} <= set(written)
    for name in written:
        jsonschema.Draft202012Validator.check_schema(json.loads((guide / "schema" / name).read_text("utf-8")))
    assert command("check", guide)[0] == 0


def test_schemas_may_go_anywhere(command: Command, tmp_path: Path) -> None:
    assert command("schema", tmp_path / "a" / "b")[0] == 0
    assert (tmp_path / "a" / "b" / "rig.json").is_file()


@pytest.mark.parametrize(("form", "ending"), [("html", ".html"), ("markdown", ".md")])
def test_export_writes_as_many_pages_as_it_says(
    command: Command, guide: Path, tmp_path: Path, form: str, ending: str
) -> None:
    code, out, err = command("export", tmp_path / "pages", "--dir", guide, "--as", form)
    written = [path.relative_to(tmp_path / "pages") for path in (tmp_path / "pages").rglob(f"*{ending}")]
    # Copies to send stand in a folder of their own, and the page for lost addresses is none of the guide's.
    count = len([path for path in written if path.parts[0] not in {"assets", "404.html"}])
    assert (code, err) == (0, "")
    assert out == f"{count} pages written to {tmp_path / 'pages'}\n"
    assert count > 15


def test_export_refuses_a_folder_that_holds_something(command: Command, guide: Path, tmp_path: Path) -> None:
    (tmp_path / "pages").mkdir()
    (tmp_path / "pages" / "mine.txt").write_text("mine")
    code, out, err = command("export", tmp_path / "pages", "--dir", guide)
    assert (code, out) == (2, "")
    assert err == f"rigleaf: '{tmp_path / 'pages'}' is not an empty folder; name another, or empty it\n"


def test_export_of_a_faulty_guide_writes_nothing(command: Command, faulty: Path, tmp_path: Path) -> None:
    assert command("export", tmp_path / "pages", "--dir", faulty)[0] == 1
    assert not (tmp_path / "pages").exists()


@pytest.mark.parametrize("words", [("check",), ("figures", "--dir")])
def test_a_folder_that_is_not_there_is_named(command: Command, tmp_path: Path, words: tuple[str, ...]) -> None:
    assert command(*words, tmp_path / "nowhere") == (2, "", f"rigleaf: there is no folder '{tmp_path / 'nowhere'}'\n")


def test_what_the_system_refuses_is_told_in_words(command: Command, guide: Path, tmp_path: Path) -> None:
    (tmp_path / "file").write_text("x")
    code, out, err = command("export", tmp_path / "file" / "pages", "--dir", guide)
    assert (code, out) == (2, "")
    assert err.startswith(
        f"rigleaf: the new folder is written beside the old one, but '{tmp_path / 'file'}' does not let it"
    )
    assert err.count("\n") == 1


def test_version(command: Command) -> None:
    assert command("--version") == (0, f"rigleaf {rigleaf.__version__}\n", "")


@pytest.mark.parametrize("words", [(), ("chekc",), ("check", "--jsno"), ("export",), ("export", "x", "--as", "pdf")])
def test_wrong_use_is_told_how_to_use_it(command: Command, words: tuple[str, ...]) -> None:
    code, out, err = command(*words)
    assert (code, out) == (2, "")
    assert err.startswith("usage: rigleaf")


def test_help_names_every_command(command: Command) -> None:
    code, out, _ = command("--help")
    assert code == 0
    assert [word for word in ("check", "figures", "schema", "export", "new") if word not in out] == []


# --- In a process of its own -----------------------------------------------------------------------------------


def test_a_reader_who_has_seen_enough_is_no_error(guide: Path) -> None:
    """As in `rigleaf figures | head -1`: the pipe closes early."""
    many = [{**RIG, "id": f"rig-{n}", "name": f"Rig {n}"} for n in range(40)]
    write_guide(guide, shelf=PARTS, rigs=many)
    script = f"{sys.executable} -m rigleaf.cli figures --json --dir '{guide}'; echo code $? >&2"
    done = subprocess.run(
        ["/bin/sh", "-c", f"({script}) | head -c 10"], capture_output=True, text=True, check=True, timeout=60
    )
    assert done.stderr == "code 0\n"
    assert len(done.stdout) == 10


def test_a_terminal_without_unicode_gets_an_answer_too(guide: Path) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "rigleaf.cli", "figures", "--dir", str(guide)],
        capture_output=True,
        check=False,
        timeout=60,
        env={**os.environ, "PYTHONIOENCODING": "ascii", "PYTHONUTF8": "0"},
    )
    assert (done.returncode, done.stderr) == (0, b"")


def test_checking_needs_neither_mkdocs_nor_a_template(guide: Path) -> None:
    program = (
        "import sys\nfrom rigleaf.cli import main\n"
        f"main(['check', {str(guide)!r}])\n"
        "print(sorted({'mkdocs', 'jinja2', 'lxml', 'markdown'} & set(sys.modules)), file=sys.stderr)"
    )
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True, timeout=60)
    assert done.stderr == "[]\n"


def with_journey(guide: Path) -> Path:
    """Give the guide a journey and a part with private values."""
    (guide / "trips").mkdir()
    (guide / "trips" / "south.yml").write_text(
        "id: south\nname: To the <south>\ntravellers: [{id: first, called: the first}]\nrigs: [rig]\n"
        "legs: [{date: 2027-03-01, leaves: Here, arrives: There}]\n"
    )
    (guide / "parts" / "more.yml").write_text(
        "- {id: lens, kind: optic, name: Lens, private: {serial: SN-1234-X, value: 900 EUR}}\n"
    )
    return guide


def test_customs_writes_the_private_list_outside_the_site(command: Command, guide: Path, tmp_path: Path) -> None:
    with_journey(guide)
    trip = guide / "trips" / "south.yml"
    trip.write_text(trip.read_text() + "extras: [lens]\n")
    target = tmp_path / "print me.html"
    code, out, err = command("customs", "south", "-o", target, "--dir", guide)
    assert (code, err) == (0, "")
    assert out.endswith(f"parts listed in {target}. It is private: print it, then delete it.\n")
    page = target.read_text(encoding="utf-8")
    body = page.partition("<body>")[2].strip()
    assert body.startswith('<p class="warning">Private. This list has serial numbers and values.')
    assert "SN-1234-X" in page
    assert "900 EUR" in page
    assert "To the &lt;south&gt;" in page
    assert re.findall(r"(?:src|href)=|https?:|<script", page) == []


@pytest.mark.parametrize("folder", [".", "trips", "../docs", "../site", "../built"])
def test_customs_never_writes_where_a_site_is_made(command: Command, guide: Path, folder: str) -> None:
    with_journey(guide)
    (guide.parent / "mkdocs.yml").write_text("site_name: Guide\nsite_dir: built\n")
    target = guide / folder / "list.html"
    target.parent.mkdir(exist_ok=True)
    code, out, err = command("customs", "south", "-o", target, "--dir", guide)
    assert (code, out) == (2, "")
    assert "from where it could get onto the website; write it elsewhere" in err
    assert not target.exists()


def test_customs_of_an_unknown_journey(command: Command, guide: Path, tmp_path: Path) -> None:
    with_journey(guide)
    code, _, err = command("customs", "sout", "-o", tmp_path / "list.html", "--dir", guide)
    assert (code, err) == (2, "rigleaf: there is no journey 'sout'; did you mean 'south'?\n")


def test_share_writes_one_file_to_send(command: Command, guide: Path, tmp_path: Path) -> None:
    target = tmp_path / "to send.html"
    code, out, err = command("share", "rig", "--dir", guide, "-o", target, "--site", "https://club.example/")
    assert (code, err) == (0, "")
    assert re.fullmatch(r".*to send\.html is ready to send, \d+ kB\. Read it before you do\.\n", out)
    assert "https://club.example/rigs/rig.html" in target.read_text("utf-8")
    code, out, err = command("share", "rig", "--dir", guide, "-o", target)
    assert (code, out) == (2, "")
    assert err == f"rigleaf: '{target}' exists already; name another file\n"


def test_share_goes_by_the_rigs_name_where_no_file_is_named(
    command: Command, guide: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    assert command("share", "rig", "--dir", guide)[0] == 0
    assert (tmp_path / "rig.html").read_text("utf-8").startswith("<!doctype html>")


def test_share_prints_a_few_lines_with_the_address_as_the_site_has_it(command: Command, guide: Path) -> None:
    code, out, err = command("share", "rig", "--text", "--dir", guide, "--site", "https://club.example/", "--folders")
    assert (code, err) == (0, "")
    assert out.startswith("Rig (Small guide)\n")
    assert out.endswith("\nhttps://club.example/rigs/rig/\n")


def test_share_knows_the_nearest_name(command: Command, guide: Path) -> None:
    code, out, err = command("share", "secnd", "--dir", guide)
    assert (code, out, err) == (2, "", "rigleaf: there is no rig 'secnd'; did you mean 'second'?\n")
