"""The index of search in pieces: a browser fetches those that a question needs, however large the guide is.

Pieces and the script that reads them are made by pagefind, a package that is installed only where a guide asks for it
(``search: split``). It is given the same records as the theme's own search, so that both know the same words. The
whole index is written as well: pages opened from a folder can fetch nothing and go on searching in that.
"""

import subprocess
import sys
import zlib
from collections.abc import Iterable, Mapping
from html import escape
from importlib.util import find_spec
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from mkdocs.config.defaults import MkDocsConfig
from mkdocs.exceptions import PluginError

from rigleaf.site.offline_files import SPLIT

LARGE = 200_000
"""Bytes of the whole index, as a host sends them, above which a phone should not have to fetch it: as much as all
that the pieces take for one question, the program that reads them included."""

_KEPT = ("pagefind.js", "pagefind-entry.json", "*.pf_meta", "wasm.*.pagefind", "index/*", "fragment/*")
"""What a search by our own script asks for; pagefind writes interfaces of its own beside them."""

_TITLE, _TAGS, _MOST = 3.0, 10.0, 10.0
"""How much words count, beside 1 for those of a text. Pagefind knows nothing above ten."""


def is_installed() -> bool:
    """Say whether there is what makes the pieces."""
    return find_spec("pagefind") is not None and find_spec("pagefind_bin") is not None


def check_split(config: MkDocsConfig) -> None:
    """Refuse to split an index that there is not, or that nothing here can split, before anything is built."""
    if "material/search" not in config.plugins:
        raise PluginError("'search: split' of the plugin rigleaf needs the theme 'material' and its plugin 'search'")
    if not is_installed():
        raise PluginError("'search: split' of the plugin rigleaf needs one more package: pip install 'rigleaf[search]'")


def split_or_tell(config: MkDocsConfig, entries: Iterable[Mapping[str, Any]], *, split: bool) -> str:
    """Write the pieces into the site where a guide asks for them; else return a sentence where it should, or nothing.

    Args:
        config: the build's configuration.
        entries: records of the theme's search.
        split: whether the guide asks for pieces.
    """
    if not split:
        return told_of_size(entries)
    write_split(Path(config.site_dir), entries, str(config.theme.get("language") or "en"))
    return ""


def told_of_size(entries: Iterable[Mapping[str, Any]]) -> str:
    """Return a sentence where the whole index is more than a phone should fetch; else nothing."""
    size = 0
    packer = zlib.compressobj()
    for entry in entries:
        words = f"{entry['title']} {entry['text']}\n".encode()
        size += len(packer.compress(words))
    size += len(packer.flush())
    if size <= LARGE:
        return ""
    return (
        f"search: every reader's browser fetches {size / 1000:.0f} kB before it can search; with the option "
        "'search: split' of the plugin rigleaf it fetches what a question needs, below 200 kB"
    )


def write_split(site: Path, entries: Iterable[Mapping[str, Any]], language: str) -> None:
    """Write the pieces into a finished site.

    Args:
        site: the folder.
        entries: records of the theme's search, of which those of one page's sections become one.
        language: of the pages, as their ``lang`` says.

    Raises:
        PluginError: when the pieces cannot be made, with what pagefind says of it.
    """
    pages: dict[str, list[Mapping[str, Any]]] = {}
    for entry in entries:
        pages.setdefault(entry["location"].partition("#")[0], []).append(entry)
    target = site.resolve() / SPLIT
    with TemporaryDirectory() as folder:
        for location, sections in pages.items():
            path = Path(folder) / (f"{location}index.html" if location.endswith("/") or not location else location)
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text(_page(sections, language), encoding="utf-8")
        made = Path(folder) / "made"
        command = [sys.executable, "-m", "pagefind", "--site", folder, "--output-path", str(made)]
        if not any(location.endswith("/") for location in pages):
            command.append("--keep-index-url")  # addresses end in the names of files, as opened from a folder
        done = subprocess.run(  # noqa: S603 - a fixed command
            command, cwd=folder, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, check=False
        )
        if done.returncode:
            said = done.stdout.decode("utf-8", "replace").strip()
            raise PluginError(f"search: pagefind could not make the pieces of the index: {said[-500:]}")
        for pattern in _KEPT:
            for path in sorted(made.glob(pattern)):
                to = target / path.relative_to(made)
                to.parent.mkdir(parents=True, exist_ok=True)
                to.write_bytes(path.read_bytes())


def _page(sections: Iterable[Mapping[str, Any]], language: str) -> str:
    """Return the words of one page, with how much they count, in the form that pagefind reads."""
    parts = [f'<!doctype html><html lang="{escape(language)}"><title></title><body>']
    for entry in sections:
        boost = float(entry.get("boost", 1))
        anchor = entry["location"].partition("#")[2]
        tag = "h2" if anchor else "h1"
        named = f' id="{escape(anchor)}"' if anchor else ""
        parts.append(f"<{tag}{named}{_weight(_TITLE * boost)}>{entry['title']}</{tag}>")
        parts.append(f"<div{_weight(boost)}>{entry['text']}</div>")
        if tags := entry.get("tags"):
            parts.append(f"<p{_weight(_TAGS)}>{'; '.join(tags)}</p>")
    return "".join(parts)


def _weight(weight: float) -> str:
    return f' data-pagefind-weight="{min(weight, _MOST)}"'
