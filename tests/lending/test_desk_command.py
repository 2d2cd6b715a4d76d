"""What the equipment officer sees in the terminal: the book on a day, with borrowers."""

import json
import shutil
from pathlib import Path

import pytest

from rigleaf.cli import main
from rigleaf.site.lent.desk_report import desk
from tests.lending.small_club import day


@pytest.fixture(scope="module")
def guide(tmp_path_factory: pytest.TempPathFactory, project: Path) -> Path:
    """A guide of two rigs that share a mount."""
    root = tmp_path_factory.mktemp("guide")
    shutil.copytree(project / "tests" / "faults" / "base", root, dirs_exist_ok=True)
    (root / "second.yml").write_text("id: second\nname: Second rig\ntrain: [newtonian-150]\nmount: hand-mount\n")
    (root / "desk").mkdir()
    (root / "desk" / "book.yml").write_text(BOOK)
    return root


BOOK = """
loans:
  - {rig: travel, without: [brick], parts: [sun-cap], out: 2026-11-01, due: 2026-11-14, for: comets,
     private: {borrower: member 12, contact: m12@club.example, remarks: Rings back late.}}
  - {parts: [newtonian-150], out: 2026-11-20}
  - {rig: second, without: [newtonian-150], out: 2026-11-15, back: 2026-11-18, condition_in: A loose screw.}
reservations:
  - {rig: second, from: 2026-12-20, until: 2026-12-24, private: {borrower: member 9}}
  - {parts: [brick], from: 2026-10-20, until: 2026-10-24}
service:
  - {part: brick, what: charged, done: 2026-10-01, every: 6 weeks, cycles: 40}
  - {rig: second, what: looked through, done: 2026-11-19, every: 1 month, reading: all there}
  - {part: disc, what: painted, done: 2026-11-19, every: 2 years}
"""

TEXT = """\
Heron Meadow Observers: the book on 26 November 2026
Private: names and contacts stand here. Keep it off the site.

Overdue
  Travel rig (travel): due on 14 November 2026, 12 days ago
      member 12, m12@club.example; out since 1 November 2026; comets; [desk/book.yml:3]
      with Sun cap
      without Brick
      Rings back late.

Out
  The bucket (newtonian-150): no day for its return
      nobody is named; out since 20 November 2026; [desk/book.yml:5]

Coming
  Second rig (second): from 20 to 24 December 2026
      member 9; [desk/book.yml:8]
      hangs on desk/book.yml:3, which is not back: Hand mount
      hangs on desk/book.yml:5, which is not back: The bucket

Service
  Brick: charged, overdue since 12 November 2026 (last on 1 October 2026, 40 cycles)
  Second rig: looked through, due on 19 December 2026 (last on 19 November 2026, all there)

Mend the book
  desk/book.yml:3: Hand mount was out again on 15 November 2026 (desk/book.yml:6); write 'back' here
  desk/book.yml:9: the reservation of Brick (brick) is over; remove it
"""


def test_the_book_on_a_day(guide: Path) -> None:
    assert desk(guide, day("2026-11-26")) == TEXT


def test_one_rig_with_its_phases_and_its_condition(guide: Path) -> None:
    text = desk(guide, day("2026-11-26"), "second")
    assert "Second rig: short of The bucket and Hand mount" in text
    assert "  from 20 December 2026: spoken for from 20 to 24 December 2026" in text
    assert "  18 November 2026: A loose screw." in text
    assert "  19 November 2026: looked through: all there" in text
    assert "member 12" not in text


def test_a_guide_whose_book_is_empty(project: Path) -> None:
    text = desk(project / "tests" / "faults" / "base", day("2026-09-01"), "travel")
    assert text.endswith(
        "\n\nTravel rig: here\n\nNothing is out, nothing is spoken for, and nothing wants service within a month.\n"
    )


def test_as_json(guide: Path) -> None:
    found = json.loads(desk(guide, day("2026-11-26"), as_json=True))
    assert found["on"] == "2026-11-26"
    (late,) = found["overdue"]
    assert (late["rig"], late["from"], late["until"]) == ("travel", "2026-11-01", "2026-11-14")
    assert (late["borrower"], late["contact"], late["for"]) == ("member 12", "m12@club.example", "comets")
    assert "brick" not in late["pieces"]
    assert late["pieces"]["sun-cap"] == 1
    assert [one["hangs_on"] for one in found["coming"]] == [["desk/book.yml:3", "desk/book.yml:5"]]
    assert [(one["what"], one["overdue"]) for one in found["service"]] == [("charged", True), ("looked through", False)]
    assert found["over"] == ["desk/book.yml:9"]


def test_the_command(guide: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["desk", "--on", "2026-11-26", "--dir", str(guide)]) == 0
    assert capsys.readouterr().out == TEXT
    assert main(["desk", "--dir", str(guide)]) == 0
    assert "the book on" in capsys.readouterr().out
    assert main(["desk", "--rig", "secnd", "--dir", str(guide)]) == 2
    assert capsys.readouterr().err == "rigleaf: there is no rig 'secnd'; did you mean 'second'?\n"
    with pytest.raises(SystemExit):
        main(["desk", "--on", "tomorrow", "--dir", str(guide)])
    assert "'tomorrow' is not a date; write it like 2026-11-26" in capsys.readouterr().err


def test_the_help_says_that_it_is_private(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit):
        main(["desk", "--help"])
    assert "the terminal is not the site" in " ".join(capsys.readouterr().out.split())


def test_only_the_command_shows_people(package: Path) -> None:
    """What lies below `private` in the book is read where it is printed for the officer, or where the guide opts in."""
    readers = set()
    for path in package.rglob("*.py"):
        text = path.read_text(encoding="utf-8")
        if "entry.private" in text or "desk_report" in text:
            readers.add(path.relative_to(package).as_posix())
    assert readers == {"site/lent/desk_report.py", "lending/sentences.py", "cli.py"}
