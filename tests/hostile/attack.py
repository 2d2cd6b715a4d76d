"""A guide in which every text is an attack: markup, scripts and templates in every field that takes words."""

from copy import deepcopy
from itertools import count

from tests.hostile.schemas import Guide, fields

ATTACKS: tuple[str, ...] = (
    (
        "\"'><script>hit=1</script><img src=x onerror=hit=1></title></style>-->"
        "<svg/onload=hit=1>{{7*7}}&lt;img src=x onerror=hit=1&gt;"
    ),
    (
        "</script></textarea>]]><iframe srcdoc='<script>parent.hit=1</script>'>"
        '{% raw %}${hit=1}#{7*7}" onmouseover=hit=1 x="'
    ),
    (
        "[a](javascript:hit=1) ![b](https://away.example/b.png) <https://away.example> `c` *d* | e "
        "\\u003cscript\\u003ehit=1"
    ),
    (
        "\\3c script\\3e;}*{background:url(https://away.example/c)}/*<style>@import'//away.example/d';"
        "</style><base href=//away.example>"
    ),
    '=HYPERLINK("https://away.example")&#x3C;img src=x onerror=hit=1>%3Cscript%3Ehit=1%3C/script%3E\\";hit=1;//</svg>',
    (
        "javascript:hit=1//<link rel=stylesheet href=//away.example/e>"
        "<meta http-equiv=refresh content=0;url=//away.example>"
    ),
)
"""Each is longer than most names and shorter than the longest line; ``hit`` counts the scripts that have run."""

TELLTALE = "away.example"


def attacked(guide: Guide) -> Guide:
    """Return a copy of a guide in which every text that anybody may read, stated or not, is an attack.

    Each has a number, so that no two are alike.
    """
    found = deepcopy(guide)
    number = count()
    for field in list(fields(found)):
        if not field.is_text or "private" in field.path:
            continue
        which = next(number)
        attack = ATTACKS[which % len(ATTACKS)]
        field.owner[field.key] = f"{attack} {which}"
    return found
