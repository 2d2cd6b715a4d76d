"""A server of this machine whose site, and whose honesty, can change while a browser looks at it."""

import functools
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from urllib.parse import urlsplit

LOGIN = b"<!doctype html><title>Welcome</title><h1>Log in to the hotel's network</h1>"


class Host:
    """What the server does: which folder it serves, and what it does to which answers.

    Attributes:
        asked: the paths asked for, in order.
        portal: whether a path gets the login page of a network, with status 200.
        broken: whether a path gets no answer at all.
        headers: what goes along with the answer for a path.
    """

    def __init__(self, site: Path) -> None:
        self.site = site
        self.asked: list[str] = []
        self.portal: Callable[[str], bool] = lambda _: False
        self.broken: Callable[[str], bool] = lambda _: False
        self.headers: Callable[[str], dict[str, str]] = lambda _: {}
        self.home = ""


class Quiet(SimpleHTTPRequestHandler):
    """Serves a folder without a word."""

    def log_message(self, *_: object) -> None:
        """Say nothing."""


class _Handler(Quiet):
    def __init__(self, host: Host, *arguments: object) -> None:
        self.host = host
        super().__init__(*arguments)  # type: ignore[arg-type]

    def do_GET(self) -> None:
        """Answer, as the host is told to."""
        self.directory = str(self.host.site)  # now: a browser opens connections before it needs them
        path = urlsplit(self.path).path[1:]
        self.host.asked.append(path)
        if self.host.broken(path):
            self.close_connection = True
        elif self.host.portal(path):
            self.send_response(200)
            self.send_header("Content-Type", "text/html")
            self.send_header("Content-Length", str(len(LOGIN)))
            self.end_headers()
            self.wfile.write(LOGIN)
        else:
            super().do_GET()

    def end_headers(self) -> None:
        """Send what goes along, too."""
        for name, value in self.host.headers(urlsplit(self.path).path).items():
            self.send_header(name, value)
        super().end_headers()


@contextmanager
def listening(handler: Callable[..., SimpleHTTPRequestHandler]) -> Iterator[str]:
    """Let a handler answer on this machine until the block ends; give the address of the root."""
    with ThreadingHTTPServer(("127.0.0.1", 0), handler) as server:
        thread = threading.Thread(target=server.serve_forever, daemon=True)
        thread.start()
        yield f"http://127.0.0.1:{server.server_port}/"
        server.shutdown()
        thread.join()


@contextmanager
def serving(site: Path) -> Iterator[Host]:
    """Serve a folder until the block ends."""
    host = Host(site)
    with listening(functools.partial(_Handler, host)) as host.home:
        yield host
