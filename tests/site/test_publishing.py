"""A folder changes at once and whole, whatever stands in the way, and nothing is left beside it."""

import errno
import os
import sys
from pathlib import Path
from typing import Any

import pytest

from rigleaf.site.delivery import publishing
from rigleaf.site.delivery.publishing import Draft, PublishingError


@pytest.fixture(params=["exchange", "rename"])
def way(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> None:
    """Both ways of changing places: at once, and by two renames where the system cannot do that."""
    if request.param == "rename":
        monkeypatch.setattr(publishing, "_exchange", lambda *_: False)


def filled(folder: Path, **texts: str) -> Path:
    """Make a folder with files; a double underscore in a name stands for a point."""
    folder.mkdir(parents=True, exist_ok=True)
    for name, text in texts.items():
        (folder / name.replace("__", ".")).write_text(text)
    return folder


def names(folder: Path) -> list[str]:
    """What a folder lists."""
    return sorted(path.name for path in folder.iterdir())


def replace(site: Path, **texts: str) -> None:
    """Replace a folder as a build does."""
    draft = Draft(site)
    draft.open(patience=0)
    filled(draft.folder, **texts)
    draft.publish()
    draft.close()


def texts(folder: Path) -> dict[str, str]:
    """What stands in a folder."""
    return {path.relative_to(folder).as_posix(): path.read_text() for path in folder.rglob("*") if path.is_file()}


@pytest.mark.usefixtures("way")
@pytest.mark.parametrize("before", [None, {}, {"old": "1"}])
def test_a_folder_is_replaced_and_nothing_is_left_beside_it(before: dict[str, str] | None, tmp_path: Path) -> None:
    site = tmp_path / "deep" / "site"
    if before is not None:
        filled(site, **before)
    replace(site, new="2")
    assert texts(site) == {"new": "2"}
    assert names(site.parent) == ["site"]


@pytest.mark.usefixtures("way")
def test_what_is_not_published_leaves_no_trace(tmp_path: Path) -> None:
    site = filled(tmp_path / "site", old="1")
    draft = Draft(site)
    draft.open()
    filled(draft.folder, new="2")
    draft.close()
    draft.close()
    assert texts(tmp_path) == {"site/old": "1"}
    assert names(tmp_path) == ["site"]


@pytest.mark.usefixtures("way")
def test_hidden_entries_stay_and_all_others_go(tmp_path: Path) -> None:
    site = filled(tmp_path / "site", old="1", __nojekyll="", CNAME="rigs.example")
    filled(site / ".git" / "refs", main="abc")
    (site / ".git" / "link").symlink_to("nowhere")
    filled(site / ".well-known", theirs="1", both="old")
    filled(site / f".other{publishing.MARK}", left="by a killed build of a site in this one")
    draft = Draft(site)
    draft.open()
    filled(draft.folder / ".well-known", both="new", ours="2")
    draft.publish()
    draft.close()
    wanted = {".well-known/theirs": "1", ".well-known/both": "new", ".well-known/ours": "2"}
    assert texts(site) == {".nojekyll": "", ".git/refs/main": "abc"} | wanted
    assert (site / ".git" / "link").readlink() == Path("nowhere")


def test_hidden_entries_come_along_where_files_have_one_name_only(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_: Any, **__: Any) -> None:
        raise OSError(errno.EPERM, "no")

    site = filled(tmp_path / "site", __nojekyll="", __git="gitdir: elsewhere")
    monkeypatch.setattr(os, "link", refuse)
    replace(site)
    assert texts(site) == {".nojekyll": "", ".git": "gitdir: elsewhere"}


def test_a_symbolic_link_stays_one(tmp_path: Path) -> None:
    behind = filled(tmp_path / "www" / "guide", old="1")
    (tmp_path / "site").symlink_to(behind)
    replace(tmp_path / "site", new="2")
    assert (tmp_path / "site").is_symlink()
    assert texts(behind) == {"new": "2"}
    assert names(behind.parent) == ["guide"]


@pytest.mark.skipif(sys.platform == "win32", reason="rights are of POSIX")
def test_the_folders_rights_stay_and_are_inherited(tmp_path: Path) -> None:
    site = filled(tmp_path / "site", old="1")
    site.chmod(0o2750)
    draft = Draft(site)
    draft.open()
    (draft.folder / "below").mkdir()
    draft.publish()
    draft.close()
    assert site.stat().st_mode & 0o7777 == 0o2750
    assert (site / "below").stat().st_mode & 0o2000


def test_a_second_writer_waits_or_is_told(tmp_path: Path) -> None:
    first, second = Draft(tmp_path / "site"), Draft(tmp_path / "site")
    first.open()
    filled(first.folder, new="1")
    with pytest.raises(PublishingError, match="is being written by another process; try again"):
        second.open(patience=0)
    assert texts(first.folder) == {"new": "1"}

    def ends() -> None:
        first.publish()
        first.close()

    second.open(ends)
    assert names(second.folder) == []
    second.close()
    assert texts(tmp_path / "site") == {"new": "1"}
    assert names(tmp_path) == ["site"]


def test_sites_side_by_side_do_not_wait_for_each_other(tmp_path: Path) -> None:
    first = Draft(tmp_path / "site")
    first.open()
    replace(tmp_path / "site-de", new="2")
    first.close()
    assert texts(tmp_path) == {"site-de/new": "2"}


def killed(draft: Draft) -> None:
    """Leave a draft as a killed process does: the system takes the lock, and nobody clears up."""
    assert draft._lock is not None
    os.close(draft._lock)


@pytest.mark.parametrize("half", [False, True])
def test_what_a_killed_writer_left_is_cleared_away(half: bool, tmp_path: Path) -> None:
    site = filled(tmp_path / "site", old="1")
    draft = Draft(site)
    draft.open()
    filled(draft.folder, new="2")
    if half:  # between two renames
        site.rename(draft.work / "old")
    killed(draft)
    again = Draft(site)
    again.open(patience=0)
    assert texts(site) == {"old": "1"}
    assert names(again.folder) == []
    again.close()
    assert names(tmp_path) == ["site"]


def test_a_rename_that_fails_is_taken_back(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    site = filled(tmp_path / "site", old="1")
    monkeypatch.setattr(publishing, "_exchange", lambda *_: False)
    rename = Path.rename

    def refuse(self: Path, target: Path) -> Path:
        if self.name == "new":
            raise OSError(errno.EXDEV, "another layer")
        return rename(self, target)

    monkeypatch.setattr(Path, "rename", refuse)
    with pytest.raises(PublishingError, match="is where something is mounted"):
        replace(site, new="2")
    assert texts(site) == {"old": "1"}


def test_a_mount_a_file_and_a_folder_one_stands_in_are_told_before_anything_is_made(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    site = filled(tmp_path / "site")
    monkeypatch.chdir(site)
    with pytest.raises(PublishingError, match="you stand in"):
        Draft(site).open()
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(Path, "is_mount", lambda self: self == site)
    with pytest.raises(PublishingError, match=r"is where something is mounted.*build into a folder below it"):
        Draft(site).open()
    (tmp_path / "file").write_text("")
    with pytest.raises(PublishingError, match="is no folder"):
        Draft(tmp_path / "file").open()
    assert names(tmp_path) == ["file", "site"]


def test_a_parent_that_cannot_be_written_to_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(self: Path, *_: Any, **__: Any) -> None:
        if self.name.endswith(publishing.MARK):
            raise PermissionError(errno.EACCES, "Permission denied")

    monkeypatch.setattr(Path, "mkdir", refuse)
    with pytest.raises(PublishingError, match=r"does not let it \(Permission denied\); name a site in a folder"):
        Draft(tmp_path / "site").open()


@pytest.mark.skipif(sys.platform != "linux", reason="the way of Linux")
def test_on_linux_folders_change_places_at_once(tmp_path: Path) -> None:
    one, other = filled(tmp_path / "one", a="1"), filled(tmp_path / "other", b="2")
    if not publishing._exchange(one, other):
        pytest.skip("this disk cannot let folders change places")
    assert (texts(one), texts(other)) == ({"b": "2"}, {"a": "1"})
    with pytest.raises(FileNotFoundError):
        publishing._exchange(one, tmp_path / "none")
