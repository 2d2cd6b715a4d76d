"""Addresses of pages and the relative links between them."""

import posixpath
from dataclasses import dataclass
from functools import lru_cache
from urllib.parse import quote


@dataclass(frozen=True, slots=True)
class Addresses:
    """How addresses become paths: as folders with an index, or as files that open from a disk too.

    ``site`` is the address at which the site will stand, such as "https://rigs.example/"; empty where nobody has said.
    """

    folders: bool = False
    site: str = ""

    def path(self, address: str) -> str:
        """Return the path of a page below the site's root, such as "rigs/heron-65.html" or "rigs/heron-65/"."""
        if not self.folders:
            return f"{address}.html"
        if address == "index":
            return ""
        return address.removesuffix("index") if address.endswith("/index") else f"{address}/"

    def document(self, address: str) -> str:
        """Return the file of a page below the site's root, such as "rigs/heron-65.html" or "rigs/index.html"."""
        path = self.path(address)
        return f"{path}index.html" if not path or path.endswith("/") else path

    def public(self, path: str) -> str | None:
        """Return the whole address of a path below the site's root, for codes on paper and previews of links.

        None where nobody has said where the site will stand.
        """
        return f"{self.site.rstrip('/')}/{quote(path)}" if self.site else None

    def link(self, from_address: str, to_address: str, anchor: str = "") -> str:
        """Return the relative link from one page to another, or to an anchor in it."""
        fragment = f"#{anchor}" if anchor else ""
        if from_address == to_address and anchor:
            return fragment
        return self._relative(from_address, self.path(to_address)) + fragment

    def file(self, from_address: str, path: str) -> str:
        """Return the relative link from a page to a file of the site."""
        return self._relative(from_address, quote(path))

    def _relative(self, from_address: str, to_path: str) -> str:
        here = self.path(from_address)
        return _between(here if here.endswith("/") else posixpath.dirname(here), to_path)


@lru_cache(maxsize=1 << 16)
def _between(folder: str, to_path: str) -> str:
    """Return the relative link from a folder; pages of one folder share it."""
    link = posixpath.relpath("/" + to_path, "/" + folder)
    return link + "/" if to_path.endswith("/") or (not to_path and link != ".") else ("./" if link == "." else link)


DESK_ADDRESS = "desk/index"
"""The page of the book of loans."""


def desk_anchor(rig: str) -> str:
    """Return where on the page of the book a rig stands. No id of a rig has an underscore."""
    return f"rig_{rig}"


def rig_address(id_: str) -> str:
    """Return the address of a rig's page. No id has an underscore, so a rig called "index" gets one of its own."""
    return "rigs/index_" if id_ == "index" else f"rigs/{id_}"


def part_address(id_: str) -> str:
    """Return the address of a part's page."""
    return f"parts/{id_}"


def kind_address(word: str) -> str:
    """Return the address of the shelf page of a kind."""
    return f"shelf/{word}"


RULES_ADDRESS = "flight/index"
"""Where the flight rules stand; each has an anchor of its own."""


GLOSSARY_ADDRESS = "terms/index"
"""The page of the trade's terms; each has an anchor of its own."""


def method_address(chapter: str) -> str:
    """Return the address of a chapter's methods."""
    return f"method/{chapter}"


def place_address(id_: str) -> str:
    """Return the address of a place's page; a place called "index" gets one of its own, as a rig does."""
    return "places/index_" if id_ == "index" else f"places/{id_}"


COMPARE_ADDRESS = "compare/index"
"""Where rigs stand side by side."""

AWAY_ADDRESS = "away/index"
"""The page about using the guide without signal."""


def away_anchor(rig: str) -> str:
    """Return where on that page a rig stands; no id has an underscore, so no heading of the page is called so."""
    return f"rig_{rig}"


TRIPS_ADDRESS = "trips/index"
"""The table of all journeys."""


def trip_address(id_: str) -> str:
    """Return the address of a journey's page; one called "index" gets one of its own, as a rig does."""
    return "trips/index_" if id_ == "index" else f"trips/{id_}"


def check_in_address(id_: str) -> str:
    """Return the address of a journey's sheet for the check-in desk."""
    return f"{trip_address(id_)}/check-in"


def labels_address(id_: str) -> str:
    """Return the address of the labels for a journey's batteries."""
    return f"{trip_address(id_)}/labels"


def field_card_address(id_: str) -> str:
    """Return the address of a rig's card for the lid of its case."""
    return f"{rig_address(id_)}/card"


def hand_over_address(id_: str) -> str:
    """Return the address of the sheet on which a rig is handed out and taken back."""
    return f"{rig_address(id_)}/hand-over"


def rig_labels_address(id_: str) -> str:
    """Return the address of the labels for a rig's parts."""
    return f"{rig_address(id_)}/labels"


def lids_address(id_: str) -> str:
    """Return the address of the labels for the lids of a rig's cases."""
    return f"{rig_address(id_)}/lids"


SHELF_LABELS_ADDRESS = "shelf/labels"
"""Where the labels of all kinds are listed; no kind is called so."""


def kind_labels_address(word: str, page: int = 1) -> str:
    """Return the address of the labels for the parts of a kind, of which there may be several pages, from 1."""
    return f"{kind_address(word)}/labels{'' if page == 1 else f'-{page}'}"
