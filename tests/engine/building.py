"""Tiny guides built by MkDocs in this process: a fifth of a second each."""

import json
from pathlib import Path
from typing import Any

import yaml
from mkdocs.commands.build import build
from mkdocs.config import load_config
from mkdocs.config.defaults import MkDocsConfig

from rigleaf.engine.plugin import RigleafPlugin
from tests.chapters.small_guide import PARTS, RIG, Data
from tests.site.yaml_guide import write_guide

FEW: dict[str, Data] = {id_: PARTS[id_] for id_ in ("tube", "reducer", "camera", "head")}
FEW_RIG: Data = {
    **RIG,
    "riders": [],
    "counterweights": [],
    "tripod": None,
    "power": [],
    "summary": "For galaxies. And more.",
}


def project(
    folder: Path, *, docs: dict[str, str] | None = None, guide: dict[str, Any] | None = None, **settings: Any
) -> Path:
    """Write a project with a guide of four parts: mkdocs.yml, docs and rigs. ``settings`` go into mkdocs.yml."""
    write_guide(folder / "rigs", **{"shelf": FEW, "rigs": [FEW_RIG], **(guide or {})})
    (folder / "docs").mkdir(exist_ok=True)
    for name, text in (docs or {}).items():
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_text(text, encoding="utf-8")
    defaults: dict[str, Any] = {"site_name": "Small", "theme": {"name": "material"}, "plugins": ["search", "rigleaf"]}
    (folder / "mkdocs.yml").write_text(yaml.safe_dump(defaults | settings, sort_keys=False), encoding="utf-8")
    return folder


def configured(folder: Path, **more: Any) -> MkDocsConfig:
    """Return the configuration of a project, as strict as the demo's."""
    return load_config(config_file=str(folder / "mkdocs.yml"), site_dir=str(folder / "site"), strict=True, **more)


def built(folder: Path, **settings: Any) -> Path:
    """Write a project, build it and return its site."""
    config = configured(project(folder, **settings))
    config.plugins.on_startup(command="build", dirty=False)
    build(config)
    config.plugins.on_shutdown()
    return folder / "site"


def plugin_of(config: MkDocsConfig) -> RigleafPlugin:
    """Return our plugin out of a configuration."""
    plugin = config.plugins["rigleaf"]
    assert isinstance(plugin, RigleafPlugin)
    return plugin


def pages(site: Path) -> set[str]:
    """Return the paths of all pages but the one for a missing address; copies to send stand among the assets."""
    found = {path.relative_to(site).as_posix() for path in site.rglob("*.html")}
    return {path for path in found if not path.startswith("assets/")} - {"404.html"}


def records(site: Path) -> list[dict[str, Any]]:
    """Return the records of the search index."""
    index: dict[str, list[dict[str, Any]]] = json.loads((site / "search" / "search_index.json").read_text("utf-8"))
    return index["docs"]


def contents(site: Path) -> dict[str, bytes]:
    """Return every file of a site by its path."""
    return {path.relative_to(site).as_posix(): path.read_bytes() for path in site.rglob("*") if path.is_file()}
