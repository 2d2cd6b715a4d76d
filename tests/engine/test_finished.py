"""The development server: after any series of edits its site is, byte for byte, the one of a fresh build."""

import logging
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
import yaml
from mkdocs.commands.build import build
from mkdocs.config import load_config
from mkdocs.config.defaults import MkDocsConfig
from mkdocs.exceptions import Abort

from tests.chapters.small_guide import PARTS, RIG
from tests.engine.building import contents, project

ADDRESS = "http://127.0.0.1:8000/"

RIGS = [
    {**RIG, "targets": ["big"]},
    {"id": "wide", "name": "Wide one", "train": ["lens", "camera"], "mount": "head", "targets": ["big"]},
]
LENS = {
    "kind": "optic", "name": "Lens", "form": "lens", "aperture": "60 mm", "focal_length": "135 mm", "mass": "0.8 kg",
}  # fmt: skip
GUIDE: dict[str, Any] = {
    "shelf": {**PARTS, "lens": LENS},
    "rigs": RIGS,
    "places": [{"id": "home", "name": "Home", "seeing": "2 arcsec"}],
    "targets": [{"id": "big", "name": "Big one", "object": "M 31"}],
    "desk": {"loans": [{"rig": "rig", "out": "2026-03-01", "due": "2026-03-05", "back": "2026-03-04"}]},
    "place": "home",
}


class Server:
    """What `mkdocs serve` does without a network: one set of plugins, one folder, one build after the other."""

    def __init__(self, folder: Path, site: Path) -> None:
        self.folder, self.site = folder, site
        self.plugins: dict[str, Any] = {}
        site.mkdir()
        self.config: MkDocsConfig | None = self._load()
        self.config.plugins.on_startup(command="serve", dirty=False)

    def _load(self) -> MkDocsConfig:
        # Each build has a configuration of its own, with the plugins of the first; MkDocs keeps them for the process.
        vars(dict(MkDocsConfig._schema)["plugins"])["plugin_cache"] = self.plugins
        config = load_config(str(self.folder / "mkdocs.yml"), site_dir=str(self.site))
        config.site_url = ADDRESS
        return config

    def build(self) -> dict[str, bytes]:
        """Build again, and return the site."""
        config, self.config = self.config or self._load(), None
        build(config, serve_url=ADDRESS)
        return contents(self.site)


def changed(root: Path, file: str, change: Callable[[Any], None]) -> None:
    path = root / file
    data = yaml.safe_load(path.read_text(encoding="utf-8"))
    change(data)
    path.write_text(yaml.safe_dump(data, sort_keys=False), encoding="utf-8")


def edit(file: str, change: Callable[[Any], None]) -> Callable[[Path], None]:
    return lambda root: changed(root, file, change)


def written(file: str, text: str) -> Callable[[Path], None]:
    def write(root: Path) -> None:
        (root / file).parent.mkdir(exist_ok=True, parents=True)
        (root / file).write_text(text, encoding="utf-8")

    return write


def _moved(file: Path, name: str) -> None:
    file.rename(file.with_name(name))


def part(id_: str, **values: Any) -> Callable[[Any], None]:
    return lambda shelf: next(one for one in shelf if one["id"] == id_).update(values)


THIRD = yaml.safe_dump({"id": "third", "name": "Third", "train": ["tube", "camera"], "notes": "Old."})

EDITS: dict[str, Callable[[Path], None]] = {
    "nothing": lambda _: None,
    "a rig's words": edit("rigs/wide.yml", lambda rig: rig.update(notes="New.")),
    "a rig's summary": edit("rigs/wide.yml", lambda rig: rig.update(summary="For wide fields. Light.")),
    "a rig's frame": edit("rigs/wide.yml", lambda rig: rig.update(train=["tube", "camera"])),
    "a rig renamed": edit("rigs/rig.yml", lambda rig: rig.update(name="Renamed")),
    "a rig's file renamed": lambda root: _moved(root / "rigs/wide.yml", "broad.yml"),
    "a part": edit("rigs/parts/shelf.yml", part("legs", mass="3.5 kg")),
    "a rig added": written("rigs/third.yml", THIRD),
    "a page by hand": written("docs/help.md", "# Help\n\n[The rig](rigs/rig.md#what-it-weighs)\n"),
    "a page's title": written("docs/help.md", "# Advice\n\n[The rig](rigs/rig.md)\n"),
    "a page in the place of another": written("docs/rigs/third.md", "# By hand\n"),
    "that page gone": lambda root: (root / "docs/rigs/third.md").unlink(),
    "a loan": edit("rigs/desk/book.yml", lambda desk: desk["loans"].append({"rig": "third", "out": "2026-03-06"})),
    "the loan gone": edit("rigs/desk/book.yml", lambda desk: desk["loans"].pop()),
    "a rig gone": lambda root: (root / "rigs/third.yml").unlink(),
    "the guide": edit("rigs/guide.yml", lambda guide: guide.update(choices={"seeing": "5 arcsec"})),
    "its name": edit("mkdocs.yml", lambda settings: settings.update(site_name="Another shelf")),
    "a template": written("own/partials/footer.html", "<footer>Ours</footer>"),
    "that template": written("own/partials/footer.html", "<footer>Theirs {{ page.title }}</footer>"),
    "a template with all pages": written("own/partials/footer.html", "<footer>{{ pages | length }}</footer>"),
    "one page more": written("docs/more.md", "# More\n"),
}  # fmt: skip


LOOKED_AT = ("a rig renamed", "a rig gone", "a template", "one page more")
"""After these the site is compared: a fresh build takes a second, and what has gone wrong before shows here, too."""


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1780000000")
    settings: dict[str, Any] = {"plugins": ["search", "rigleaf"], "theme": {"name": "material", "custom_dir": "own"}}
    (tmp_path / "guide/own").mkdir(parents=True)
    return project(tmp_path / "guide", guide=GUIDE, docs={"docs/help.md": "# Help\n"}, **settings)


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
