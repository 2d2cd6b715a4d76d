"""A rig handed on and taken in: the same figures elsewhere, nothing overwritten, nothing private, nothing guessed."""

import os
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
import yaml

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.catalogue.faults import CatalogueError
from rigleaf.catalogue.reading import read_catalogue
from rigleaf.chapters.study import study_rig
from rigleaf.cli import main
from rigleaf.desk.bundle import write_bundle
from rigleaf.desk.drafts import write_drafts
from rigleaf.desk.errors import DeskError
from rigleaf.desk.handing import hand_on, take_in
from rigleaf.site.commands.reports import figures_json
from tests.chapters.small_guide import PARTS, RIG, parts
from tests.site.yaml_guide import write_guide

PLACE = {"id": "field", "name": "Field", "latitude": "50 deg", "longitude": "7 deg", "seeing": "2 arcsec",
         "notes": "The key lies under the stone."}  # fmt: skip
TARGET = {"id": "m33", "name": "Triangulum Galaxy", "object": "M 33"}
SECRETS = {"private": {"serial": "SN-0815", "value": "900 EUR"}, "asset": "TAG-7", "owned": 3}
RIGS = ("heron-cabin", "bittern-heavy", "curlew-twin", "heron-eclipse", "balcony-grebe", "workshop-misfits")
OWN = ("shelf-error", "judged-for", "answer")


@pytest.fixture
def club(tmp_path: Path) -> Path:
    """A guide with everything that a bundle may carry, and what it must not."""
    return write_guide(
        tmp_path / "club",
        shelf=parts(tube=SECRETS | {"notes": "Quirk."}, spare={"kind": "optic", "name": "Spare"}),
        rigs=[{**RIG, "targets": ["m33"]}],
        places=[PLACE],
        targets=[TARGET],
        place="field",
        year=2027,
        choices={"seeing": "2.2 arcsec", "load_margin": "30 %"},
    )


@pytest.fixture
def bundle(club: Path, tmp_path: Path) -> Path:
    path = tmp_path / "rig.bundle.yml"
    hand_on(club, "rig", path)
    return path


def contents(folder: Path) -> dict[str, bytes]:
    return {str(path.relative_to(folder)): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def figures(catalogue: Catalogue, rig: str) -> list[Any]:
    """Every figure but what is the reader's own: what the shelf could do better, and whom the club flies with."""
    (found,) = figures_json([study_rig(catalogue, catalogue.rigs[rig])])["rigs"]
    return [one for chapter in found["chapters"] for one in chapter["figures"] if one["id"] not in OWN]


@pytest.mark.parametrize("rig", RIGS)
def test_the_figures_are_the_same_in_an_empty_guide(rig: str, demo: Catalogue, tmp_path: Path) -> None:
    (tmp_path / "empty").mkdir()
    (tmp_path / "rig.yml").write_text(write_bundle(demo, rig), encoding="utf-8")
    take_in(tmp_path / "empty", tmp_path / "rig.yml")
    there = figures(read_catalogue(tmp_path / "empty"), rig)
    assert there == figures(demo, rig)
    assert len(there) > 10


def test_a_bundle_says_what_it_is_and_holds_nothing_private(bundle: Path) -> None:
    text = bundle.read_text(encoding="utf-8")
    assert text.startswith("# A rig to hand on")
    for secret in ("SN-0815", "900 EUR", "TAG-7", "owned:", "under the stone"):
        assert secret not in text
    assert "Quirk." in text
    held = yaml.safe_load(text)
    assert {part["id"] for part in held["parts"]} == set(PARTS)  # not the spare one
    assert held["rig"]["place"] == "field"  # the guide's, said aloud
    assert held["assumes"] == {"year": 2027, "choices": {"seeing": "2.2 arcsec", "load_margin": "30 %"}}


def test_the_place_may_stay_at_home(club: Path, tmp_path: Path) -> None:
    text = write_bundle(read_catalogue(club), "rig", with_place=False)
    assert "places" not in yaml.safe_load(text)
    assert "50 deg" not in text
    (tmp_path / "b.yml").write_text(text)
    (tmp_path / "empty").mkdir()
    take_in(tmp_path / "empty", tmp_path / "b.yml")
    assert read_catalogue(tmp_path / "empty").places == {}


def test_a_bundle_is_not_written_over_anything_nor_where_a_guide_would_read_it(club: Path, bundle: Path) -> None:
    with pytest.raises(DeskError, match="exists already; name another file"):
        hand_on(club, "rig", bundle)
    with pytest.raises(DeskError, match="lies in the guide's own folder, which would read it as a rig"):
        hand_on(club, "rig", club / "rig.bundle.yml")


def test_what_is_taken_in_counts_as_not_owned_unless_it_is(bundle: Path, tmp_path: Path) -> None:
    for owned, count in ((False, 0), (True, None)):
        folder = tmp_path / str(owned)
        folder.mkdir()
        take_in(folder, bundle, owned=owned)
        assert {part.owned for part in read_catalogue(folder).parts.values()} == {count}


def test_taking_in_what_is_there_changes_nothing(club: Path, bundle: Path) -> None:
    before = contents(club)
    assert "Nothing to do: all of this stands in the guide already." in take_in(club, bundle)
    assert contents(club) == before


def test_every_line_that_stood_in_the_guide_stands_there_still(bundle: Path, tmp_path: Path) -> None:
    mine = write_guide(tmp_path / "mine", places=[{"id": "hill", "name": "Hill"}], rigs=[{**RIG, "id": "other"}])
    (mine / "targets.yml").write_text("# Ours.\n\n  - id: m31\n    name: Andromeda  # large\n")
    before = contents(mine)
    take_in(mine, bundle)
    for name, content in before.items():
        assert contents(mine)[name].startswith(content), name
    assert set(read_catalogue(mine).targets) == {"m31", "m33"}


def clashing(tmp_path: Path, **changes: Any) -> Path:
    return write_guide(tmp_path / "mine", shelf=parts(**changes), rigs=[{**RIG, "id": "other"}])


def test_a_clash_is_never_decided_silently(bundle: Path, tmp_path: Path) -> None:
    mine = clashing(tmp_path, motor={"mass": "250 g"}, legs={"mass": "4 kg"})
    before = contents(mine)
    with pytest.raises(DeskError) as caught:
        take_in(mine, bundle, yes=True)
    assert str(caught.value).splitlines() == [
        "the part 'motor' stands in your guide with other content (mass: 250 g in yours, 200 g in the bundle)",
        "the part 'legs' stands in your guide with other content (mass: 4 kg in yours, 3 kg in the bundle)",
        "nothing was written; --match lets your own entries serve, --rename takes theirs in under another id",
    ]
    assert contents(mine) == before


def test_the_same_quantity_written_otherwise_is_no_clash(bundle: Path, tmp_path: Path) -> None:
    mine = clashing(tmp_path, motor={"mass": "0.2 kg", "notes": "Ours.", "owned": 4, "name": "The motor"})
    assert "yours serve: " in take_in(mine, bundle)
    assert read_catalogue(mine).parts["motor"].notes == "Ours."


def test_renamed_parts_are_named_anew_wherever_they_are_named(bundle: Path, tmp_path: Path) -> None:
    mine = clashing(tmp_path, motor={"mass": "250 g"}, tube={"aperture": "70 mm"})
    said = take_in(mine, bundle, rename=True)
    assert "new under another id: tube as tube-2, motor as motor-2" in said
    found = read_catalogue(mine)
    assert [use.part for use in found.rigs["rig"].train] == ["tube-2", "reducer", "camera"]
    assert [use.part for use in found.rigs["rig"].riders] == ["motor-2"]
    assert found.parts["motor"].mass is not None
    assert found.parts["motor"].mass.text == "250 g"
    before = contents(mine)
    assert "Nothing to do" in take_in(mine, bundle)  # what was renamed then is found again
    assert contents(mine) == before


def test_with_match_ones_own_parts_serve(bundle: Path, tmp_path: Path) -> None:
    mine = clashing(tmp_path, motor={"mass": "250 g"})
    take_in(mine, bundle, match=True)
    assert list((mine / "parts").iterdir()) == [mine / "parts" / "shelf.yml"]
    assert read_catalogue(mine).used_by["motor"] == ("other", "rig")


def test_a_rig_of_the_same_name_is_never_matched(bundle: Path, tmp_path: Path) -> None:
    mine = write_guide(tmp_path / "mine", rigs=[{**RIG, "tripod": None, "targets": []}])
    with pytest.raises(DeskError, match="the rig 'rig' stands in your guide with other content"):
        take_in(mine, bundle, match=True)
    take_in(mine, bundle, match=True, rename=True)
    assert set(read_catalogue(mine).rigs) == {"rig", "rig-2"}


def test_what_the_guides_assume_otherwise_is_told(bundle: Path, tmp_path: Path) -> None:
    mine = write_guide(tmp_path / "mine", rigs=[], choices={"seeing": "3 arcsec"}, year=2028)
    said = take_in(mine, bundle)
    assert "  seeing: 3 arcsec in your guide, 2.2 arcsec in theirs" in said
    assert "  load margin: 20 % in your guide, 30 % in theirs" in said
    assert "  year: 2028 in your guide, 2027 in theirs" in said


# --- At a terminal ------------------------------------------------------------------------------------------------


def answers(*given: str) -> Callable[[str], str]:
    waiting = list(given)

    def answer(question: str) -> str:
        assert question.endswith(": ")
        if not waiting:
            raise EOFError
        return waiting.pop(0)

    return answer


def test_one_is_asked_about_each_clash_and_before_writing(bundle: Path, tmp_path: Path) -> None:
    mine = clashing(tmp_path, motor={"mass": "250 g"}, legs={"mass": "4 kg"})
    take_in(mine, bundle, answer=answers("what?", "R", "y", "yes"))
    assert set(read_catalogue(mine).parts) == {*PARTS, "motor-2"}


@pytest.mark.parametrize("given", [("s",), ("r", "r", "n"), (), ("r",)])
def test_whoever_stops_finds_all_as_it_was(given: tuple[str, ...], bundle: Path, tmp_path: Path) -> None:
    mine = clashing(tmp_path, motor={"mass": "250 g"}, legs={"mass": "4 kg"})
    before = contents(mine)
    with pytest.raises(DeskError, match="nothing was written"):
        take_in(mine, bundle, answer=answers(*given))
    assert contents(mine) == before


def test_a_trial_writes_nothing(bundle: Path, tmp_path: Path) -> None:
    mine = write_guide(tmp_path / "mine", rigs=[])
    before = contents(mine)
    assert "Nothing was written: this was a trial." in take_in(mine, bundle, dry_run=True)
    assert contents(mine) == before


# --- All or nothing -----------------------------------------------------------------------------------------------


def test_a_guide_with_faults_is_not_added_to(bundle: Path, tmp_path: Path) -> None:
    mine = write_guide(tmp_path / "mine", rigs=[{**RIG, "id": "other", "mount": "haed"}])
    before = contents(mine)
    with pytest.raises(CatalogueError, match="unknown part 'haed'"):
        take_in(mine, bundle)
    assert contents(mine) == before


def test_what_would_make_a_fault_is_not_written(bundle: Path, tmp_path: Path) -> None:
    mine = clashing(tmp_path, legs={"kind": "sundry"})
    (mine / "other.yml").write_text("id: other\nname: Other\n")
    before = contents(mine)
    with pytest.raises(CatalogueError, match="'legs' is a sundry; a tripod is wanted here"):
        take_in(mine, bundle, match=True)
    assert contents(mine) == before


@pytest.mark.parametrize("fails_at", [0, 1, 2])
def test_when_the_system_refuses_half_way_the_guide_is_as_it_was(
    fails_at: int, bundle: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    mine = write_guide(tmp_path / "mine", rigs=[], places=[{"id": "hill", "name": "Hill"}])
    before, replace, calls = contents(mine), Path.replace, []

    def refusing(self: Path, target: Path) -> Path:
        calls.append(target)
        if len(calls) > fails_at:
            raise OSError(28, "No space left on device", str(target))
        return replace(self, target)

    monkeypatch.setattr(Path, "replace", refusing)
    with pytest.raises(OSError, match="No space left"):
        take_in(mine, bundle)
    assert contents(mine) == before


def test_a_draft_that_cannot_be_written_leaves_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    mine = write_guide(tmp_path / "mine")
    before = contents(mine)

    def full(_: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(OSError, match="No space left"):
        write_drafts(mine, {"second.yml": b"id: second\nname: Second\n"})
    assert contents(mine) == before


# --- Bundles that are faulty or hostile ---------------------------------------------------------------------------

HEAD = "bundle: form 1\n"
GOOD = "rig: {id: new, name: New}\n"
BOMB = "a0: &a0 [x, x]\n" + "".join(f"a{i}: &a{i} [*a{i - 1}, *a{i - 1}]\n" for i in range(1, 40))

NONE = "1:1: this is no bundle: it does not begin with 'bundle: form 1'; write one with 'rigleaf bundle RIG'"

BAD = {
    "no bundle": ("id: new\nname: New\n", [NONE]),
    "empty": ("", [NONE]),
    "another form": (f"bundle: form 2\n{GOOD}", ["1:9: 'form 2' is not one of form 1; did you mean 'form 1'?"]),
    "no rig": (HEAD, ["1:1: 'rig' is missing in this bundle"]),
    "a list of rigs": (f"{HEAD}rig: [x]\n", ["2:6: a rig is wanted here: one 'key: value' in each line"]),
    "unknown key": (f"{HEAD}{GOOD}prats: []\n", ["3:1: unknown key 'prats' in a bundle; did you mean 'parts'?"]),
    "a path for an id": (
        f"{HEAD}rig: {{id: ../../guide, name: New}}\n",
        ["2:11: '../../guide' is not an id; use small letters, digits and hyphens, like 'guide'"],
    ),
    "a part that is not there": (
        f"{HEAD}rig: {{id: new, name: New, mount: head}}\nparts:\n  - {{id: heat, kind: mount, name: Head}}\n",
        ["2:34: unknown part 'head'; did you mean 'heat'?"],
    ),
    "no parts at all": (
        f"{HEAD}rig: {{id: new, name: New, mount: head}}\n", ["2:34: unknown part 'head'; describe it in the bundle"],
    ),
    "bare number": (
        f"{HEAD}{GOOD}parts:\n  - {{id: head, kind: mount, name: Head, mass: 4}}\n",
        ["4:47: '4' needs a unit, such as '4 kg'"],
    ),
    "private words and photos": (
        f"{HEAD}{GOOD}parts:\n  - {{id: head, kind: mount, name: Head, photo: /etc/x.png, private: {{serial: a}}}}\n",
        ["4:41: a bundle carries no photos; remove 'photo'",
         "4:60: a bundle carries nothing private; remove 'private'"],
    ),
    "aliases of aliases": (BOMB, ["15:18: the file holds more than 100,000 values (aliases counted)"]),
    "too large": ("#" * 1_000_001, ["1:1: the file is larger than 1,000,000 bytes; split it"]),
    "too deep": (f"{HEAD}rig: {'[' * 40}{']' * 40}\n", ["2:30: values are nested more than 24 deep"]),
    "a tag": (f"{HEAD}rig: !!python/object:os.system {{id: new, name: New}}\n",
              ["2:6: the tag '!!python/object:os.system' is not accepted; write plain values only"]),
}  # fmt: skip


@pytest.mark.parametrize("case", BAD)
def test_a_bad_bundle_is_told_by_line_column_and_cure(case: str, tmp_path: Path) -> None:
    text, faults = BAD[case]
    bad = tmp_path / "bad.yml"
    bad.write_text(text)
    mine = write_guide(tmp_path / "mine")
    before = contents(mine)
    with pytest.raises(CatalogueError) as caught:
        take_in(mine, bad)
    assert str(caught.value).splitlines() == [f"{bad}:{fault}" for fault in faults]
    assert contents(mine) == before


@pytest.mark.parametrize("id_", ["guide", "places", "targets", "parts", "schema"])
def test_a_rig_called_like_a_file_of_the_guide_gets_a_file_of_its_own(id_: str, tmp_path: Path) -> None:
    (tmp_path / "b.yml").write_text(f"{HEAD}rig: {{id: {id_}, name: New}}\n")
    mine = write_guide(tmp_path / "mine")
    before = contents(mine)
    take_in(mine, tmp_path / "b.yml")
    assert read_catalogue(mine).rigs[id_].name == "New"
    assert {name: content for name, content in contents(mine).items() if name in before} == before


# --- On the command line ------------------------------------------------------------------------------------------


def test_the_commands_say_what_to_do_next(club: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out, empty = tmp_path / "b.yml", tmp_path / "empty"
    empty.mkdir()
    assert main(["bundle", "rig", "--dir", str(club), "-o", str(out)]) == 0
    assert "Read it before you hand it on." in capsys.readouterr().out
    assert main(["add", str(out), "--guide", str(empty)]) == 0
    assert f"rigleaf figures rig --dir {empty}" in capsys.readouterr().out
    assert main(["check", str(empty)]) == 0
    capsys.readouterr()
    assert main(["bundle", "rgi", "--dir", str(club)]) == 2
    assert capsys.readouterr().err == "rigleaf: there is no rig 'rgi'; did you mean 'rig'?\n"
    assert main(["add", str(tmp_path / "nothing.yml"), "--guide", str(empty)]) == 2
    assert capsys.readouterr().err == f"rigleaf: there is no file '{tmp_path / 'nothing.yml'}'\n"
    assert main(["bundle", "rig", "--dir", str(club)]) == 0
    assert capsys.readouterr().out == out.read_text(encoding="utf-8")
