"""Makes a built site fit for a strict policy: nothing inline in its pages, and files beside them that say so to hosts."""

import posixpath
from pathlib import Path
from urllib.parse import urlsplit

from markupsafe import Markup, escape
from mkdocs.config.defaults import MkDocsConfig
from mkdocs.plugins import get_plugin_logger
from mkdocs.structure.files import Files
from mkdocs.structure.pages import Page

from rigleaf.engine.guide_page import GuidePage
from rigleaf.engine.inline import Moved
from rigleaf.site.policy import write_headers

log = get_plugin_logger(__name__)

_LANGUAGES = "assets/javascripts/lunr/"
"""Where the theme has what search needs for other languages than English: a megabyte, with an eval in it."""

_NAMES = ("site_name", "site_description", "site_author", "repo_name")


class Strict:
    """What is kept through one build."""

    def __init__(self) -> None:
        self.moved = Moved()

    def of_page(self, output: str, page: Page) -> str:
        """Return a finished page without inline scripts and styles; a generated article has none."""
        folder = posixpath.dirname(page.file.dest_uri)
        prefix = "../" * (folder.count("/") + 1) if folder else ""
        before = set(self.moved.left)
        text = self.moved.out_of(output, prefix, folder, page.content or "" if isinstance(page, GuidePage) else "")
        for name in sorted(self.moved.left - before):
            log.warning("'%s' has an attribute '%s', which hosts with a strict policy ignore", page.file.src_uri, name)
        self.moved.left = before
        return text

    def of_template(self, output: str, name: str, config: MkDocsConfig) -> str:
        """Return a page that the theme makes by itself, such as that for a missing address, in the same way.

        Such a page is shown at any address, so its links begin at the site's root, as MkDocs writes them.
        """
        if not name.endswith(".html"):
            return output
        base = urlsplit(config.site_url or "/").path.rstrip("/") + "/"
        return self.moved.out_of(output, base, base.strip("/"))

    def write(self, site: Path) -> None:
        """Write what came out of the pages, and the headers for hosts, into the finished site."""
        for path, content in self.moved.files.items():
            (site / path).parent.mkdir(parents=True, exist_ok=True)
            (site / path).write_bytes(content)
        write_headers(site)


def leave_out(files: Files, config: MkDocsConfig) -> None:
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
