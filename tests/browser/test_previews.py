"""Preview pictures in a browser: it reads them as what their tags say they are, without a network."""

from pathlib import Path

import pytest
from playwright.sync_api import Browser

pytestmark = pytest.mark.browser


def test_the_browser_reads_every_picture(browser: Browser, demo_site: Path) -> None:
    context = browser.new_context(offline=True)
    page = context.new_page()
    pictures = sorted((demo_site / "assets" / "previews").glob("*.png"))
    assert len(pictures) > 20
    for picture in pictures:
        page.goto(picture.as_uri())
        size = page.evaluate("[document.images[0].naturalWidth, document.images[0].naturalHeight]")
        assert size == [1200, 630], picture.name
    context.close()
