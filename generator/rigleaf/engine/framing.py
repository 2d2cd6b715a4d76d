"""What the theme around the pages brings into the site: its files, its licence, and what it says is inside them."""

import json
import re
from functools import lru_cache
from importlib.metadata import entry_points
from pathlib import Path
from typing import Any

from mkdocs.config.defaults import MkDocsConfig
from mkdocs.structure.files import Files

from rigleaf.site.delivery.inventory import Frame

_INSIDE = re.compile(r"node_modules/((?:@[^/]+/)?[^/]+)/")


def files_of_theme(files: Files, config: MkDocsConfig) -> frozenset[str]:
    """Return the paths in the site of all files that come from the installed theme and not from the guide."""
    own = [Path(config.docs_dir), *([Path(config.theme.custom_dir)] if config.theme.custom_dir else [])]
    return frozenset(
        file.dest_uri
        for file in files
        if file.generated_by is None
        and file.abs_src_path is not None
        and not any(Path(file.abs_src_path).is_relative_to(folder) for folder in own)
    )


def frame_of(config: MkDocsConfig, files: frozenset[str]) -> Frame:
    """Return what is known of the theme.

    Args:
        config: the build's configuration.
        files: the theme's files, by their paths in the site, and what was moved out of its pages.
    """
    name = str(config.theme.name or "theme")
    found = _installed(name)
    return Frame(name, "", files) if found is None else Frame(*found[:2], files, found[2], _inside(config))


@lru_cache(maxsize=1)
def _installed(theme: str) -> tuple[str, str, str] | None:
    """Return name, release and licence of the package that brings a theme; it does not change while a server runs."""
    found = next((point.dist for point in entry_points(group="mkdocs.themes", name=theme)), None)
    if found is None:
        return None
    texts = [path for path in found.files or () if path.name.startswith("LICENSE") and ".dist-info" in str(path)]
    licence = "\n".join(Path(str(path.locate())).read_text("utf-8") for path in texts)
    return found.metadata["Name"], found.version, licence


def _inside(config: MkDocsConfig) -> frozenset[str] | None:
    """Return the packages inside the theme's scripts and sheets, as its maps of their sources name them."""
    maps = [path for folder in config.theme.dirs for path in sorted(Path(folder).glob("assets/**/*.map"))]
    sources: list[Any] = [source for path in maps for source in json.loads(path.read_bytes()).get("sources", ())]
    return frozenset(found[1] for source in sources if (found := _INSIDE.search(str(source)))) if maps else None
