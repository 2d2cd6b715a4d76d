"""Browsers that look at the development server: let in before a build has ended, and kept waiting while it writes.

MkDocs tells them when its builder returns, and lets nobody have a page while it works. An edit of one rig changes the
page that its author looks at within a moment, and pages of all rigs that take longer. So the builder lets browsers in
once that page stands, and keeps them waiting again while the rest is written. MkDocs has no public way to say so: these
are two numbers of its server, and where another release lacks them, all is told at the end as it always was.
"""

import threading
import time
from collections.abc import Iterable
from typing import Any

from mkdocs.livereload import LiveReloadServer

_LOADED_S = 0.6
"""So long at most browsers have the processor for their page, before the rest is made."""
_POLL = "/livereload/"
"""Where a page asks, once all of it is there, whether there is something new; it is answered when there is."""


class Browsers:
    """Those that look at one server. Without one there are none."""

    def __init__(self, server: LiveReloadServer | None = None) -> None:
        """Begin with a server that nobody can reach yet."""
        known = all(hasattr(server, name) for name in ("_epoch_cond", "_visible_epoch", "_wanted_epoch"))
        self._server: Any = server if known else None
        self._asking = threading.Condition()
        self._asked = self._waiting = 0
        self._let_in = False
        if self._server is not None:
            self._server.set_app(self._answer)

    def _answer(self, environ: dict[str, Any], start_response: Any) -> Iterable[bytes]:
        """Answer a request as the server does, and count the pages that wait for something new."""
        poll = environ["PATH_INFO"].startswith(_POLL)
        with self._asking:
            self._asked += poll
            self._waiting += poll
            self._asking.notify_all()
        try:
            found: Iterable[bytes] = self._server.serve_request(environ, start_response)
            return found
        finally:
            with self._asking:
                self._waiting -= poll

    def let_in(self) -> None:
        """Let browsers load the site as it stands, while the builder works on; return once they have."""
        server = self._server
        if server is None:
            return
        with self._asking:
            loaded = self._asked + self._waiting
        with server._epoch_cond:
            server._visible_epoch = server._wanted_epoch
            server._epoch_cond.notify_all()
        self._let_in = True
        with self._asking:  # what computes meanwhile would keep them waiting
            self._asking.wait_for(lambda: self._asked >= loaded, _LOADED_S)

    def keep_waiting(self) -> None:
        """Let nobody have a page until the builder returns, and have them load it again then."""
        if self._let_in:
            server, self._let_in = self._server, False
            server._wanted_epoch = max(round(time.monotonic() * 1000), server._visible_epoch + 1)
