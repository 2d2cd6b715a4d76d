"""What a guide needs of MkDocs and the theme, set wherever the user's mkdocs.yml is silent."""

from importlib.resources import files
from pathlib import Path
from typing import Any

from mkdocs.config.defaults import MkDocsConfig

from rigleaf.words import LANGUAGES, speaking, tr

FEATURES: tuple[str, ...] = (
    "navigation.tabs", "navigation.indexes", "navigation.prune", "navigation.footer", "navigation.top",
    "search.highlight",
    "search.suggest", "content.tooltips", "toc.follow",
)  # fmt: skip
"""Features of the theme. Pruning keeps the output linear in the number of pages."""

ICONS: dict[str, str] = {
    "logo": "rigleaf/leaf", "menu": "rigleaf/menu", "search": "rigleaf/search", "close": "rigleaf/close",
    "edit": "rigleaf/edit",
    "previous": "rigleaf/previous", "next": "rigleaf/next", "top": "rigleaf/top", "view": "rigleaf/view",
}  # fmt: skip

PALETTE: list[dict[str, Any]] = [
    {
        "scheme": "paper",
        "media": "(prefers-color-scheme: light)",
        "toggle": {"icon": "rigleaf/paper", "name": "Paper"},
    },
    {
        "scheme": "dusk",
        "media": "(prefers-color-scheme: dark)",
        "toggle": {"icon": "rigleaf/dusk", "name": "Dusk"},
    },
    {"scheme": "night", "toggle": {"icon": "rigleaf/night", "name": "Night (red)"}},
]

SEPARATOR = r"[\s\-,;:()×·/]+"
"""Where search splits a text into words."""

FETCHED_FONT = {"text": "Roboto", "code": "Roboto Mono"}
"""The theme's own default, which it would fetch from another host; our fonts travel with the site."""

CONTENTS = "On this page"
"""Heading of a page's list of contents."""

FAVICON = "assets/rigleaf/leaf.svg"

SHIM = "assets/rigleaf/iframe-worker.js"
"""Local copy of the script that lets search work from a folder without a server."""


def apply_settings(config: MkDocsConfig) -> None:
    """Add the theme layer and set defaults; what the user has set stays."""
    theme = config.theme
    layer = str(files("rigleaf.engine") / "theme")
    if layer not in theme.dirs:
        theme.dirs.insert(1 if theme.custom_dir else 0, layer)
    if theme.get("font") == FETCHED_FONT:
        theme["font"] = False
    if theme.get("highlightjs"):  # MkDocs' own themes would fetch it from another host, to colour code blocks
        theme["highlightjs"] = False
    if "palette" not in theme:
        theme["palette"] = PALETTE
    theme["icon"] = {**ICONS, **(theme.get("icon") or {})}
    theme["features"] = list(dict.fromkeys([*theme.get("features", ()), *FEATURES]))
    # The theme's own picture in the browser's tab is its makers' mark.
    if theme.get("favicon") == "assets/images/favicon.png":
        theme["favicon"] = FAVICON
    _split_words(config)
    config.mdx_configs.setdefault("toc", {}).setdefault("title", CONTENTS)
    config.extra.setdefault("generator", False)
    shims = config.extra.setdefault("polyfills", [])
    if SHIM not in shims:
        shims.append(SHIM)


def speak(config: MkDocsConfig, code: str) -> None:
    """Set the theme's language, and our own words in its frame, to that of the guide; what the user has set stays."""
    if code == LANGUAGES[0]:
        return
    with speaking(code):
        if config.theme.get("language") == LANGUAGES[0]:  # the theme's own default: the user has asked for nothing
            config.theme["language"] = code
            search = config.plugins.get("material/search")
            if search is not None and search.config.get("lang") == [LANGUAGES[0]]:
                search.config["lang"] = [code]
                search.search_index.config["lang"] = [code]  # it has taken the settings over already
        if config.theme.get("palette") is PALETTE:
            named = [(one, {**one["toggle"], "name": tr(one["toggle"]["name"])}) for one in PALETTE]
            config.theme["palette"] = [{**one, "toggle": toggle} for one, toggle in named]
        if config.mdx_configs["toc"]["title"] == CONTENTS:
            config.mdx_configs["toc"]["title"] = tr(CONTENTS)
        config.extra.setdefault("rl_palette", tr("Palette"))


def _split_words(config: MkDocsConfig) -> None:
    """Let search split words at brackets and commas too, so that "M31" is found in "Andromeda Galaxy (M31)"."""
    search = config.plugins.get("material/search")
    if search is not None and search.config.get("separator") is None:
        search.config["separator"] = SEPARATOR


def guide_folder(config: MkDocsConfig, rigs: str) -> Path:
    """Return the folder of YAML, counted from mkdocs.yml."""
    return Path(config.config_file_path or ".").parent / rigs
