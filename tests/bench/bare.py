"""Finished pages turned back into Markdown, as somebody would have typed them.

Headings, paragraphs, lists, quotes and tables become Markdown; drawings and formulas stay as they are, since
Markdown has no other way. What only our style sheet uses (classes, the small marks beside the verdicts) goes.
"""

import re
from collections.abc import Callable, Iterable, Iterator
from urllib.parse import urlsplit

from lxml import etree, html
from lxml.html import HtmlElement

_DRAWING = re.compile(r"<(svg|math)\b.*?</\1>", re.DOTALL)
_SET_ASIDE = re.compile(r'<(?:svg|math) id="(\d+)"(?: hidden(?:="")?)?></(?:svg|math)>')
_SPECIAL = re.compile(r"[\\`*_\[\]|]")
_LIKE_A_BLOCK = re.compile(r"^(\d*)(?=[-+.] |[#>])")
_AROUND = {"b": "**", "strong": "**", "i": "*", "em": "*"}


def markdown(article: str) -> str:
    """Return the Markdown of an article."""
    drawings: list[str] = []

    def set_aside(found: re.Match[str]) -> str:
        drawings.append(" ".join(found[0].split("\n")))
        head = found[0].partition(">")[0]
        mark = " hidden" if 'aria-hidden="true"' in head or "rl-mark" in head else ""
        return f'<{found[1]} id="{len(drawings) - 1}"{mark}></{found[1]}>'

    rest = html.fragment_fromstring(_DRAWING.sub(set_aside, article), create_parent="div")
    text = "\n\n".join(_blocks(rest)) + "\n"
    return _SET_ASIDE.sub(lambda found: drawings[int(found[1])], text)


def _blocks(element: HtmlElement) -> list[str]:
    """Return the blocks in an element: what is no block of its own is gathered into paragraphs."""
    found: list[str] = []
    loose = [_text(element.text)]
    for child in element:
        if child.tag in _BLOCKS:
            found += [*_paragraph(loose), *_BLOCKS[child.tag](child)]
            loose = []
        else:
            loose.append(_inline(child))
        loose.append(_text(child.tail))
    return [*found, *_paragraph(loose)]


def _paragraph(pieces: Iterable[str]) -> Iterator[str]:
    text = " ".join("".join(pieces).split(" ")).strip()
    if text:
        yield _LIKE_A_BLOCK.sub(r"\1\\", text)


def _text(text: str | None) -> str:
    """Return plain text with what Markdown would take for itself escaped."""
    plain = re.sub(r"[ \t\r\n]+", " ", text or "")
    return _SPECIAL.sub(r"\\\g<0>", plain.replace("&", "&amp;").replace("<", "&lt;"))


def _words(element: HtmlElement) -> str:
    """Return everything in an element as one line."""
    pieces = [_text(element.text)]
    for child in element:
        # What our style sheet sets apart, such as a note, is set apart by a space.
        apart = " " if child.tag in _BLOCKS or child.get("class") else ""
        pieces += [apart, _inline(child), _text(child.tail)]
    return re.sub(" +", " ", "".join(pieces)).strip()


def _inline(element: HtmlElement) -> str:
    words = "" if element.tag in ("svg", "math") else _words(element)
    match element.tag:
        case "svg":
            # A mark goes: the word beside it says the same.
            return "" if "hidden" in element.attrib else _raw(element)
        case "math":
            return _raw(element)
        case "a":
            return f"[{words}]({_link(element.get('href', ''))})"
        case "code":
            return f"`{element.text_content()}`"
        case "img":
            return f"![{_text(element.get('alt'))}]({element.get('src')})"
        case "b" | "strong" | "i" | "em" if words:
            return f"{_AROUND[element.tag]}{words}{_AROUND[element.tag]}"
    return words


def _link(address: str) -> str:
    parts = urlsplit(address)
    if parts.scheme or parts.netloc:
        return address
    return parts._replace(path=re.sub(r"\.html$", ".md", parts.path)).geturl()


def _raw(element: HtmlElement) -> str:
    """Return an element as it is, without the text behind it."""
    return str(etree.tostring(element, encoding="unicode", method="html", with_tail=False))


def _heading(element: HtmlElement) -> list[str]:
    return [f"{'#' * int(str(element.tag)[1])} {_words(element)}"]


def _line(element: HtmlElement) -> list[str]:
    return list(_paragraph([_words(element)]))


def _strong_line(element: HtmlElement) -> list[str]:
    words = _words(element)
    return [f"**{words}**"] if words else []


def _list(element: HtmlElement) -> list[str]:
    mark = "1." if element.tag == "ol" else "-"
    return _items(mark, [_blocks(item) for item in element.iterchildren("li")])


def _definitions(element: HtmlElement) -> list[str]:
    """Return terms and what they mean as a list, each term in strong type."""
    items: list[list[str]] = []
    for entry in element.iter("dt", "dd"):
        if entry.tag == "dt":
            items.append(_strong_line(entry))
        else:
            first, *rest = _blocks(entry) or [""]
            plain = entry.find("ul") is None and entry.find("ol") is None
            items[-1] = [f"{items[-1][0]} {first}", *rest] if plain else [*items[-1], first, *rest]
    return _items("-", items)


def _items(mark: str, items: Iterable[list[str]]) -> list[str]:
    """Return one list; an item of several blocks has the later ones indented under the first."""
    lines = [f"{mark}   "[:4] + re.sub(r"\n(?=.)", "\n    ", "\n\n".join(item)) for item in items if item]
    loose = any("\n\n" in line for line in lines)
    return [("\n\n" if loose else "\n").join(lines)] if lines else []


def _table(element: HtmlElement) -> list[str]:
    rows = [list(row.iterchildren("th", "td")) for row in element.iter("tr")]
    width = max(map(len, rows))
    lines = [_row([_words(cell) for cell in row], width) for row in rows]
    lines.insert(1, _row(["--:" if "rl-num" in cell.get("class", "") else "---" for cell in rows[0]], width))
    caption = element.find("caption")
    return [*(_line(caption) if caption is not None else []), "\n".join(lines)]


def _row(cells: list[str], width: int) -> str:
    return "| " + " | ".join(cells + [""] * (width - len(cells))) + " |"


def _quote(element: HtmlElement) -> list[str]:
    return ["> " + "\n\n".join(_blocks(element)).replace("\n", "\n> ")]


def _figure(element: HtmlElement) -> list[str]:
    """Return a plate as raw HTML in one block, which is what costs Markdown least."""
    return ["<figure>\n" + "\n".join(_raw(child) for child in element) + "\n</figure>"]


_BLOCKS: dict[str, Callable[[HtmlElement], list[str]]] = {
    **dict.fromkeys(("h1", "h2", "h3", "h4"), _heading),
    **dict.fromkeys(("div", "section", "article", "details"), _blocks),
    **dict.fromkeys(("ul", "ol"), _list),
    "p": _line,
    "summary": _strong_line,
    "dl": _definitions,
    "table": _table,
    "aside": _quote,
    "figure": _figure,
}
