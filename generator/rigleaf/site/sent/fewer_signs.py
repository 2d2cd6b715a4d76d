"""A page in as few signs as HTML allows: the same document to every reader, a tenth smaller in a mail."""

import re
from typing import Any

from lxml import html

_TAG = re.compile(r"""<[a-zA-Z][^\s<>"'=]*(?:\s+[^\s<>"'=/]+(?:="[^"]*"|='[^']*')?)*\s*>""")
_QUOTED = re.compile(r"""=(?:"([^"]*)"|'[^']*')""")
_BARE = re.compile(r"[\w.:#%+-]+", re.ASCII)
_ENDS_BY_ITSELF = re.compile(r"</(?:td|th|tr|tbody|thead|li|dd|dt)>", re.IGNORECASE)
"""End tags that may be left out where nothing but their like follows, as in all tables and lists."""

_INDENTED = re.compile(r">\s*\n\s*<")


def fewer_signs(text: str) -> str:
    """Return HTML without quotes and end tags that its standard does not ask for, and with single line breaks.

    It is meant for text that a serializer or an escaping template wrote, without script, style, comment or ``pre``.
    """
    text = _INDENTED.sub(">\n<", _ENDS_BY_ITSELF.sub("", text))
    return _TAG.sub(lambda tag: _QUOTED.sub(_unquoted, tag[0]), text)


def _unquoted(found: re.Match[str]) -> str:
    value = found[1]
    return f"={value}" if value and _BARE.fullmatch(value) else found[0]


def draw_once(article: Any, marks: str) -> None:
    """Draw each small mark of a class once, at the head of the article, and refer to it wherever it stands."""
    drawn: dict[str, str] = {}
    for mark in article.xpath("//svg[@class=$name]", name=marks):
        inner = "".join(html.tostring(child, encoding="unicode") for child in mark)
        id_ = drawn.setdefault(inner, f"mark-{len(drawn) + 1}")
        for child in mark:
            mark.remove(child)
        for needless in ("width", "height", "focusable"):
            mark.attrib.pop(needless, None)
        mark.append(html.Element("use", href=f"#{id_}"))
    symbols = "".join(f'<symbol id="{id_}" viewBox="0 0 16 16">{inner}</symbol>' for inner, id_ in drawn.items())
    if symbols:
        store = html.fragment_fromstring(
            f'<svg class="rl-store" width="0" height="0" aria-hidden="true">{symbols}</svg>'
        )
        article.insert(0, store)
