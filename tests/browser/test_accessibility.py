"""The program that looks for broken rules of WCAG 2.2, A and AA, finds them; test_every_kind.py asks it of all."""

import pytest

from tests.browser.conftest import NewVisit
from tests.browser.looking import ALL, axe_problems

pytestmark = pytest.mark.browser


def test_the_program_finds_what_is_broken(visit: NewVisit) -> None:
    """A check of the check: a picture without words and grey on grey are found."""
    page = visit().open()
    page.evaluate(
        "document.querySelector('article').innerHTML ="
        ' \'<img src="x.png"><p style="color:#999;background:#aaa">grey</p>\''
    )
    found = {problem.partition(" ")[0] for problem in axe_problems(page, ALL)}
    assert {"image-alt", "color-contrast"} <= found
