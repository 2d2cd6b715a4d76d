"""How a build reaches readers: MkDocs writes a draft beside the site, and only a build that held takes its place."""

import errno
import logging
from collections.abc import Callable
from pathlib import Path

from mkdocs.config.defaults import MkDocsConfig
from mkdocs.exceptions import PluginError
from mkdocs.utils import CountHandler

from rigleaf.site.delivery.publishing import Draft, PublishingError

_FULL = frozenset({errno.ENOSPC, errno.EDQUOT, errno.EFBIG})


class Publishing:
    """The draft of one build after the other; while there is one, the configuration's ``site_dir`` is its folder."""

    def __init__(self) -> None:
        self._draft: Draft | None = None
        self._config: MkDocsConfig | None = None
        self._site_dir = ""

    def redirect(self, config: MkDocsConfig) -> None:
        """Let all that MkDocs and other plugins write go into the draft; nothing is made yet."""
        self.end()
        self._draft, self._config, self._site_dir = Draft(Path(config.site_dir)), config, config.site_dir
        config.site_dir = str(self._draft.folder)

    @property
    def site(self) -> Path | None:
        """The folder of the last site, which stands until the next is whole; None where there is no draft."""
        return self._draft.site if self._draft else None

    def begin(self, root: Path, say: Callable[[str], object]) -> Path | None:
        """Take the lock and make the draft; return the folder around it, or None where there is no draft.

        Args:
            root: the guide's YAML, which must not lie in the site: all of it is replaced.
            say: told once when another build of this site has to end first.

        Raises:
            PluginError: when there can be no draft.
        """
        if self._draft is None:
            return None
        if root.resolve().is_relative_to(self._draft.site):
            raise PluginError(f"the site '{self._site_dir}' would replace the guide's YAML in '{root}'")
        try:
            self._draft.open(lambda: say("Another build of this site is running; waiting until it has ended"))
        except PublishingError as error:
            raise PluginError(str(error)) from error
        return self._draft.work

    def publish(self, say: Callable[[str], object]) -> bool:
        """Put the draft in the place of the site, unless MkDocs is about to fail the build for its warnings.

        Return whether the site is now a new one.

        Raises:
            PluginError: when the site cannot be replaced.
        """
        if self._draft is None or self._config is None:
            return False
        if holds := not (self._config.strict and _warned()):
            try:
                self._draft.publish()
            except PublishingError as error:
                raise PluginError(str(error)) from error
            say(f"The site stands in '{self._site_dir}'")
        self.end()
        return holds

    def end(self, error: Exception | None = None) -> None:
        """Remove the draft if there is one, and give the configuration its folder back.

        Raises:
            PluginError: instead of an ``error`` of which a traceback would say less.
        """
        draft, self._draft = self._draft, None
        if draft is None or self._config is None:
            return
        draft.close()
        self._config.site_dir = self._site_dir
        self._config = None
        if isinstance(error, OSError) and error.errno in _FULL:
            raise PluginError(
                f"there is no room left on the disk for the new site; '{self._site_dir}' is as it was"
            ) from error
        if isinstance(error, PermissionError):
            raise PluginError(
                f"{error.strerror}: '{error.filename}'; the site '{self._site_dir}' is as it was"
            ) from error


def _warned() -> bool:
    """Return whether a strict build has met a warning: MkDocs looks only after the last hook of a plugin has run."""
    handlers = [handler for name in ("mkdocs", "properdocs") for handler in logging.getLogger(name).handlers]
    return any(handler.get_counts() for handler in handlers if isinstance(handler, CountHandler))
