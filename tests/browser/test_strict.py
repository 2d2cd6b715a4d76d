"""Under the headers that the guide ships, every kind of page works and no browser complains."""

from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, Route, expect

from rigleaf.site.delivery.policy import page_policy
from tests.browser.conftest import Visit
from tests.browser.guide_server import serving
from tests.browser.looking import KINDS, choose
from tests.site.header_file import headers_for

pytestmark = pytest.mark.browser

LISTENING = """
    window.broken = [];
    document.addEventListener('securitypolicyviolation', e =>
        broken.push(`${e.effectiveDirective} ${e.blockedURI} ${e.sample}`));
"""


def broken(page: Page) -> list[str]:
    found: list[str] = page.evaluate("broken")
    return found


def sought(page: Page, words: str) -> int:
    page.locator(".md-search__input").click()
    page.keyboard.type(words)
    page.locator(".md-search-result__item").first.wait_for()
    return page.locator(".md-search-result__item").count()


def test_no_kind_of_page_breaks_the_policy(browser: Browser, demo_site: Path) -> None:
    context = browser.new_context(viewport={"width": 1440, "height": 900})
    context.add_init_script(LISTENING)
    with serving(demo_site) as host:
        host.headers = lambda path: headers_for(demo_site, path)
        trip = Visit(context.new_page(), host.home)
        for kind, path in {**KINDS, "a copy to send": "assets/copies/curlew-twin.html"}.items():
            page = trip.page
            page.goto(host.home + path)
            assert (broken(page), trip.complaints) == ([], []), kind

        page.goto(host.home + "rigs/curlew-twin.html")
        choose(page, "night")
        page.get_by_role("link", name="How Image scale is found").first.click()
        expect(page.get_by_role("dialog", name="How Image scale is found")).to_be_visible()
        page.keyboard.press("Escape")
        assert sought(page, "focus") > 0

        page.goto(host.home + "rigs/index.html")
        assert page.locator("html").get_attribute("data-rl-scheme") == "night"
        page.wait_for_function("navigator.serviceWorker.controller !== null")
        assert (broken(page), trip.complaints) == ([], [])

        # What is forbidden is noticed: all of the above would say so.
        page.evaluate(
            "document.body.append(Object.assign(document.createElement('script'), {textContent: 'window.ran = 1'}))"
        )
        page.evaluate("document.body.setAttribute('style', 'color: lime')")
        page.evaluate("document.body.append(Object.assign(new Image(), {src: 'https://other.example/x.png'}))")
        page.wait_for_function("broken.length > 2")
        assert {one.split()[0] for one in broken(page)} == {"script-src-elem", "style-src-attr", "img-src"}
        assert page.evaluate("window.ran") is None
        # Only a script that the policy lets run could have been asked to evaluate text.
        assert (
            page.evaluate(
                "new Promise(done => { const w = document.createElement('script'); w.src = 'data:,window.ran=1';"
                " w.onerror = () => done('refused'); document.body.append(w); })"
            )
            == "refused"
        )
    context.close()


def said_by_itself(route: Route) -> None:
    """Give a page as `policy: pages` writes it, and all else as it is."""
    if not route.request.is_navigation_request():
        route.continue_()
        return
    answer = route.fetch()
    told = f'<meta http-equiv="Content-Security-Policy" content="{page_policy()}">'
    route.fulfill(response=answer, body=answer.text().replace("<head>", f"<head>{told}", 1))


def test_pages_that_say_the_policy_themselves_work_too(browser: Browser, address: str) -> None:
    context = browser.new_context(viewport={"width": 1440, "height": 900}, service_workers="block")
    context.add_init_script(LISTENING)
    context.route(address + "**", said_by_itself)
    trip = Visit(context.new_page(), address)
    for kind in ("home", "a rig", "rigs that suit", "rigs side by side", "a target", "without signal", "handbook"):
        page = trip.open(KINDS[kind])
        assert (broken(page), trip.complaints) == ([], []), kind
    page = trip.open(KINDS["a rig"])
    choose(page, "night")
    page.get_by_role("link", name="How Image scale is found").first.click()
    expect(page.get_by_role("dialog", name="How Image scale is found")).to_be_visible()
    page.keyboard.press("Escape")
    assert sought(page, "focus") > 0
    assert (broken(page), trip.complaints) == ([], [])
    page.evaluate("document.body.setAttribute('style', 'color: lime')")
    page.wait_for_function("broken.length > 0")
    context.close()
