"""Tags for previews of links, of generated pages and of those that are written by hand."""

from markupsafe import Markup
from mkdocs.config.defaults import MkDocsConfig
from mkdocs.structure.pages import Page

from rigleaf.engine.guide_page import GuidePage
from rigleaf.site.previews.tags import LOCALE, Tag, page_tags, preview_tags
from rigleaf.site.record import Picture
from rigleaf.site.typeset.addresses import Addresses


def tags_of(page: Page, config: MkDocsConfig, addresses: Addresses, picture: Picture | None) -> tuple[Tag, ...]:
    """Return the tags of a page; ``picture`` is that of the guide, which hand-written pages show."""
    site_name, description = map(_text, (config.site_name, config.site_description))
    if isinstance(page, GuidePage):
        return page_tags(page.record, addresses, site_name, picture)
    title = Markup(page.title or "").striptags()  # noqa: S704 - nothing of it stays a tag
    return preview_tags(
        title=site_name if page.is_homepage else title,
        description=str(page.meta.get("description") or description),  # as the theme has it
        site_name=site_name,
        url=page.canonical_url or "",
        picture=picture,
        addresses=addresses,
        home=page.is_homepage,
        # In which language a person writes, only they know.
        locale=LOCALE if config.theme.get("language", "en") == "en" else "",
    )


def _text(name: str | None) -> str:
    """Return a name from mkdocs.yml as text; by now it is HTML, for the theme writes it into pages as it is."""
    return name.unescape() if isinstance(name, Markup) else name or ""
