"""Makes a built site fit for a strict policy: nothing inline in its pages, and files that say so to hosts."""

import posixpath
from collections.abc import Iterable, Mapping
from pathlib import Path
from urllib.parse import urlsplit

from markupsafe import Markup, escape
from mkdocs.config.defaults import MkDocsConfig
from mkdocs.plugins import get_plugin_logger
from mkdocs.structure.files import Files
from mkdocs.structure.pages import Page

from rigleaf.engine.framing import files_of_theme, frame_of
from rigleaf.engine.guide_page import GuidePage
from rigleaf.engine.inline import Moved
from rigleaf.site.delivery.inventory import write_inventory
from rigleaf.site.delivery.policy import page_policy, write_headers

log = get_plugin_logger(__name__)

_LANGUAGES = "assets/javascripts/lunr/"
"""Where the theme has what search needs for other languages than English: a megabyte, with an eval in it."""

_NAMES = ("site_name", "site_description", "site_author", "repo_name")


class Strict:
    """What is kept through one build.

    Args:
        in_pages: whether each page says the policy, too, for hosts that send no headers. Search from a folder,
            without a host, rests on a script written into a frame, and such a policy forbids that.
        assembly: whether pages run WebAssembly, as those do that search an index in pieces.
    """

    def __init__(self, *, in_pages: bool = False, assembly: bool = False) -> None:
        self.moved = Moved()
        self.in_pages = in_pages
        self.assembly = assembly
        self.of_theme: frozenset[str] = frozenset()

    def of_page(self, output: str, page: Page) -> str:
        """Return a finished page without inline scripts and styles."""
        text, moved = self.moved_out(output, page)
        self.take(page, moved.files, moved.left)
        return text

    def moved_out(self, output: str, page: Page) -> tuple[str, Moved]:
        """Return the same, and what was inline; nothing is kept of it. A generated article has none."""
        folder = posixpath.dirname(page.file.dest_uri)
        prefix = "../" * (folder.count("/") + 1) if folder else ""
        moved = Moved()
        text = moved.out_of(output, prefix, folder, page.content or "" if isinstance(page, GuidePage) else "")
        return self._told(text), moved

    def take(self, page: Page, files: Mapping[str, bytes], left: Iterable[str] = ()) -> None:
        """Take what went out of a page's frame, and warn of the attributes for which no file could be made."""
        for name in sorted(left):
            log.warning("'%s' has an attribute '%s', which hosts with a strict policy ignore", page.file.src_uri, name)
        self.moved.files.update(files)

    def of_template(self, output: str, name: str, config: MkDocsConfig) -> str:
        """Return a page that the theme makes by itself, such as one to search on, in the same way.

        That for a missing address is shown at any, so its links begin at the host's root, as MkDocs writes them.
        """
        if not name.endswith(".html"):
            return output
        folder = posixpath.dirname(name)
        prefix = "../" * (folder.count("/") + 1) if folder else ""
        if name == "404.html":
            prefix = urlsplit(config.site_url or "/").path.rstrip("/") + "/"
        return self._told(self.moved.out_of(output, prefix, folder))

    def _told(self, text: str) -> str:
        if not self.in_pages:
            return text
        told = f'<meta http-equiv="Content-Security-Policy" content="{page_policy(assembly=self.assembly)}">'
        return text.replace("<head>", f"<head>{told}", 1)  # before all that it is to speak of

    def choose(self, files: Files, config: MkDocsConfig) -> None:
        """Leave out what no page asks for, and note which files are the theme's."""
        _leave_out(files, config)
        self.of_theme = files_of_theme(files, config)

    def write(self, site: Path, config: MkDocsConfig) -> None:
        """Write what came out of the pages, the headers for hosts and the list of what others made into the site."""
        for path, content in self.moved.files.items():
            (site / path).parent.mkdir(parents=True, exist_ok=True)
            (site / path).write_bytes(content)
        write_headers(site, assembly=self.assembly, address=config.site_url or "")
        write_inventory(site, frame_of(config, self.of_theme | self.moved.files.keys()))


def _leave_out(files: Files, config: MkDocsConfig) -> None:
    """Take out of ``files`` what the theme brings along and no page asks for: maps of sources, other languages."""
    search = config.plugins.get("material/search") or config.plugins.get("search")
    languages = search.config.get("lang") if search is not None else None
    english = languages in (None, "en", ["en"])
    for file in list(files):
        name = file.src_uri
        ours = file.generated_by is not None or (
            file.abs_src_path is not None and Path(file.abs_src_path).is_relative_to(config.docs_dir)
        )
        if not ours and (name.endswith(".map") or (english and name.startswith(_LANGUAGES))):
            files.remove(file)


def escape_names(config: MkDocsConfig) -> None:
    """Let names from mkdocs.yml be text and never tags: the theme writes them into its pages as they are."""
    for name in _NAMES:
        text = getattr(config, name)
        if text is not None and not isinstance(text, Markup):
            setattr(config, name, escape(text))
