"""A small guide, the edits that people make to it, and a development server without a network."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import yaml
from mkdocs.commands.build import build
from mkdocs.config import load_config
from mkdocs.config.defaults import MkDocsConfig

from rigleaf.engine.plugin import RigleafPlugin
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

    @property
    def plugin(self) -> RigleafPlugin:
        """Our plugin, which stays from one build to the next."""
        found = self.plugins["rigleaf"]
        assert isinstance(found, RigleafPlugin)
        return found

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


def edited_project(folder: Path) -> Path:
    """Write the project to which all these edits can be made, one after the other."""
    settings: dict[str, Any] = {"plugins": ["search", "rigleaf"], "theme": {"name": "material", "custom_dir": "own"}}
    (folder / "own").mkdir(parents=True)
    return project(folder, guide=GUIDE, docs={"docs/help.md": "# Help\n"}, **settings)
