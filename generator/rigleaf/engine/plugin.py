"""The plugin: reads the guide before MkDocs touches the site, hands over pages, checks and publishes what came out."""

import datetime as dt
import os
from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace
from functools import partial
from itertools import chain
from pathlib import Path
from typing import Any, Literal

from jinja2 import Environment
from markupsafe import Markup, escape
from mkdocs.config.defaults import MkDocsConfig
from mkdocs.exceptions import PluginError
from mkdocs.livereload import LiveReloadServer
from mkdocs.plugins import BasePlugin, CombinedEvent, event_priority, get_plugin_logger
from mkdocs.structure.files import File, Files, InclusionLevel
from mkdocs.structure.nav import Navigation
from mkdocs.structure.pages import Page
from mkdocs.utils.templates import TemplateContext

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.catalogue.faults import CatalogueError
from rigleaf.catalogue.files import find_root
from rigleaf.catalogue.reading import read_catalogue
from rigleaf.engine.browsers import Browsers
from rigleaf.engine.compiled import Compiled
from rigleaf.engine.dates import date_archive, date_pages, day_instead, moment, without_false_dates
from rigleaf.engine.finished import Finished, refuse_broken
from rigleaf.engine.frames import framing
from rigleaf.engine.guide_page import GuidePage, Known, add_page
from rigleaf.engine.navigation import join_pages, section_nav
from rigleaf.engine.options import RigleafConfig
from rigleaf.engine.own_files import keep_out, refuse_shut_folders
from rigleaf.engine.preparing import Prepared, Read, prepared_apart, refusal
from rigleaf.engine.previews import tags_of
from rigleaf.engine.publishing import Publishing
from rigleaf.engine.quick import (
    Edit,
    Last,
    OvertakenError,
    edit_ahead,
    edit_between,
    files_beside,
    read_again,
    unless,
    written,
)  # fmt: skip
from rigleaf.engine.scribes import Frame
from rigleaf.engine.search import Index, as_content, record_list, records_of, searches, searches_first
from rigleaf.engine.settings import apply_settings, guide_folder, speak
from rigleaf.engine.split_search import check_split, split_or_tell
from rigleaf.engine.strict import Strict, escape_names
from rigleaf.engine.upkeep import Upkeep
from rigleaf.engine.watching import PromptObserver
from rigleaf.site.book import Book, make_book
from rigleaf.site.delivery.static_files import static_content, static_files
from rigleaf.site.leaves.leaf import Leaf
from rigleaf.site.leaves.store import leaf_store, page_store
from rigleaf.site.links import Mark
from rigleaf.site.memory import Memory, nothing
from rigleaf.site.missing_page import missing_page
from rigleaf.site.offline_files import withdraw_field_copy, write_copy_of
from rigleaf.site.previews.tags import with_tags
from rigleaf.site.record import PageRecord
from rigleaf.site.shelf.photos import Darkroom, photos
from rigleaf.site.spool import Spool
from rigleaf.site.typeset.addresses import Addresses

log = get_plugin_logger(__name__)

_PAUSE_S = 0.05
"""So long after an edit the development server waits for another one that belongs to it."""


class RigleafPlugin(BasePlugin[RigleafConfig]):  # type: ignore[no-untyped-call]
    """Builds a field guide from a folder of YAML."""

    def __init__(self) -> None:
        self.root = Path()
        self.addresses = Addresses()
        self.book = Book(())
        self.missing: PageRecord | None = None
        self.darkroom = Darkroom()
        self.pictures: Mapping[str, Path] = {}
        self.originals: frozenset[Path] = frozenset()
        self.pages: list[GuidePage] = []
        self.env = Environment()  # noqa: S701 - MkDocs brings its own
        self.listed: list[File] = []
        self.strict = Strict()
        self.curated = False
        self.index = Index()
        self.serving = False
        self.nav = Navigation([], [])
        self.memory = Memory(found={})
        self.finished = Finished()
        self.compiled = Compiled()
        self.publishing = Publishing()
        self.day: dt.date | None = None
        self.frame: Frame | None = None
        self.catalogue: Catalogue | None = None
        self.beside: dict[str, Mark] = {}
        self.last: Last | None = None
        self.browsers = Browsers()
        self.upkeep = Upkeep()

    def on_startup(self, *, command: Literal["build", "gh-deploy", "serve"], dirty: bool) -> None:
        """Keep this object across rebuilds; each build sets all of its state anew."""
        self.serving = command == "serve"

    @property
    def has_field_copy(self) -> bool:
        """Whether readers' browsers keep the site; never that of the development server, where an edit must show."""
        return not self.serving and self.config.field_copy != "off"

    @property
    def splits_search(self) -> bool:
        """Whether pages fetch pieces of the index; the theme's frame asks, too."""
        return self.config.search == "split"

    @event_priority(100)
    def on_config(self, config: MkDocsConfig) -> MkDocsConfig:
        """Set defaults and watch the YAML; early, because other plugins add their own where ours are missing."""
        apply_settings(config)
        if self.splits_search:
            check_split(config)
        # The development server writes a script of its own into every page, by which it is loaded again after an edit.
        in_pages = self.config.policy == "pages" and not self.serving
        self.strict = Strict(in_pages=in_pages, assembly=self.splits_search)
        try:
            self.root = find_root(guide_folder(config, self.config.rigs))
        except FileNotFoundError as error:
            raise PluginError(f"{error}: the option 'rigs' of the plugin names the folder of YAML") from error
        except PermissionError as error:
            raise PluginError(f"{error.strerror}: '{error.filename}'") from error
        watched = str(self.root)
        if watched not in config.watch:
            config.watch.append(watched)
        if not self.serving:  # the development server has a folder of its own
            self.publishing.redirect(config)
        return config

    def on_pre_build(self, *, config: MkDocsConfig) -> None:
        """Read and finish everything before MkDocs writes anything: a fault is told at once."""
        spool = None
        if work := self.publishing.begin(self.root, log.info):
            self.darkroom = Darkroom(work)
            spool = Spool(work)
        refuse_shut_folders(Path(config.docs_dir))
        self.addresses = Addresses(config.use_directory_urls, config.site_url or "")
        read = partial(read_catalogue, self.root, kept=self.memory.files if self.serving else None)
        prepare = partial(self._prepare, config, spool)
        now = prepared_apart(self.root, spool, read, prepare) if spool else prepare(read)
        self.book, self.missing, self.day = now.book, now.missing, now.day
        self.pictures, self.originals = now.pictures, now.originals
        speak(config, self.book.language)
        self.catalogue, self.last = now.catalogue, None
        self.beside = files_beside(config, now.catalogue) if now.catalogue else {}
        self.curated = record_list(config) is not None
        day = self.day or os.environ.get("SOURCE_DATE_EPOCH")
        around = (self.addresses, self.book.picture, self.book.language, day)
        # Search that has no list of records reads the words of each page when MkDocs frames it.
        framed = self.curated or not searches(config)
        self.finished.begin(config, around if framed else None, self.publishing.site, now.store, spool)

    def _prepare(self, config: MkDocsConfig, spool: Spool | None, read: Read) -> Prepared:
        """Read the guide, and finish its pages and files."""
        try:
            catalogue = read()
            pictures = self.darkroom.develop(catalogue)
        except CatalogueError as error:
            raise refusal(error, self.root) from error
        book = self._book_of(catalogue, spool=spool)
        missing = missing_page(catalogue, book, self.addresses, searches=searches(config))
        originals = frozenset(photo.source for photo in photos(catalogue))
        kept = catalogue if self.serving else None  # only a server reads it again
        return Prepared(book, missing, pictures, originals, day_instead(catalogue), page_store(catalogue), kept)

    def _book_of(
        self, catalogue: Catalogue, spool: Spool | None = None, ahead: Callable[[tuple[Leaf, ...]], None] | None = None
    ) -> Book:  # fmt: skip
        return make_book(
            catalogue, self.addresses, field_copy=self.has_field_copy, store=leaf_store(catalogue),
            memory=self.memory if self.serving else None, spool=spool, ahead=ahead,
        )  # fmt: skip

    def on_serve(
        self, server: LiveReloadServer, *, config: MkDocsConfig, builder: Callable[..., Any]
    ) -> LiveReloadServer:  # fmt: skip
        """Hear of edits at once, and write only what they have changed where that can be told."""
        heard = PromptObserver(server.observer, str(self.root))
        self.browsers = Browsers(server)
        server.builder = lambda: self._follow(heard, builder)
        server.observer = heard  # type: ignore[assignment]
        server.build_delay = _PAUSE_S
        return server

    def _follow(self, heard: PromptObserver, builder: Callable[..., Any]) -> None:
        """Bring the site to what the guide says now."""
        try:
            if heard.only_there() and self._write_edit(heard.edited_again):
                return
        except BaseException:
            self.browsers.keep_waiting()  # as they do after any build that was broken off
            raise
        self.browsers.keep_waiting()
        builder()

    def _write_edit(self, overtaken: Callable[[], bool] = lambda: False) -> bool:
        """Write the articles that an edit has changed; return whether that was all that is to be done for now."""
        last, self.last = self.last, None
        if last is None:
            return False
        catalogue = read_again(last, partial(read_catalogue, self.root, kept=self.memory.files))
        if catalogue is None or day_instead(catalogue) != self.day:
            return False
        ahead: list[Edit | None] = []
        try:
            book = self._book_of(catalogue, ahead=lambda new: ahead.append(self._write_ahead(new, last, overtaken)))
        except OvertakenError:
            return self._put_off(last, ahead[0])
        finally:
            self.memory.between = nothing
        edit, (first,) = edit_between(self.book, book), ahead
        if edit is None or first is None or last.owed:
            return False
        rest, sought = edit.without(first), edit.sought or last.sought
        if sought and self.splits_search:
            return False
        if rest or sought:
            self.browsers.keep_waiting()
        if not self.finished.renew(rest.pages, rest.files, last.frame) or not self.finished.holds():
            return False
        self.book = book
        if sought and self.curated:
            self.index.renew(last.config, self.pages)
        self.last = replace(last, catalogue=catalogue, sought=False)
        log.info("Written anew: %d of %d pages", len(edit.pages), len(book.pages))
        self.upkeep.after_build(catalogue, self.memory)
        return True

    def _write_ahead(self, leaves: Iterable[Leaf], last: Last, overtaken: Callable[[], bool]) -> Edit | None:
        """Write what tells of the edited rig alone, and let its author see it; the links are checked with the rest."""
        edit = edit_ahead(self.book, leaves)
        if not self.finished.renew(edit.pages, edit.files, last.frame):
            return None
        if edit.pages:
            self.browsers.let_in()
        self.memory.between = unless(overtaken)
        return edit

    def _put_off(self, last: Last, first: Edit | None) -> bool:
        """Leave the rest to the build that follows at once; return whether it may rest on this one."""
        if first is None:
            return False
        before, self.book = self.book, written(self.book, first)
        self.last = last.put_off(before, self.book)
        return True

    def on_files(self, files: Files, *, config: MkDocsConfig) -> Files:
        """Add the finished pages; keep out of the site what is not meant for it: YAML may hold private values."""
        keep_out(files, config, self.root, self.originals, self.darkroom)
        self.strict.choose(files, config)
        self.finished.bring_back()
        in_nav, known, self.pages = {section.address for section in self.book.sections}, Known(), []
        taken = {file.dest_uri: file.src_uri for file in files.documentation_pages()}
        for record in self.book.pages:
            make = partial(add_page, record, config, self.root, record.address in in_nav, self.curated, known)
            page = self.finished.page(record, make)
            file = page.file
            if file.dest_uri in taken:
                log.info("'%s' in the docs folder takes the place of the generated page", taken[file.dest_uri])
                continue
            files.append(file)
            self.pages.append(page)
        included = InclusionLevel.INCLUDED
        for path in static_files():
            if path not in files.src_uris:  # the user may have put something of their own in its place
                files.append(File.generated(config, path, content=static_content(path), inclusion=included))
        for path, content in self.book.files.as_they_lie().items():
            files.append(self.finished.file(config, path, content))
        for path, picture in self.pictures.items():
            files.append(File.generated(config, path, abs_src_path=str(picture), inclusion=included))
        if config.nav is None:
            config.nav = section_nav(files, self.book)
        return files

    def on_env(self, env: Environment, *, config: MkDocsConfig, files: Files) -> Environment:
        """Mend what the theme sets as HTML: what `striptags` returns, and names, may not become tags."""
        self.finished.settle(self.nav, files)
        self.env, self.listed = env, self.finished.pages()
        env.bytecode_cache, env.auto_reload = self.compiled, False  # no template changes while a site is built
        escape_names(config)
        date_pages(files, self.day)
        env.filters["striptags"] = lambda text: escape(Markup(text).striptags())  # noqa: S704 - it is escaped
        return env

    def on_nav(self, nav: Navigation, *, config: MkDocsConfig, files: Files) -> Navigation:
        """Join the pages that the navigation does not list."""
        join_pages(nav, files, config)
        self.nav = nav
        return nav

    def on_template_context(
        self, context: TemplateContext, *, template_name: str, config: MkDocsConfig
    ) -> TemplateContext:  # fmt: skip
        """Name all pages in the map of the site, finished ones too."""
        context["pages"] = self.listed
        return context

    @event_priority(100)
    def _offer_words(self, context: dict[str, Any], *, page: Page, config: MkDocsConfig, nav: Navigation) -> None:
        if isinstance(page, GuidePage) and not self.curated:
            page.content = as_content(page.record)

    @event_priority(-100)
    def _restore_article(self, context: dict[str, Any], *, page: Page, config: MkDocsConfig, nav: Navigation) -> None:
        context["pages"] = self.listed
        if self.day is not None:
            context["build_date_utc"] = moment(self.day)
        if isinstance(page, GuidePage):
            page.content = page.record.html

    on_page_context = CombinedEvent(_offer_words, _restore_article)

    @event_priority(-100)  # last, so that what the user's own templates and other plugins write is there
    def on_post_page(self, output: str, *, page: Page, config: MkDocsConfig) -> str:
        """Add the tags from which chats make previews of links; move what is inline into files."""
        return self.strict.of_page(with_tags(output, tags_of(page, config, self.addresses, self.book.picture)), page)

    @event_priority(-100)
    def on_post_template(self, output_content: str, *, template_name: str, config: MkDocsConfig) -> str:
        """Move what is inline into files in the page for a missing address, too; let no page have a false day."""
        if template_name == "sitemap.xml":
            return without_false_dates(output_content)
        return self.strict.of_template(output_content, template_name, config)

    @event_priority(10_000)  # when MkDocs has written all that is its own, and before any plugin looks at the site
    def _write_pages(self, *, config: MkDocsConfig) -> None:
        tags = partial(tags_of, config=config, addresses=self.addresses, picture=self.book.picture)
        self.frame = framing(self.env, self.nav, self.listed, config, self.day, tags, self.strict)
        self.finished.write(self.frame, self.strict.take)

    @event_priority(100)
    def _split_search(self, *, config: MkDocsConfig) -> None:
        if self.curated:
            entries = chain(record_list(config) or (), records_of(self.pages))
            if told := split_or_tell(config, entries, split=self.splits_search):
                log.info(told)

    def _write_search(self, *, config: MkDocsConfig) -> None:
        if self.curated and searches_first(config):
            self.index.complete(config, self.pages)

    @event_priority(-40)
    def _write_search_late(self, *, config: MkDocsConfig) -> None:
        if self.curated and not searches_first(config):
            self.index.complete(config, self.pages)

    @event_priority(-50)
    def _write_strict(self, *, config: MkDocsConfig) -> None:
        date_archive(Path(config.site_dir), self.day)
        self.strict.write(Path(config.site_dir), config)

    @event_priority(-100)
    def _check_links(self, *, config: MkDocsConfig) -> None:
        refuse_broken(self.finished.check(Path(config.site_dir)), log.error)

    @event_priority(-200)
    def _write_field_copy(self, *, config: MkDocsConfig) -> None:
        site = Path(config.site_dir)
        if self.has_field_copy:  # last, as it lists the digests of all that has been written
            whole = {"auto": None, "whole": True, "rigs": False}[self.config.field_copy]
            write_copy_of(self.book, Addresses(config.use_directory_urls), site, whole=whole)
        else:
            withdraw_field_copy(site)

    @event_priority(-10_000)  # after every plugin that still writes something
    def _publish(self, *, config: MkDocsConfig) -> None:
        if self.publishing.publish(log.info):
            self.finished.keep()
        if self.serving and self.catalogue:
            if self.finished.keeps and self.frame:
                self.last = Last(config, self.frame, self.catalogue, self.beside)
            self.upkeep.after_build(self.catalogue, self.memory)

    on_post_build = CombinedEvent(
        _write_pages, _split_search, _write_search, _write_search_late, _write_strict, _check_links,
        _write_field_copy, _publish,
    )  # fmt: skip

    def on_build_error(self, *, error: Exception) -> None:
        """Leave the site as it was, and nothing beside it."""
        self.finished.fail()
        self.publishing.end(error)

    def on_shutdown(self) -> None:
        """Do the same after a build that was broken off by hand."""
        self.publishing.end()
