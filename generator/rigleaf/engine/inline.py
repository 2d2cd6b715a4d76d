"""Takes what a strict policy forbids out of finished pages: scripts, styles and style attributes move into files.

The theme writes some scripts into every page, and people who write pages by hand write styles, tables with columns
set right among them. Each becomes a file named by the digest of what it holds, so that equal ones are one file; scripts
stay where they were, so that they run in the same order and, in the head, before anything is painted.
"""

import hashlib
import posixpath
import re
from html import escape, unescape

FOLDER = "assets/rigleaf/inline"

_RAW = re.compile(
    r"""<!--.*?-->|<(?P<name>script|style)\b(?P<attributes>[^"'>]*(?:(?:"[^"]*"|'[^']*')[^"'>]*)*)>(?P<text>.*?)</(?P=name)\s*>"""
    r"""|<(?:textarea|title)\b.*?</(?:textarea|title)\s*>|<(?P<element>[a-zA-Z][^\s/>]*)(?P<rest>[^"'>]*(?:(?:"[^"]*"|'[^']*')[^"'>]*)*)>""",
    re.DOTALL | re.IGNORECASE,
)
_ATTRIBUTE = re.compile(r"""\s+([^\s"'<>/=]+)(?:\s*=\s*(?:"([^"]*)"|'([^']*)'|([^\s"'>]+)))?""")
_EXECUTED = frozenset({"", "module", "text/javascript", "application/javascript", "text/ecmascript"})
_URL = re.compile(r"""url\(\s*(["']?)(?![a-zA-Z][\w+.-]*:|[#/"'])([^"')]+)\1\s*\)""")
_ABOVE_ALL = ":not(#rl-0)" * 3
"""Makes a rule count more than any sheet does, as an attribute would have."""


def is_of_moved(path: str) -> bool:
    """Say whether a path in the site is one that something moved out of a page may have."""
    return re.fullmatch(rf"{FOLDER}/[0-9a-f]{{12}}\.(?:js|css)", path) is not None


class Moved:
    """The files that have come about while pages were gone through, and what could not be moved."""

    def __init__(self) -> None:
        self.files: dict[str, bytes] = {}
        self.left: set[str] = set()
        """Names of attributes that hold scripts: nothing takes their place, and a strict policy does not run them."""

    def out_of(self, page: str, prefix: str, folder: str, finished: str = "") -> str:
        """Return a page without inline scripts and styles.

        Args:
            page: the page's HTML.
            prefix: leads from the page to the site's root: empty, or ending in a slash.
            folder: of the page, from the site's root.
            finished: a piece of the page that is known to hold none, and need not be looked through.
        """
        start = page.find(finished) if finished else -1
        if start < 0:
            return _Page(self, prefix, folder).rewritten(page, "")
        one = _Page(self, prefix, folder)
        return one.rewritten(page[:start], page[start + len(finished) :], finished)

    def keep(self, text: str, ending: str) -> str:
        """Return the path of the file that holds a text."""
        data = text.encode("utf-8")
        path = f"{FOLDER}/{hashlib.sha256(data).hexdigest()[:12]}.{ending}"
        self.files[path] = data
        return path


class _Page:
    def __init__(self, moved: Moved, prefix: str, folder: str) -> None:
        self.moved, self.prefix = moved, prefix
        self.back = "../" * (FOLDER.count("/") + 1) + (f"{folder}/" if folder else "")
        self.in_head = True
        self.links: list[str] = []
        self.rules: dict[str, str] = {}

    def rewritten(self, before: str, after: str, between: str = "") -> str:
        text = f"{_RAW.sub(self._piece, before)}{between}{_RAW.sub(self._piece, after)}"
        if self.rules:
            path = self.moved.keep("".join(f"{rule}\n" for rule in sorted(self.rules.values())), "css")
            self.links.append(self._link(path, ""))
        # Sheets that stood in the body go to the end of the head: within a drawing a link would be none.
        return text.replace("</head>", f"{''.join(self.links)}</head>", 1) if self.links else text

    def _piece(self, found: re.Match[str]) -> str:
        name = (found["name"] or "").lower()
        if name == "script":
            return self._script(found)
        if name == "style":
            return self._style(found)
        if found["element"]:
            return self._tag(found)
        return found[0]

    def _script(self, found: re.Match[str]) -> str:
        attributes = _attributes(found["attributes"])
        if "src" in attributes or (attributes.get("type") or "").strip().lower() not in _EXECUTED:
            return found[0]  # data, or a script in a file already
        if not found["text"].strip():
            return ""
        path = self.moved.keep(found["text"], "js")
        kept = {key: value for key, value in attributes.items() if key not in ("async", "defer")}
        return f'<script src="{escape(self.prefix + path)}"{_written(kept)}></script>'

    def _style(self, found: re.Match[str]) -> str:
        attributes = _attributes(found["attributes"])
        path = self.moved.keep(_URL.sub(self._address, found["text"]), "css")
        link = self._link(path, attributes.get("media") or "")
        if self.in_head:
            return link
        self.links.append(link)
        return ""

    def _tag(self, found: re.Match[str]) -> str:
        if found["element"].lower() == "body":
            self.in_head = False
        rest = found["rest"]
        if "style" not in rest and " on" not in rest:
            return found[0]
        attributes = _attributes(rest)
        self.moved.left.update(name for name in attributes if name.startswith("on"))
        style = attributes.pop("style", None)
        if style is None:
            return found[0]
        rule = _URL.sub(self._address, style.strip().rstrip(";"))
        # A brace would end the rule and begin another; none stands in a style that means anything.
        if not rule or set("{}<\\") & set(rule):
            self.moved.left.update({"style"} if rule else ())
            return f"<{found['element']}{_written(attributes)}{_closing(rest)}>"
        name = f"rl-s-{hashlib.sha256(rule.encode('utf-8')).hexdigest()[:8]}"
        self.rules[name] = f".{name}{_ABOVE_ALL}{{{rule}}}"
        attributes["class"] = " ".join(filter(None, (attributes.get("class"), name)))
        return f"<{found['element']}{_written(attributes)}{_closing(rest)}>"

    def _address(self, found: re.Match[str]) -> str:
        return f"url({found[1]}{posixpath.normpath(self.back + found[2])}{found[1]})"

    def _link(self, path: str, media: str) -> str:
        shown = f' media="{escape(media)}"' if media else ""
        return f'<link rel="stylesheet" href="{escape(self.prefix + path)}"{shown}>'


def _attributes(text: str) -> dict[str, str | None]:
    """Return attributes by their names in small letters, the first of each, as a browser reads them."""
    found: dict[str, str | None] = {}
    for name, double, single, bare in _ATTRIBUTE.findall(text):
        value = double or single or bare
        found.setdefault(name.lower(), unescape(value) if value else None)
    return found


def _written(attributes: dict[str, str | None]) -> str:
    return "".join(f" {name}" if value is None else f' {name}="{escape(value)}"' for name, value in attributes.items())


def _closing(text: str) -> str:
    return "/" if text.rstrip().endswith("/") else ""
