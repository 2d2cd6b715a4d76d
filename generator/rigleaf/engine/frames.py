"""The document around a finished article, as MkDocs would make it with the same template."""

import datetime as dt
from collections.abc import Callable, Sequence

from jinja2 import Environment
from mkdocs.commands.build import get_context
from mkdocs.config.defaults import MkDocsConfig
from mkdocs.plugins import get_plugin_logger
from mkdocs.structure.files import File
from mkdocs.structure.nav import Navigation

from rigleaf.engine.dates import moment
from rigleaf.engine.guide_page import GuidePage
from rigleaf.engine.inline import Moved
from rigleaf.engine.scribes import Frame
from rigleaf.engine.strict import Strict
from rigleaf.site.previews.tags import Tag, with_tags

log = get_plugin_logger(__name__)


def framing(
    env: Environment, nav: Navigation, files: Sequence[File], config: MkDocsConfig, day: dt.date | None,
    tags: Callable[[GuidePage], tuple[Tag, ...]], strict: Strict,
) -> Frame:  # fmt: skip
    """Return what makes the document of a page.

    Args:
        env: the theme's templates.
        nav: the navigation.
        files: those of all pages.
        config: the build's configuration.
        day: to write in the place of today's, or None.
        tags: returns those for previews of links to a page.
        strict: moves what is inline out of it.
    """

    def frame(page: GuidePage) -> tuple[str, Moved]:
        page.compose()
        page.active = True
        try:
            context = get_context(nav, files, config, page)
            if day is not None:
                context["build_date_utc"] = moment(day)
            output = env.get_template("main.html").render(context)
            return strict.moved_out(with_tags(output, tags(page)), page)
        except Exception as error:
            log.error("Error building page '%s': %s", page.file.src_uri, error)
            raise
        finally:
            page.active = False
            page.discompose()  # of a large guide, all articles at once are too many

    return frame
