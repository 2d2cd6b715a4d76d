"""The development server: after any series of edits its site is, byte for byte, the one of a fresh build."""

import logging
from pathlib import Path

import pytest
from mkdocs.exceptions import Abort

from tests.engine.building import contents
from tests.engine.edits import EDITS, Server, changed, edited_project

LOOKED_AT = ("a rig renamed", "a rig gone", "a template", "one page more")
"""After these the site is compared: a fresh build takes a second, and what has gone wrong before shows here, too."""


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1780000000")
    return edited_project(tmp_path / "guide")


def test_after_any_edit_the_site_is_that_of_a_fresh_build(folder: Path, tmp_path: Path) -> None:
    server = Server(folder, tmp_path / "site")
    server.build()
    for number, (name, change) in enumerate(EDITS.items()):
        change(folder)
        found = server.build()
        if name in LOOKED_AT:
            fresh = Server(folder, tmp_path / f"fresh-{number}").build()
            assert found.keys() == fresh.keys(), name
            assert [path for path in found if found[path] != fresh[path]] == [], name


def times(site: Path) -> dict[str, int]:
    return {path.relative_to(site).as_posix(): path.stat().st_mtime_ns for path in site.rglob("*.html")}


def test_pages_that_have_not_changed_are_not_written_again(folder: Path, tmp_path: Path) -> None:
    server = Server(folder, tmp_path / "site")
    server.build()
    before = times(server.site)
    changed(folder, "rigs/wide.yml", lambda rig: rig.update(notes="New."))
    server.build()
    again = {path for path, time in times(server.site).items() if before.get(path) != time}
    assert "rigs/wide/index.html" in again
    assert not {path for path in again if path.startswith(("rigs/rig/", "parts/", "method/"))} - {"method/index.html"}
    assert len(again) < len(before) / 2


def test_a_fault_leaves_the_site_and_what_is_kept(folder: Path, tmp_path: Path) -> None:
    server = Server(folder, tmp_path / "site")
    first = server.build()
    before = times(server.site)
    text = (folder / "rigs/wide.yml").read_text("utf-8")
    (folder / "rigs/wide.yml").write_text(text.replace("name:", "nmae:"), encoding="utf-8")
    for _ in range(2):
        with pytest.raises(Abort):
            server.build()
        assert contents(server.site) == first
    (folder / "rigs/wide.yml").write_text(text, encoding="utf-8")
    assert server.build() == first
    assert times(server.site)["rigs/rig/index.html"] == before["rigs/rig/index.html"]


def test_a_link_that_breaks_is_told_until_it_is_mended(
    folder: Path, tmp_path: Path, caplog: pytest.LogCaptureFixture
) -> None:
    server = Server(folder, tmp_path / "site")
    server.build()
    (folder / "docs/help.md").write_text('# Help\n\n<a href="../rigs/wide/">Wide</a>\n', encoding="utf-8")
    server.build()
    changed(folder, "rigs/wide.yml", lambda rig: rig.update(id="broad"))
    (folder / "rigs/wide.yml").rename(folder / "rigs/broad.yml")
    for _ in range(2):
        caplog.clear()
        with caplog.at_level(logging.ERROR), pytest.raises(Abort):
            server.build()
        assert "help/index.html: the link '../rigs/wide/' leads nowhere" in caplog.text
    (folder / "docs/help.md").write_text("# Help\n", encoding="utf-8")
    assert server.build() == Server(folder, tmp_path / "fresh").build()


def test_what_an_unknown_plugin_takes_part_in_is_built_whole(folder: Path, tmp_path: Path) -> None:
    (folder / "hook.py").write_text("def on_page_content(html, **_):\n    return html\n", encoding="utf-8")
    changed(folder, "mkdocs.yml", lambda settings: settings.update(hooks=["hook.py"]))
    server = Server(folder, tmp_path / "site")
    server.build()
    before = times(server.site)
    server.build()
    assert all(time != before[path] for path, time in times(server.site).items())
