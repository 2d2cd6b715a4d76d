"""A real browser on the real build of the demo guide, served under a sub-path as many hosts do."""

import functools
import os
import shutil
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any
from urllib.parse import unquote

import pytest
from playwright.sync_api import Browser, BrowserContext, ConsoleMessage, Page, Request, expect, sync_playwright

from rigleaf.site.export import Form
from tests.browser.guide_server import Quiet, listening
from tests.browser.looking import NAMES
from tests.conftest import skip_or_fail

ARGUMENTS = ("--no-sandbox", "--disable-gpu", "--disable-background-networking", "--disable-dev-shm-usage")
UNDER = "/some/where/guide/"
expect.set_options(timeout=30_000)  # a slow machine is no fault of the guide
NO_WORKER = "Service Worker registration blocked by Playwright"


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """A running Chromium: the one that RIGLEAF_BROWSER names, or the first on the search path."""
    path = os.environ.get("RIGLEAF_BROWSER") or next(filter(None, map(shutil.which, NAMES)), None)
    if path is None:
        skip_or_fail(f"no browser here: install chromium, or name one in RIGLEAF_BROWSER (looked for {NAMES})")
    with sync_playwright() as playwright:
        running = playwright.chromium.launch(executable_path=path, args=list(ARGUMENTS))
        yield running
        running.close()


@pytest.fixture(scope="session")
def exported(exported_as: Callable[[Form], Path]) -> Path:
    """The demo guide as `rigleaf export` writes it."""
    return exported_as("html")


class _UnderAPath(Quiet):
    """Serves a folder below UNDER and nothing anywhere else, without a word."""

    protocol_version = "HTTP/1.1"  # connections are kept

    def translate_path(self, path: str) -> str:
        """Return the file that stands for an address, or one that does not exist."""
        if not unquote(path).startswith(UNDER):
            return str(Path(self.directory) / "no such file")
        return super().translate_path("/" + path.removeprefix(UNDER))


@pytest.fixture(scope="session")
def address(demo_site: Path) -> Iterator[str]:
    """The address of the demo guide's home page, ending in a slash, on a server of this machine."""
    handler = functools.partial(_UnderAPath, directory=str(demo_site))
    with listening(handler) as root:
        yield root + UNDER.removeprefix("/")


@dataclass
class Visit:
    """A page in its own fresh profile, with all that it asked for and all that it complained about."""

    page: Page
    home: str
    requests: list[str] = field(default_factory=list)
    complaints: list[str] = field(default_factory=list)

    def __post_init__(self) -> None:
        """Begin to listen."""
        self.page.on("request", lambda request: self.requests.append(request.url))
        self.page.on("pageerror", lambda error: self.complaints.append(f"error: {error}"))
        self.page.on("console", self._hear)
        self.page.on("requestfailed", self._miss)

    def _miss(self, request: Request) -> None:
        # What is still on its way when a page is left is given up by the browser, which is no fault of the site.
        if request.failure != "net::ERR_ABORTED":
            self.complaints.append(f"failed: {request.url} ({request.failure})")

    def _hear(self, message: ConsoleMessage) -> None:
        if message.type in {"error", "warning"} and message.text != NO_WORKER:
            self.complaints.append(f"{message.type}: {message.text}")

    def open(self, path: str = "") -> Page:
        """Go to a page of the guide, by its address below the home page, and wait until all that it names is loaded.

        What a script fetches later is waited for by what it then shows.
        """
        self.page.goto(self.home + path)
        return self.page

    @property
    def requests_elsewhere(self) -> list[str]:
        """Requests that left the site."""
        return [url for url in self.requests if not url.startswith((self.home, "data:", "blob:"))]


NewVisit = Callable[..., Visit]


@contextmanager
def visiting(browser: Browser, home: str, width: int = 1440, height: int = 900, **options: Any) -> Iterator[Visit]:
    """Begin a visit in a profile of its own, and end it.

    Unless ``service_workers`` says "allow" the guide keeps no copy of itself: else each visit would fetch all of it.
    """
    options = {"service_workers": "block", **options}
    context = browser.new_context(viewport={"width": width, "height": height}, **options)
    try:
        yield Visit(context.new_page(), home)
    finally:
        context.close()


class Profiles:
    """Empty profiles that wait for a visit: with each new one the browser opens a window, which takes long."""

    def __init__(self, browser: Browser, home: str) -> None:
        self.browser, self.home = browser, home
        self.waiting: dict[bool, list[BrowserContext]] = {True: [], False: []}

    @contextmanager
    def lend(self, width: int, height: int, *, script: bool) -> Iterator[Visit]:
        """Begin a visit in a profile that may have been used before, and empty it again.

        One that has been elsewhere is not used again, as nobody looks for what was kept there.
        """
        waiting = self.waiting[script]
        fresh = {"service_workers": "block", "java_script_enabled": script}
        context = waiting.pop() if waiting else self.browser.new_context(**fresh)  # type: ignore[arg-type]
        page = context.new_page()
        page.set_viewport_size({"width": width, "height": height})
        one = Visit(page, self.home)
        yield one
        if all(url.startswith((self.home, "data:", "blob:")) for url in one.requests):
            self.empty(context)
            waiting.append(context)
        else:
            context.close()

    def empty(self, context: BrowserContext) -> None:
        """Forget all that a visit has left behind."""
        context.set_offline(False)
        context.clear_permissions()
        context.clear_cookies()
        devtools = context.new_cdp_session(context.pages[-1])
        origin = self.home.removesuffix(UNDER)
        devtools.send("Storage.clearDataForOrigin", {"origin": origin, "storageTypes": "all"})
        for page in context.pages:
            page.close()


@pytest.fixture(scope="session")
def profiles(browser: Browser, address: str) -> Profiles:
    """The profiles of the visits to the demo; they end with the browser."""
    return Profiles(browser, address)


@pytest.fixture
def visit(browser: Browser, profiles: Profiles, address: str) -> Iterator[NewVisit]:
    """A function that begins a visit: ``visit(width=1440, height=900, **context_options)``."""
    with ExitStack() as stack:

        def begin(width: int = 1440, height: int = 900, **options: object) -> Visit:
            if options.keys() <= {"java_script_enabled"}:
                script = options.get("java_script_enabled") is not False
                return stack.enter_context(profiles.lend(width, height, script=script))
            return stack.enter_context(visiting(browser, address, width, height, **options))

        yield begin
