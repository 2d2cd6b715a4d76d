"""Pages that this program finishes by itself: those that the last build has left stay, the others are framed anew.

MkDocs frames and writes every page in every build, one after the other; yet of a thousand rigs one is being edited. So
the pages of the guide are no pages for MkDocs, but files that are there already: taken from the last site where they
would be the same, and else framed by several processes. Where another plugin or a hook takes part in framing pages,
they are left to MkDocs; where a plugin takes part of which nobody knows on what that depends, none is taken from the
last site.

The development server's last site is moved out of the way of MkDocs, which empties its folder, and back again. Of a
site that is published, the last one stands until the next is whole; what stays the same has a name in both.
"""

import hashlib
import os
import shutil
import sys
from collections.abc import Callable, Iterable, Mapping, MutableMapping, Sequence
from contextlib import suppress
from pathlib import Path

from mkdocs.config.defaults import MkDocsConfig
from mkdocs.exceptions import PluginError
from mkdocs.structure.files import File, Files, InclusionLevel
from mkdocs.structure.nav import Navigation

from rigleaf.engine.guide_page import GuideFile, GuidePage
from rigleaf.engine.ledger import Ledger, Written, read_ledger, write_ledger
from rigleaf.engine.others import FRAMING, told_to_others
from rigleaf.engine.scribes import Frame, write_pages
from rigleaf.engine.setting import key_of, setting_of, told
from rigleaf.site.leaves.store import Store
from rigleaf.site.links import LinkChecker, LinkProblem, Mark, files_in, mark_of
from rigleaf.site.packed import Packed
from rigleaf.site.record import PageRecord
from rigleaf.site.spool import Spool, Spooled

_MOST_SAID = 50

_ASIDE = ".rigleaf-aside"
"""Where the last site waits: MkDocs leaves what begins with a dot as it is."""


class Finished:
    """The finished pages of one build after the other, and what is kept from one to the next."""

    def __init__(self) -> None:
        self._begun = False
        self._forget()

    def _forget(self, spool: Spool | None = None) -> None:
        self._spool = spool
        self._setting: str | None = None
        self._links = LinkChecker(self._facts_kept())
        self._pages: dict[str, GuidePage] = {}
        self._files: dict[str, GuideFile] = {}
        self._marks: dict[str, Mark] = {}
        self._facts: dict[str, bytes] = {}
        self._ledger = Ledger()

    def _facts_kept(self) -> MutableMapping[str, bytes]:
        return Spooled(self._spool) if self._spool else {}

    def begin(
        self,
        config: MkDocsConfig,
        more: object,
        last: Path | None = None,
        store: Store | None = None,
        spool: Spool | None = None,
    ) -> None:
        """Look for the last site, before MkDocs empties its folder.

        Args:
            config: the build's configuration, to which no plugin adds any more.
            more: what else the frames of all pages depend on; None where MkDocs is to frame them.
            last: the folder of the last site, where the next is written beside it; None for the development server.
            store: keeps what is known of that site.
            spool: takes what would take too much room in memory.
        """
        self._alone = more is not None and not told_to_others(config) & FRAMING
        setting = setting_of(config, more) if self._alone else None
        site = Path(config.site_dir)
        self._last, self._store, self._aside = last, store, site / _ASIDE
        if last is not None:
            self._forget(spool)
            if setting is not None:
                self._ledger = read_ledger(store, last, self._facts_kept())
        else:
            if setting is None or setting != self._setting or not site.is_dir():
                self._forget()
            shutil.rmtree(self._aside, ignore_errors=True)
            if self._pages or self._files:
                _move(site, self._aside)
        self._setting, self._facts = setting, {}
        self._now: list[GuidePage] = []
        self._files_now: dict[str, GuideFile] = {}
        self._ledger_now = Ledger(facts=self._facts_kept())
        self._begun = True

    def bring_back(self) -> None:
        """Put the last site back; after MkDocs has emptied the folder, and before it writes anything."""
        if self._aside.is_dir():
            _move(self._aside, self._aside.parent)
            self._aside.rmdir()

    def page(self, record: PageRecord, make: Callable[[], GuidePage]) -> GuidePage:
        """Return the page of a record: that of the last build where it is the same, else a new one."""
        page = self._pages.get(record.address)
        if page is None or page.record != record:
            page = make()
        else:
            page.parent = page.previous_page = page.next_page = None
        # What stands in the navigation itself is looked for among the pages until that is made.
        page.file.finished = self._alone and page.file.inclusion == InclusionLevel.NOT_IN_NAV
        self._now.append(page)
        return page

    def file(self, config: MkDocsConfig, path: str, content: bytes | Packed) -> GuideFile:
        """Return a file with this content, finished where the last site has it."""
        file = self._files.get(path)
        if file is None or file.given != content:
            file = GuideFile.of(config, path, content, InclusionLevel.INCLUDED)
        known = self._ledger.pages.get(path)
        file.finished = bool(self._setting and known and known.key == file.digest and self._lies(path, known.mark))
        self._files_now[path] = file
        return file

    def settle(self, nav: Navigation, files: Files) -> None:
        """Take the pages out of MkDocs' hands; once titles and neighbours of all pages are known."""
        self._all = files
        self._now = [page for page in self._now if files.src_uris.get(page.file.src_uri) is page.file]
        around = repr((self._setting, tuple(told(nav.items)))).encode("utf-8", "surrogateescape")
        self._around = hashlib.blake2b(around).hexdigest()
        if self._alone:
            for page in self._now:
                page.file.finished = True

    def write(self, frame: Frame, take: Callable[[GuidePage, dict[str, bytes], Sequence[str]], object]) -> None:
        """Have the last site's pages and files where they stay, and frame and write the other pages.

        Only after MkDocs has written all that is its own: it writes through whatever name stands in its way.

        Args:
            frame: makes the document of a page.
            take: told of each page, what went out of its frame and which attributes could not, new page or not.
        """
        for path, file in self._files_now.items():
            if file.finished:
                known = self._ledger.pages[path]
                file.finished = self._stays(path, known.mark)
                if file.finished:
                    self._note(path, known, self._ledger.facts.get(path, b""))
                else:
                    file.copy_file()
        missing: list[tuple[GuidePage, str]] = []
        for page in self._now if self._alone else ():
            key, path = key_of(page, self._around) if self._setting else "", page.file.dest_uri
            known_page = self._ledger.pages.get(path)
            if known_page is not None and known_page.key == key and self._stays(path, known_page.mark):
                moved = {name: self._ledger.moved[name] for name in known_page.moved}
                take(page, moved, ())
                self._note(path, known_page, self._ledger.facts.get(path, b""))
                self._ledger_now.moved.update(moved)
            else:
                missing.append((page, key))
        written = write_pages([page for page, _ in missing], frame, self._aside.parent)
        for (page, key), found in zip(missing, written, strict=True):
            take(page, found.moved, found.left)
            # What a page's frame is warned of is told in every build, so such a page is framed in every build.
            now = Written("" if found.left else key, found.mark, _names(found.moved))
            self._note(page.file.dest_uri, now, found.facts)
            self._ledger_now.moved.update(found.moved)

    def _note(self, path: str, written: Written, facts: bytes) -> None:
        self._ledger_now.pages[path] = written
        if facts:
            self._ledger_now.facts[path] = facts

    def _lies(self, path: str, mark: Mark) -> bool:
        """Say whether a file of the last site is still the one that was written then."""
        return _mark((self._last or self._aside.parent) / path) == mark

    def _stays(self, path: str, mark: Mark) -> bool:
        """Have a file of the last site in this one, if it is still the one that was written then."""
        if not self._lies(path, mark):
            return False
        if self._last is None:
            return True
        here = self._aside.parent / path
        here.parent.mkdir(parents=True, exist_ok=True)
        with suppress(OSError):  # a disk without second names
            here.unlink(missing_ok=True)
            os.link(self._last / path, here)
            if _mark(here) == mark:
                return True
            here.unlink()  # or it would be written through this name into the last site
        return False

    def pages(self) -> list[File]:
        """Return the files of all pages that are published, finished ones too, in their order."""
        return [
            file
            for file in self._all
            if (file.is_page if isinstance(file, GuideFile) else file.is_documentation_page())
            and file.inclusion.is_included()  # type: ignore[no-untyped-call]
        ]

    def check(self, site: Path) -> list[LinkProblem]:
        """Remove what the last site had and this one has not, check the links, and keep what is kept from now on."""
        marks = files_in(site)
        self._tidy(site, marks)
        for path, known in self._ledger_now.pages.items():
            if marks.get(path) != known.mark:  # somebody has written it since
                self._ledger_now.facts.pop(path, None)
        problems = self._links.check(site, marks, self._ledger_now.facts)
        for path, file in self._files_now.items():
            if path in marks and not file.finished:
                self._note(path, Written(file.digest, marks[path], ()), self._links.facts.get(path, b""))
        self._ledger = self._ledger_now
        self._pages, self._files, self._marks = (
            {page.record.address: page for page in self._now},
            self._files_now,
            marks,
        )
        for page in self._now:
            page.file.finished = False
        for file in self._files.values():
            file.finished = False
        if self._setting is None:
            self._forget()
        self._begun = False
        return problems

    def _tidy(self, site: Path, marks: dict[str, Mark]) -> None:
        finished = self._ledger_now.pages.keys() | {path for path, file in self._files_now.items() if file.finished}
        for name, mark in self._marks.items():
            if name[0] != "." and marks.get(name) == mark and name not in finished:  # nobody has written it again
                _remove(site, name)
                del marks[name]

    @property
    def keeps(self) -> bool:
        """Whether the next build may rest on this one."""
        return self._setting is not None

    def renew(self, records: Iterable[PageRecord], files: Mapping[str, bytes | Packed], frame: Frame) -> bool:
        """Write some pages and files anew after a build that held; return whether their frames hold, too.

        Args:
            records: of pages that are there, made of the same files as they were.
            files: contents of files that are there.
            frame: makes the document of a page.
        """
        site, self._marks = self._aside.parent, dict(self._marks)
        for record in records:
            page = self._pages.get(record.address)
            if page is None:  # a page written by hand stands in its place
                continue
            page.tell(record)
            (found,), path = write_pages([page], frame, site), page.file.dest_uri
            self._marks[path], self._facts[path] = found.mark, found.facts
            if found.left or not found.moved.keys() <= self._ledger.moved.keys():
                return False
            self._ledger.pages[path] = Written(key_of(page, self._around), found.mark, _names(found.moved))
            self._ledger.facts[path] = found.facts
        for path, content in files.items():
            file = self._files[path]
            file.given = content
            file.copy_file()
            self._marks[path] = mark_of((site / path).stat())
        return True

    def holds(self) -> bool:
        """Say whether all links lead somewhere after what was written anew."""
        facts, self._facts = self._facts, {}
        return not self._links.check(self._aside.parent, self._marks, facts)

    def keep(self) -> None:
        """Keep what is known of the site, once it stands where the next build will find it."""
        if self._last is not None and self._setting is not None:
            write_ledger(self._store, self._last, self._ledger)

    def fail(self) -> None:
        """Keep nothing of a build that has broken off, unless that was before its folder was touched."""
        if self._begun:
            self._forget()


def refuse_broken(problems: Sequence[LinkProblem], say: Callable[[str], object]) -> None:
    """Say which links are broken, the first ones of very many, and fail.

    Raises:
        PluginError: where there is any.
    """
    for problem in problems[:_MOST_SAID]:
        say(str(problem))
    if problems:
        raise PluginError(f"{len(problems)} broken links or anchors in the site")


def _names(moved: Iterable[str]) -> tuple[str, ...]:
    """Return names of files that went out of a page: those of most are the same, and held once."""
    return tuple(map(sys.intern, moved))


def _mark(path: Path) -> Mark | None:
    try:
        return mark_of(path.stat(follow_symlinks=False))
    except OSError:
        return None


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
