"""What tells of the edited rig alone is written first; in the end the site is that of a fresh build all the same."""

import threading
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any, cast

import pytest
from mkdocs.exceptions import Abort
from mkdocs.livereload import LiveReloadServer

from rigleaf.engine import plugin as engine
from rigleaf.engine.browsers import Browsers
from rigleaf.engine.watching import PromptObserver
from tests.engine.building import contents
from tests.engine.edits import EDITS, Server, changed, edited_project, written

COMPARED = ("a rig's summary", "a rig renamed", "a page in the place of another", "a rig gone", "one page more")
"""After these the site is compared with one that was built from nothing."""

PAGE = Path("rigs/wide/index.html")
NEW: dict[str, tuple[Callable[[Path], None], str]] = {
    "words": (EDITS["a rig's words"], "New."),
    "summary": (EDITS["a rig's summary"], '<p class="rl-lead">For wide fields.'),
    "frame": (EDITS["a rig's frame"], "480 mm"),
    "name": (lambda root: changed(root, "rigs/wide.yml", lambda rig: rig.update(name="Widest")), "Widest</h1>"),
}
"""Edits of a rig, and what its page says then and did not say before."""


class Looking(Browsers):
    """A browser that looks at a site each time when it may, and does something else then."""

    def __init__(self, site: Path) -> None:
        super().__init__()
        self.site, self.seen, self.kept_waiting = site, cast(list[str], []), 0
        self.then: Callable[[], object] = lambda: None

    def let_in(self) -> None:
        self.seen.append((self.site / PAGE).read_text("utf-8"))
        self.then()

    def keep_waiting(self) -> None:
        self.kept_waiting += 1


class Heard:
    """Only the guide's folder was edited, or more."""

    def __init__(self) -> None:
        self.there, self.again = True, False

    def only_there(self) -> bool:
        return self.there

    def edited_again(self) -> bool:
        return self.again


class Served(Server):
    """The development server with a browser that looks at it."""

    def __init__(self, folder: Path, site: Path) -> None:
        super().__init__(folder, site)
        self.build()
        self.browser = self.plugin.browsers = Looking(site)
        self.heard = Heard()

    def follow(self) -> dict[str, bytes]:
        """Do what is done after an edit, and return the site."""
        self.plugin._follow(cast(PromptObserver, self.heard), self.build)
        return contents(self.site)

    def fresh(self, folder: Path) -> dict[str, bytes]:
        return Server(self.folder, folder).build()


@pytest.fixture
def served(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Served:
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1780000000")
    return Served(edited_project(tmp_path / "guide"), tmp_path / "site")


def test_after_any_edit_the_site_is_that_of_a_fresh_build(served: Served, tmp_path: Path) -> None:
    in_the_guide = {name for name, edit in EDITS.items() if name not in OUTSIDE}
    for name, edit in EDITS.items():
        edit(served.folder)
        served.heard.there = name in in_the_guide
        found = served.follow()
        if name in COMPARED:
            assert found == served.fresh(tmp_path / name), name
    assert len(served.browser.seen) >= 4, "of some edits a page was shown before the rest was made"


OUTSIDE = frozenset(
    ("a page by hand", "a page's title", "a page in the place of another", "that page gone", "its name", "a template",
     "that template", "a template with all pages", "one page more")
)  # fmt: skip


@pytest.mark.parametrize("what", NEW)
def test_the_page_of_the_edited_rig_is_shown_first(what: str, served: Served, tmp_path: Path) -> None:
    edit, said = NEW[what]
    assert said not in (served.site / PAGE).read_text("utf-8")
    edit(served.folder)
    found = served.follow()
    (page,) = served.browser.seen
    assert said in page
    assert found == served.fresh(tmp_path / "fresh")


def test_a_page_that_alone_has_changed_is_shown_once(served: Served) -> None:
    EDITS["a rig's words"](served.folder)
    served.follow()
    assert (len(served.browser.seen), served.browser.kept_waiting) == (1, 0)


def test_where_more_has_changed_browsers_wait_while_it_is_written(served: Served) -> None:
    EDITS["a rig's summary"](served.folder)
    served.follow()
    assert (len(served.browser.seen), served.browser.kept_waiting) == (1, 1)


def test_a_fault_that_comes_in_between_does_no_harm(served: Served, tmp_path: Path) -> None:
    path = served.folder / "rigs/wide.yml"
    served.browser.then = lambda: path.write_text(path.read_text("utf-8").replace("name:", "nmae:"), encoding="utf-8")
    NEW["name"][0](served.folder)
    with pytest.raises(Abort):
        served.follow()
    assert served.browser.kept_waiting == 1
    served.browser.then = lambda: None
    path.write_text(path.read_text("utf-8").replace("nmae:", "name:"), encoding="utf-8")
    assert served.follow() == served.fresh(tmp_path / "fresh")


def test_a_link_that_leads_nowhere_is_told_by_the_whole_build(served: Served, tmp_path: Path) -> None:
    help_page = written("docs/help.md", "# Help\n\n<a href='../rigs/third/'>third</a>\n")
    EDITS["a rig added"](served.folder)
    help_page(served.folder)
    served.heard.there = False
    served.follow()
    served.heard.there = True
    changed(served.folder, "rigs/wide.yml", lambda rig: rig.update(notes="New."))
    EDITS["a rig gone"](served.folder)
    with pytest.raises(Abort):
        served.follow()
    assert "New." in served.browser.seen[-1]
    EDITS["a rig added"](served.folder)
    assert served.follow() == served.fresh(tmp_path / "fresh")


@pytest.mark.parametrize("what", NEW)
def test_an_edit_that_comes_while_the_rest_is_made_is_shown_at_once(
    what: str, served: Served, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    served.heard.again = True
    NEW[what][0](served.folder)
    with monkeypatch.context() as patched:
        patched.setattr(served, "build", lambda: pytest.fail("nothing else is built before the next edit is looked at"))
        served.follow()
        changed(served.folder, "rigs/wide.yml", lambda rig: rig.update(notes="Newer."))
        served.follow()
    first, second = served.browser.seen
    assert (NEW[what][1] in first, "Newer." in first, "Newer." in second) == (True, False, True)
    served.heard.again = False
    assert served.follow() == served.fresh(tmp_path / "fresh")


def test_what_breaks_off_behind_the_first_page_leaves_the_rest_to_a_whole_build(
    served: Served, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(*_: Any) -> None:
        raise MemoryError

    EDITS["a rig's summary"](served.folder)
    with monkeypatch.context() as patched:
        patched.setattr(engine, "edit_between", broken)
        with pytest.raises(MemoryError):
            served.follow()
    assert served.browser.kept_waiting == 1
    assert served.follow() == served.fresh(tmp_path / "fresh")


def answered(server: LiveReloadServer, path: str) -> threading.Event:
    """Ask a server for something, and return what tells that it has answered."""
    done = threading.Event()

    def ask() -> None:
        app = cast(Any, server.get_app())
        getattr(app({"PATH_INFO": path}, lambda *_: None), "close", lambda: None)()
        done.set()

    threading.Thread(target=ask, daemon=True).start()
    return done


A_WHILE = 0.1
"""So long nothing may happen."""
AT_MOST = 30.0


@pytest.fixture
def server(tmp_path: Path) -> Iterator[LiveReloadServer]:
    """One that builds: nobody gets a page from it."""
    (tmp_path / "index.html").write_text("<p>Here</p>", encoding="utf-8")
    server: Any = LiveReloadServer(lambda: None, "127.0.0.1", 0, str(tmp_path))
    server._wanted_epoch = server._visible_epoch + 5
    yield server
    server._visible_epoch = server._wanted_epoch + 1_000_000
    server._wanted_epoch = server._visible_epoch
    with server._epoch_cond:
        server._epoch_cond.notify_all()
    server.server_close()


def test_browsers_are_let_in_while_a_build_goes_on_and_kept_waiting_again(server: LiveReloadServer) -> None:
    browsers, inside = Browsers(server), cast(Any, server)
    epoch = inside._visible_epoch
    page, poll = answered(server, "/index.html"), answered(server, f"/livereload/{epoch}/1")
    assert not page.wait(A_WHILE)
    browsers.let_in()
    assert page.wait(AT_MOST)
    assert poll.wait(AT_MOST), "it is told to load again"
    shown = inside._visible_epoch
    browsers.keep_waiting()
    assert not answered(server, "/index.html").wait(A_WHILE)
    assert inside._wanted_epoch > shown, "it is told so again when the build ends"


def test_who_was_not_let_in_is_not_told_twice(server: LiveReloadServer) -> None:
    wanted = cast(Any, server)._wanted_epoch
    Browsers(server).keep_waiting()
    assert cast(Any, server)._wanted_epoch == wanted


def test_a_server_that_works_in_another_way_is_left_alone() -> None:
    class Other:
        """A later release."""

    browsers = Browsers(cast(LiveReloadServer, Other()))
    browsers.let_in()
    browsers.keep_waiting()
