"""An edit that changes only articles: the server writes those, and its site is still that of a fresh build."""

import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from watchdog.events import FileModifiedEvent, FileMovedEvent, FileOpenedEvent, FileSystemEventHandler
from watchdog.observers.api import BaseObserver, ObservedWatch

from rigleaf.engine.watching import PromptObserver
from tests.engine.edits import EDITS, Server, changed, edited_project, part

ARTICLES: dict[str, Callable[[Path], None]] = {
    **{name: EDITS[name] for name in ("nothing", "a rig's words", "a rig's summary", "a part", "a loan")},
    "a target's words": lambda root: changed(root, "rigs/targets.yml", lambda all_: all_[0].update(notes="Wide.")),
}
"""Edits after which every page still has its address and its title."""

MORE: dict[str, Callable[[Path], None]] = {
    name: EDITS[name]
    for name in ("a rig renamed", "a rig added", "a rig gone", "a page by hand", "the guide", "its name", "a template")
}


@pytest.fixture
def server(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Server:
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1780000000")
    server = Server(edited_project(tmp_path / "guide"), tmp_path / "site")
    EDITS["a rig added"](server.folder)
    server.build()
    return server


def test_after_edits_of_articles_the_site_is_that_of_a_fresh_build(server: Server, tmp_path: Path) -> None:
    for name, edit in ARTICLES.items():
        edit(server.folder)
        assert server.plugin._write_edit(), name
    fresh = Server(server.folder, tmp_path / "fresh").build()
    found = {path.relative_to(server.site).as_posix(): path for path in server.site.rglob("*") if path.is_file()}
    assert found.keys() == fresh.keys()
    assert [name for name, path in found.items() if path.read_bytes() != fresh[name]] == []
    changed(server.folder, "rigs/wide.yml", lambda rig: rig.update(name="Widest"))
    assert not server.plugin._write_edit()
    assert server.build() == Server(server.folder, tmp_path / "again").build()


@pytest.mark.parametrize("name", MORE)
def test_of_more_than_articles_a_whole_build_is_made(name: str, server: Server) -> None:
    if name == "a rig added":
        EDITS["a rig gone"](server.folder)
        server.build()
    MORE[name](server.folder)
    assert not server.plugin._write_edit()


def test_faults_are_left_to_a_whole_build_and_so_is_what_comes_after(server: Server) -> None:
    path = server.folder / "rigs/wide.yml"
    text = path.read_text("utf-8")
    path.write_text(text.replace("name:", "nmae:"), encoding="utf-8")
    assert not server.plugin._write_edit()
    path.write_text(text, encoding="utf-8")
    assert not server.plugin._write_edit(), "nothing is known of a build that held"
    server.build()
    assert server.plugin._write_edit()


def test_a_photo_that_changed_is_built_whole(server: Server) -> None:
    from PIL import Image

    Image.new("RGB", (40, 30), "red").save(server.folder / "rigs/legs.png")
    changed(server.folder, "rigs/parts/shelf.yml", part("legs", photo="legs.png"))
    server.build()
    Image.new("RGB", (40, 30), "blue").save(server.folder / "rigs/legs.png")
    assert not server.plugin._write_edit()


class Heard(FileSystemEventHandler):
    def __init__(self) -> None:
        self.events: list[Any] = []

    def on_any_event(self, event: Any) -> None:
        self.events.append(event.src_path)


class Fake(BaseObserver):
    """Takes what it is to observe and does nothing."""

    def __init__(self) -> None:
        self.handler = FileSystemEventHandler()
        self.others: list[FileSystemEventHandler] = []

    @property
    def emitters(self) -> set[Any]:
        return set()

    def schedule(self, event_handler: FileSystemEventHandler, path: Any, **_: Any) -> ObservedWatch:
        self.handler = event_handler
        return ObservedWatch(path, recursive=True)

    def add_handler_for_watch(self, event_handler: FileSystemEventHandler, watch: ObservedWatch) -> None:
        del watch
        self.others.append(event_handler)


def test_an_edit_that_both_observers_find_is_heard_once(monkeypatch: pytest.MonkeyPatch) -> None:
    told, looking, heard = Fake(), Fake(), Heard()
    monkeypatch.setattr("rigleaf.engine.watching.Observer", lambda: told)
    observer = PromptObserver(looking, "/guide/rigs")
    observer.schedule(heard, "/guide/rigs", recursive=True)
    told.handler.dispatch(FileOpenedEvent("rigs/a.yml"))
    assert heard.events == [], "reading is no edit"
    told.handler.dispatch(FileModifiedEvent("rigs/a.yml"))
    looking.handler.dispatch(FileModifiedEvent("rigs/a.yml"))
    assert heard.events == ["rigs/a.yml"]
    looking.handler.dispatch(FileModifiedEvent("rigs/b.yml"))
    assert heard.events == ["rigs/a.yml", "rigs/b.yml"], "not every folder tells of its edits"
    told.handler.dispatch(FileMovedEvent("rigs/.new", "rigs/b.yml"))
    looking.handler.dispatch(FileModifiedEvent("rigs/b.yml"))
    assert heard.events[2:] == ["rigs/.new"]


def test_an_edit_anywhere_else_is_remembered_until_somebody_asks(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("rigleaf.engine.watching.Observer", Fake)
    looking = Fake()
    observer = PromptObserver(looking, "/guide/rigs")
    observer.schedule(Heard(), "/guide/rigs", recursive=True)
    observer.schedule(Heard(), "/guide/snippets", recursive=True)
    (elsewhere,) = looking.others
    elsewhere.dispatch(FileModifiedEvent("/guide/rigs/a.yml"))
    assert observer.only_there()
    elsewhere.dispatch(FileModifiedEvent("/guide/snippets/a.md"))
    assert not observer.only_there()
    assert observer.only_there()


def test_what_is_edited_while_an_edit_is_written_is_known(monkeypatch: pytest.MonkeyPatch) -> None:
    told, looking = Fake(), Fake()
    monkeypatch.setattr("rigleaf.engine.watching.Observer", lambda: told)
    observer = PromptObserver(looking, "/guide/rigs")
    observer.schedule(Heard(), "/guide/rigs", recursive=True)
    observer.schedule(Heard(), "/guide/snippets", recursive=True)
    (elsewhere,) = looking.others
    told.handler.dispatch(FileModifiedEvent("/guide/rigs/a.yml"))
    assert observer.only_there()
    assert not observer.edited_again()
    looking.handler.dispatch(FileModifiedEvent("/guide/rigs/a.yml"))
    assert not observer.edited_again(), "it is the same edit"
    told.handler.dispatch(FileModifiedEvent("/guide/rigs/a.yml"))
    assert observer.edited_again()
    assert observer.only_there()
    elsewhere.dispatch(FileModifiedEvent("/guide/snippets/a.md"))
    assert observer.edited_again()


def test_a_build_that_begins_as_soon_as_it_is_told_does_not_wait_for_another(monkeypatch: pytest.MonkeyPatch) -> None:
    class Begins(FileSystemEventHandler):
        def on_any_event(self, _: Any) -> None:
            assert observer.only_there()

    told = Fake()
    monkeypatch.setattr("rigleaf.engine.watching.Observer", lambda: told)
    observer = PromptObserver(Fake(), "/guide/rigs")
    observer.schedule(Begins(), "/guide/rigs", recursive=True)
    told.handler.dispatch(FileModifiedEvent("/guide/rigs/a.yml"))
    assert not observer.edited_again(), "nothing would be built after it"


def test_what_is_watched_besides_is_built_whole(server: Server) -> None:
    (server.folder / "snippets").mkdir()
    changed(server.folder, "mkdocs.yml", lambda settings: settings.update(watch=["snippets"]))
    server.build()
    assert server.plugin._write_edit()
    (server.folder / "snippets" / "one.md").write_text("One.", encoding="utf-8")
    assert not server.plugin._write_edit()


def test_a_cache_that_is_deleted_under_the_server_does_no_harm(server: Server, tmp_path: Path) -> None:
    shutil.rmtree(server.folder / ".cache")
    EDITS["its name"](server.folder)
    assert server.build() == Server(server.folder, tmp_path / "fresh").build()
