"""Plain builds: what stays of the last site is what a build from nothing would have written."""

import os
from collections.abc import Callable, MutableMapping
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
from mkdocs.commands.build import build
from mkdocs.exceptions import Abort

from rigleaf.engine import scribes
from rigleaf.engine.inline import FOLDER
from rigleaf.engine.ledger import Ledger, Written
from rigleaf.engine.scribes import write_pages
from rigleaf.site.leaves.store import SWITCH
from rigleaf.site.spool import Spool, Spooled
from tests.engine.building import configured, contents, plugin_of
from tests.engine.edits import EDITS, changed, edited_project

PLAIN = tuple(name for name in EDITS if name != "that page gone")
LOOKED_AT = ("a rig's summary", "a rig renamed", "a page in the place of another", "a rig gone", "one page more")
"""After these the site is compared with one that was built from nothing."""


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1780000000")
    return edited_project(tmp_path / "guide")


def built_again(folder: Path, site: str = "site") -> dict[str, bytes]:
    config = configured(folder)
    config.site_dir = str(folder / site)
    config.plugins.on_startup(command="build", dirty=False)
    build(config)
    config.plugins.on_shutdown()
    return contents(folder / site)


def numbers(folder: Path) -> dict[str, int]:
    """The number on the disk of each page: another one when it was written anew."""
    site = folder / "site"
    return {path.relative_to(site).as_posix(): path.stat().st_ino for path in site.rglob("*.html")}


def written(folder: Path, change: Callable[[Path], object]) -> set[str]:
    """Build twice with a change in between; return the pages that were written anew."""
    built_again(folder)
    before = numbers(folder)
    # A second name for each keeps the disk from giving the number of a page that went to one that came.
    for path in (folder / "site").rglob("*.html"):
        os.link(path, folder / f"held-{path.stat().st_ino}")
    change(folder)
    built_again(folder)
    return {name for name, number in numbers(folder).items() if before.get(name) != number}


def test_after_any_edit_a_site_is_that_of_a_build_from_nothing(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    built_again(folder)
    for name in PLAIN:
        EDITS[name](folder)
        found = built_again(folder)
        if name in LOOKED_AT:
            with monkeypatch.context() as without:
                without.setenv(SWITCH, "off")
                assert found == built_again(folder, "fresh"), name


def test_only_what_an_edit_changes_is_written(folder: Path) -> None:
    again = written(folder, EDITS["a rig's words"])
    assert "rigs/wide/index.html" in again
    # The theme's own page for a missing address, and those by hand, are MkDocs' to write.
    assert not {path for path in again if path.startswith(("rigs/rig/", "parts/", "method/"))}


def test_nothing_edited_leaves_all_pages_where_they_are(folder: Path) -> None:
    assert written(folder, lambda _: None) == {"404.html", "help/index.html"}


def test_a_page_that_somebody_wrote_in_is_made_anew(folder: Path) -> None:
    page = Path("site/rigs/rig/index.html")
    whole = built_again(folder)

    def spoil(here: Path) -> None:
        (here / page).unlink()
        (here / page).write_bytes(b"<h1>Mine</h1>")

    assert "rigs/rig/index.html" in written(folder, spoil)
    assert contents(folder / "site") == whole


@pytest.mark.parametrize(
    "event", ["on_page_content(html, **_):\n    return html", "on_post_build(**_):\n    pass",
              "on_env(env, **_):\n    return env"],
)  # fmt: skip
def test_with_a_hook_that_may_change_pages_none_stays(event: str, folder: Path) -> None:
    (folder / "hook.py").write_text(f"def {event}\n", encoding="utf-8")
    changed(folder, "mkdocs.yml", lambda settings: settings.update(hooks=["hook.py"]))
    assert written(folder, lambda _: None) == numbers(folder).keys()


HOOKS = {
    "framed": "def on_post_page(output, **_):\n    return output.replace('</body>', '<i>hooked</i></body>')\n",
    "read": "def on_page_content(html, page, **_):\n    page.meta['description'] = '<i>hooked</i>'\n",
    "known": "def on_pre_page(page, **_):\n    page.title = '<i>hooked</i>'\n    return page\n",
}


@pytest.mark.parametrize("moment", HOOKS)
def test_what_a_hook_does_to_pages_is_done(moment: str, folder: Path) -> None:
    (folder / "hook.py").write_text(HOOKS[moment], encoding="utf-8")
    changed(folder, "mkdocs.yml", lambda settings: settings.update(hooks=["hook.py"]))
    assert b"<i>hooked</i>" in built_again(folder)["rigs/rig/index.html"]


def test_a_static_file_in_the_place_of_a_page_is_not_written_into_the_last_site(folder: Path) -> None:
    before = built_again(folder)
    (folder / "docs/rigs/rig").mkdir(parents=True)
    (folder / "docs/rigs/rig/index.html").write_text("<h1>Static</h1>", encoding="utf-8")
    (folder / "docs/help.md").write_text("# Help\n\n<a href='nowhere'>x</a>\n", encoding="utf-8")
    with pytest.raises(Abort):
        built_again(folder)
    assert contents(folder / "site") == before
    (folder / "docs/help.md").write_text("# Help\n", encoding="utf-8")
    assert built_again(folder)["rigs/rig/index.html"] == before["rigs/rig/index.html"], "MkDocs lets pages win"


def test_a_drawing_that_templates_take_in_is_part_of_every_page(folder: Path) -> None:
    (folder / "own/sign.svg").write_text("<svg><path d='M0 0'/></svg>", encoding="utf-8")
    (folder / "own/partials").mkdir()
    (folder / "own/partials/footer.html").write_text("<footer>{% include 'sign.svg' %}</footer>", encoding="utf-8")

    def redraw(here: Path) -> None:
        (here / "own/sign.svg").write_text("<svg><path d='M1 1'/></svg>", encoding="utf-8")

    assert "rigs/rig/index.html" in written(folder, redraw)
    assert b"M1 1" in contents(folder / "site")["rigs/rig/index.html"]


def test_several_processes_write_what_one_writes(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv(SWITCH, "off")
    one = built_again(folder)
    counts: list[int] = []

    def several(pages: Any, frame: Any, site: Path) -> Any:
        counts.append(len(pages))
        return write_pages(pages, frame, site, 2)

    monkeypatch.setattr("rigleaf.engine.finished.write_pages", several)
    monkeypatch.setattr(scribes, "_AT_ONCE", 5)
    assert built_again(folder) == one
    assert counts[0] > 50


def test_a_fault_in_a_further_process_is_told(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    config = configured(folder)
    monkeypatch.setattr(scribes, "may_be_copied", lambda: True)
    monkeypatch.setattr(scribes, "LEAST_FOR_TWO", 1)
    (folder / "own" / "main.html").write_text("{{ page.nothing.more }}", encoding="utf-8")
    config.plugins.on_startup(command="build", dirty=False)
    with pytest.raises(Exception, match="has no attribute 'nothing'"):
        build(config)
    plugin_of(config).publishing.end()
    assert not (folder / "site").exists()


LEDGER = Ledger(
    {
        "a.html": Written("key", (1, 2, 3), (f"{FOLDER}/0123456789ab.js",)),
        "b.bin": Written("other", (4, 5, 6), ()),
    },
    {f"{FOLDER}/0123456789ab.js": b"run()", f"{FOLDER}/ba9876543210.css": b""},
    {"a.html": b"facts"},
)


def read(data: bytes, facts: MutableMapping[str, bytes] | None = None) -> Ledger:
    return Ledger.decoded(BytesIO(data), facts)


@pytest.mark.parametrize("facts", [dict, lambda: Spooled(Spool())])
def test_a_ledger_is_read_as_it_was_written(facts: Callable[[], MutableMapping[str, bytes]]) -> None:
    found = read(b"".join(LEDGER.encoded()), facts())
    assert (found.pages, found.moved) == (LEDGER.pages, {f"{FOLDER}/0123456789ab.js": b"run()"})
    assert dict(found.facts) == LEDGER.facts


HARM: dict[str, Callable[[bytes], bytes]] = {
    "cut off": lambda data: data[:-1],
    "nothing": lambda data: data[:0],
    "one byte": lambda data: data[:50] + b"x" + data[51:],
}


@pytest.mark.parametrize("harm", HARM)
def test_a_damaged_ledger_says_nothing(harm: str) -> None:
    assert read(HARM[harm](b"".join(LEDGER.encoded()))) == Ledger()


def test_a_ledger_names_no_file_but_those_that_were_moved_out_of_pages() -> None:
    pages = {"a.html": Written("key", (1, 2, 3), ("../../escaped.js",))}
    assert read(b"".join(Ledger(pages, {"../../escaped.js": b"run()"}).encoded())) == Ledger()
