"""What a site ships that others made: each component with its licence, and the digest of every file of it.

The list is made from the finished site, in the form of an open standard for such lists (CycloneDX 1.5, JSON), so that
general-purpose tools read it. Pages carry no `integrity` attributes: all files are of the page's own host, which could
change the attribute as well as the file, and opened from a folder no browser can check one, and so runs nothing.
"""

import hashlib
import json
from collections.abc import Iterable, Mapping
from fnmatch import fnmatchcase
from functools import lru_cache
from importlib.resources import files
from pathlib import Path
from typing import Any, NamedTuple

import yaml

from rigleaf.site.links import files_in

INVENTORY = "assets/inventory.json"

_UNKNOWN = "NOASSERTION"
"""How SPDX says that nobody has looked."""


class Component(NamedTuple):
    """One thing that others made; ``files`` are patterns of paths in the site, of which the longest counts."""

    name: str
    licence: str
    copyright: str = ""
    use: str = ""
    source: str = ""
    version: str = ""
    licence_file: str = ""
    files: tuple[str, ...] = ()
    frame: bool = False
    part_of: str = ""


class Frame(NamedTuple):
    """What the generator around the pages brings along: its theme, the theme's files, and the texts of licences."""

    name: str
    version: str
    files: frozenset[str]
    licence_text: str = ""
    holds: frozenset[str] | None = None
    """Names of what is inside the theme's files, where it says so itself."""


@lru_cache(maxsize=1)
def components() -> tuple[Component, ...]:
    """Return everything that may travel with a site, in the order in which pages list it."""
    text = (files("rigleaf.site") / "texts" / "components.yml").read_text(encoding="utf-8")
    return tuple(Component(**{**entry, "files": tuple(entry.get("files", ()))}) for entry in yaml.safe_load(text))


NONE = Frame("", "", frozenset())
"""Around pages that stand by themselves."""


def write_inventory(site: Path, frame: Frame = NONE) -> None:
    """Write the list of what a finished site ships into it."""
    text = json.dumps(inventory(site, frame), ensure_ascii=False, indent=1)
    path = site / INVENTORY
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(text + "\n", encoding="utf-8", newline="\n")


def inventory(site: Path, frame: Frame = NONE) -> dict[str, Any]:
    """Return the list of what a finished site ships; ``frame`` is what the generator brought along."""
    owned: dict[str, list[str]] = {}
    for name in sorted(files_in(site)):
        if owner := _owner(name, frame):
            owned.setdefault(owner, []).append(name)
    shipped = [one for one in components() if _travels(one, owned, frame)]
    known = {one.name for one in components()}
    # What nobody has described here: another theme, or something new inside this one.
    shipped += [Component(name, _UNKNOWN, use="the frame around pages") for name in sorted(set(owned) - known)]
    shipped += [Component(name, _UNKNOWN, part_of=frame.name) for name in sorted((frame.holds or set()) - known)]
    entries = [_entry(site, one, owned.get(one.name, []), frame) for one in shipped]
    return {"bomFormat": "CycloneDX", "specVersion": "1.5", "version": 1, "components": entries}


def _owner(name: str, frame: Frame) -> str:
    """Return the component that a file of the site belongs to; "" where it is the guide's own."""
    found = [
        (len(pattern), one.name)
        for one in components()
        if not one.frame or name in frame.files
        for pattern in one.files
        if fnmatchcase(name, pattern)
    ]
    if found:
        return max(found)[1]
    return frame.name if name in frame.files else ""


def _travels(one: Component, owned: Mapping[str, object], frame: Frame) -> bool:
    if one.part_of:  # packages are named by the theme's maps of sources, its small signs are not
        return one.part_of in owned and (frame.holds is None or one.name in frame.holds or one.name.endswith(" icons"))
    return one.name in owned if one.files else True


def _entry(site: Path, one: Component, names: Iterable[str], frame: Frame) -> dict[str, Any]:
    framed = frame.name == one.name
    licence = {"name" if one.licence == _UNKNOWN else "id": one.licence}
    text = frame.licence_text if framed else ""
    if one.licence_file and (site / one.licence_file).is_file():
        text = (site / one.licence_file).read_text(encoding="utf-8")
    stated = {
        "type": "library" if one.files or one.part_of or framed else "data",
        "name": one.name,
        "version": one.version or (frame.version if framed else ""),
        "description": one.use,
        "licenses": [{"license": licence | ({"text": {"contentType": "text/plain", "content": text}} if text else {})}],
        "copyright": one.copyright,
        "externalReferences": [{"type": "website", "url": one.source}] if one.source else [],
        "properties": [{"name": "rigleaf:part-of", "value": one.part_of}] if one.part_of else [],
        "components": [_file(name, (site / name).read_bytes()) for name in names],
    }
    return {key: value for key, value in stated.items() if value}


def _file(name: str, content: bytes) -> dict[str, Any]:
    return {
        "type": "file",
        "name": name,
        "hashes": [{"alg": "SHA-256", "content": hashlib.sha256(content).hexdigest()}],
    }
