"""What the frames of all pages of a build depend on, as one digest; and what that of one page depends on besides."""

import hashlib
import re
from collections.abc import Iterator
from importlib.metadata import version
from pathlib import Path

from mkdocs.config.defaults import MkDocsConfig
from mkdocs.structure import StructureItem
from mkdocs.structure.pages import Page

from rigleaf.engine.guide_page import GuidePage
from rigleaf.engine.others import depends_on_others
from rigleaf.site.leaves.keys import program
from rigleaf.site.links import files_in

_TELLS_OF_OTHERS = re.compile(r"\b(?:pages|build_date_utc)\b|(?<!\bpage)\.(?:content|toc|update_date)\b")
"""Words in a template of the guide's own with which a page's frame may tell what the frame that is compared has not."""

_FUNCTION = re.compile(r"(<function [^<>]*|<bound method [^<>]*) at 0x[0-9a-f]+>")
"""A function in the configuration: it is the same wherever it lies, for it is one of a package with a release."""

_NAMELESS = re.compile(r"<[^<>]* at 0x")
"""A thing in the configuration of which nobody can say whether it is the same as another one."""

_TEMPLATES = frozenset({".html", ".xml", ".txt", ".jinja", ".j2"})


def setting_of(config: MkDocsConfig, more: object) -> str | None:
    """Return a digest of what the frames of all pages depend on, or None where nobody knows all of it.

    Args:
        config: the build's configuration, to which no plugin adds any more.
        more: what else they depend on.
    """
    if depends_on_others(config):
        return None
    found = hashlib.blake2b(_program().encode())
    folders = [Path(folder) for folder in config.theme.dirs[: 2 if config.theme.custom_dir else 1]]
    for folder in folders:
        for name in sorted(files_in(folder)):
            if Path(name).suffix in _TEMPLATES:
                text = (folder / name).read_text("utf-8", "replace")
                if folder == folders[0] and config.theme.custom_dir and _TELLS_OF_OTHERS.search(text):
                    return None
                found.update(f"{folder / name}\0{text}\0".encode("utf-8", "surrogateescape"))
    plugins = {name: dict(plugin.config) for name, plugin in config.plugins.items() if hasattr(plugin, "config")}
    rest = {key: value for key, value in config.items() if key not in ("plugins", "theme")}
    given = _FUNCTION.sub(r"\1>", repr((plugins, rest, sorted(config.theme.items()), more)))
    if _NAMELESS.search(given):
        return None
    found.update(given.encode("utf-8", "surrogateescape"))
    return found.hexdigest()


def _program() -> str:
    return f"{program(framing=True)} mkdocs {version('mkdocs')} {version('mkdocs-material')}"


def told(items: list[StructureItem]) -> Iterator[object]:
    """Yield what the frame of a page may tell of the navigation."""
    for item in items:
        if isinstance(item, Page):
            yield item.title, item.url, repr(item.meta)
        else:
            yield item.title, getattr(item, "url", None), tuple(told(getattr(item, "children", None) or []))


def key_of(page: GuidePage, around: str) -> str:
    """Return a digest of all that a page's file is made of.

    Args:
        page: once its parents and neighbours are known.
        around: what all pages depend on: the setting and the navigation.
    """
    near = (*page.ancestors, page.previous_page, page.next_page)
    beside = tuple(None if one is None else (one.title, getattr(one, "url", None)) for one in near)
    own = (page.digest, page.file.dest_uri, page.file.inclusion.name, page.edit_url, page.canonical_url, beside)
    return hashlib.blake2b(f"{around}\0{own!r}".encode("utf-8", "surrogateescape"), digest_size=20).hexdigest()
