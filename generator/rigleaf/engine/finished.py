"""Finished pages and files of the last build of the development server: those that are the same stay where they are.

MkDocs empties its folder, frames every page and writes it, in every build; yet of a thousand rigs one is being edited.
So the last site is moved out of the way of that and back again, and a page with the same record in the same frame is no
page for MkDocs any more but a file that is there already. Nothing is kept where something takes part in a build of
which nobody knows here on what it depends: another plugin, a hook, a template that tells of other pages.
"""

import re
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import NamedTuple

from mkdocs.config.defaults import MkDocsConfig
from mkdocs.structure import StructureItem
from mkdocs.structure.files import File, Files, InclusionLevel
from mkdocs.structure.nav import Navigation
from mkdocs.structure.pages import Page
from mkdocs.utils import get_build_date

from rigleaf.engine.guide_page import GuideFile, GuidePage
from rigleaf.site.links import LinkChecker, LinkProblem, Mark, files_in
from rigleaf.site.record import PageRecord

KNOWN_PLUGINS = frozenset({"search", "offline", "rigleaf"})
"""Plugins that do nothing to a generated page but what its record and frame say."""

_ASIDE = ".rigleaf-aside"
"""Where the last site waits: MkDocs leaves what begins with a dot as it is."""

_TELLS_OF_OTHERS = re.compile(r"\b(?:pages|build_date_utc)\b|(?<!\bpage)\.(?:content|toc|update_date)\b")
"""Words in a template of the guide's own with which a page's frame may tell what the frame that is compared has not."""

_NAMELESS = re.compile(r"<(?!function )[^<>]* at 0x")
"""A thing in the configuration of which nobody can say whether it is the same as another one."""

_TEMPLATES = frozenset({".html", ".xml", ".txt", ".jinja", ".j2"})


class _Kept(NamedTuple):
    page: GuidePage
    frame: object


class Finished:
    """What is kept from one build to the next, in the memory of one process and in one site folder."""

    def __init__(self) -> None:
        self._links = LinkChecker()
        self._begun = False
        self._forget()

    def _forget(self) -> None:
        self._setting: object = None
        self._pages: dict[str, _Kept] = {}
        self._files: dict[str, GuideFile] = {}
        self._marks: dict[str, Mark] = {}

    def begin(self, config: MkDocsConfig, more: object) -> None:
        """Move the last site aside if this build has its setting; before MkDocs empties the folder.

        Args:
            config: the build's configuration, to which no plugin adds any more.
            more: what else the frames of all pages depend on; None where nothing is to be kept.
        """
        setting = _setting(config, more)
        if setting is None or setting != self._setting or not Path(config.site_dir).is_dir():
            self._forget()
        self._setting = setting
        self._aside = Path(config.site_dir) / _ASIDE
        shutil.rmtree(self._aside, ignore_errors=True)
        if self._pages or self._files:
            _move(self._aside.parent, self._aside)
        self._now: list[GuidePage] = []
        self._files_now: dict[str, GuideFile] = {}
        self._begun = True

    def bring_back(self) -> None:
        """Put the last site back; after MkDocs has emptied the folder, and before it writes anything."""
        if self._aside.is_dir():
            _move(self._aside, self._aside.parent)
            self._aside.rmdir()

    def page(self, record: PageRecord, make: Callable[[], GuidePage]) -> GuidePage:
        """Return the page of a record: that of the last build where it is the same, else a new one."""
        kept = self._pages.get(record.address)
        if kept is None or kept.page.record != record:
            page = make()
        else:
            page = kept.page
            # What stands in the navigation itself is looked for among the pages until that is made.
            page.file.finished = page.file.inclusion == InclusionLevel.NOT_IN_NAV
            page.parent = page.previous_page = page.next_page = None
        self._now.append(page)
        return page

    def file(self, config: MkDocsConfig, path: str, content: bytes | str) -> GuideFile:
        """Return a file with this content, finished where the last site has it."""
        file = self._files.get(path)
        if file is None or file.given != content:
            file = GuideFile.of(config, path, content, InclusionLevel.INCLUDED)
        else:
            file.finished = True
        self._files_now[path] = file
        return file

    def settle(self, nav: Navigation, files: Files) -> None:
        """Give back to MkDocs the pages around which the frame is another one; once titles of all pages are known."""
        around = tuple(_told(nav.items))
        pages: dict[str, _Kept] = {}
        for page in self._now:
            frame = (around, page.file.inclusion, _neighbours(page))
            kept = self._pages.get(page.record.address)
            in_site = files.src_uris.get(page.file.src_uri) is page.file
            page.file.finished = in_site and kept is not None and kept.page is page and kept.frame == frame
            if in_site:
                pages[page.record.address] = _Kept(page, frame)
        self._pages_now, self._all = pages, files

    def pages(self) -> list[File]:
        """Return the files of all pages that are published, finished ones too, in their order."""
        return [
            file
            for file in self._all
            if (file.is_page if isinstance(file, GuideFile) else file.is_documentation_page())
            and file.inclusion.is_included()  # type: ignore[no-untyped-call]
        ]

    def moved(self) -> Iterator[dict[str, bytes]]:
        """Yield the files into which went what was inline in the frames of finished pages."""
        some = {id(page.moved): page.moved for page in self._now if page.file.finished and page.moved is not None}
        yield from some.values()

    def tidy(self, site: Path) -> None:
        """Remove what the last site had and this one has not; what is written later is then written anew."""
        finished = {page.file.dest_uri for page in self._now if page.file.finished}
        finished |= {path for path, file in self._files_now.items() if file.finished}
        marks = files_in(site) if self._marks else {}
        for name, mark in self._marks.items():
            if name[0] != "." and marks.get(name) == mark and name not in finished:  # nobody has written it again
                _remove(site, name)

    def check(self, site: Path) -> list[LinkProblem]:
        """Check the links, and keep what is kept from now on."""
        marks = files_in(site)
        problems = self._links.check(site, marks)
        # What a page's frame was warned of is told in every build.
        self._pages = {address: kept for address, kept in self._pages_now.items() if kept.page.moved is not None}
        self._files, self._marks = self._files_now, marks
        for page in self._now:
            page.file.finished = False
        for file in self._files.values():
            file.finished = False
        if self._setting is None:
            self._forget()
        self._begun = False
        return problems

    def fail(self) -> None:
        """Keep nothing of a build that has broken off, unless that was before its folder was touched."""
        if self._begun:
            self._forget()


def _setting(config: MkDocsConfig, more: object) -> object:
    """Return what the frames of all pages depend on, or None where nobody knows all of it."""
    if more is None or any(name.rpartition("/")[2] not in KNOWN_PLUGINS for name in config.plugins):
        return None
    folders = [Path(folder) for folder in config.theme.dirs[: 2 if config.theme.custom_dir else 1]]
    templates = {}
    for folder in folders:
        for name in sorted(files_in(folder)):
            if Path(name).suffix in _TEMPLATES:
                templates[folder / name] = text = (folder / name).read_text("utf-8", "replace")
                if folder == folders[0] and config.theme.custom_dir and _TELLS_OF_OTHERS.search(text):
                    return None
    plugins = {name: dict(plugin.config) for name, plugin in config.plugins.items()}
    rest = {key: value for key, value in config.items() if key not in ("plugins", "theme")}
    given = repr((plugins, rest, sorted(config.theme.items())))
    if _NAMELESS.search(given):
        return None
    return given, templates, get_build_date(), more


def _told(items: list[StructureItem]) -> Iterator[object]:
    """Yield what the frame of a page may tell of the navigation."""
    for item in items:
        if isinstance(item, Page):
            yield item.title, item.url, repr(item.meta)
        else:
            yield item.title, getattr(item, "url", None), tuple(_told(getattr(item, "children", None) or []))


def _neighbours(page: Page) -> tuple[object, ...]:
    near = (*page.ancestors, page.previous_page, page.next_page)
    return tuple(None if one is None else (one.title, getattr(one, "url", None)) for one in near)


def _move(source: Path, target: Path) -> None:
    target.mkdir(parents=True, exist_ok=True)
    for path in list(source.iterdir()):
        if not path.name.startswith("."):
            path.rename(target / path.name)


def _remove(site: Path, name: str) -> None:
    path = site / name
    path.unlink()
    for folder in path.parents:
        if folder == site or any(folder.iterdir()):
            break
        folder.rmdir()
