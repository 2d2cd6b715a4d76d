"""What the frames of all pages of a build depend on, as one digest; and what that of one page depends on besides."""

import hashlib
import re
import sys
from collections.abc import Iterator, Mapping
from importlib.metadata import version
from pathlib import Path
from types import FunctionType

from mkdocs.config.defaults import MkDocsConfig
from mkdocs.structure import StructureItem
from mkdocs.structure.pages import Page
from pathspec import PathSpec

from rigleaf.engine.guide_page import GuidePage
from rigleaf.engine.others import depends_on_others
from rigleaf.site.leaves.keys import program
from rigleaf.site.links import files_in

_TELLS_OF_OTHERS = re.compile(r"\b(?:pages|build_date_utc)\b|(?<!\bpage)\.(?:content|toc|update_date|meta)\b")
"""Words in a template with which a page's frame may tell what the frame that is compared has not."""

_KNOWN_THEMES = frozenset({"material", "mkdocs", "readthedocs"})
"""Their own templates tell of no page but the one that they frame."""

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
    own = config.theme.custom_dir
    for folder in map(Path, config.theme.dirs[: 2 if own else 1]):
        of_guide = own is not None and folder == Path(own)
        for name in sorted(files_in(folder)):
            is_template = Path(name).suffix in _TEMPLATES
            # Templates take in drawings, too. What a package brings along is known by its release.
            if is_template or of_guide:
                content = (folder / name).read_bytes()
                strange = of_guide or config.theme.name not in _KNOWN_THEMES
                if is_template and strange and _TELLS_OF_OTHERS.search(content.decode("utf-8", "replace")):
                    return None
                found.update(f"{folder / name}\0{len(content)}\0".encode("utf-8", "surrogateescape") + content)
    plugins = {name: dict(plugin.config) for name, plugin in config.plugins.items() if hasattr(plugin, "config")}
    rest = {key: value for key, value in config.items() if key not in ("plugins", "theme")}
    given = repr(_said((plugins, rest, sorted(config.theme.items()), config.theme.dirs, more)))
    if _NAMELESS.search(given):
        return None
    found.update(given.encode("utf-8", "surrogateescape"))
    return found.hexdigest()


def _said(value: object) -> object:
    """Return a value of the configuration in such a way that its words are the same in every process."""
    if isinstance(value, Mapping):
        return {str(key): _said(one) for key, one in value.items()}
    if isinstance(value, list | tuple):
        return [_said(one) for one in value]
    if isinstance(value, set | frozenset):
        return sorted(repr(_said(one)) for one in value)
    if isinstance(value, PathSpec):
        return [(pattern.include, str(getattr(pattern.regex, "pattern", ""))) for pattern in value.patterns]
    if isinstance(value, FunctionType) and (file := getattr(sys.modules.get(value.__module__), "__file__", None)):
        return value.__module__, value.__qualname__, hashlib.blake2b(Path(file).read_bytes()).hexdigest()
    return value


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
