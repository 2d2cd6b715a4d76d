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

INVENTORY = "assets/inventory.json"

_UNKNOWN = "NOASSERTION"
"""How SPDX says that nobody has looked."""


class Component(NamedTuple):
    """One thing that others made; ``files`` are patterns of paths in the site, of which the longest counts."""

    name: str
    licence: str
    copyright: str
    use: str
    source: str
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


def write_inventory(site: Path, frame: Frame | None = None) -> None:
    """Write the list of what a finished site ships into it."""
    text = json.dumps(inventory(site, frame), ensure_ascii=False, indent=1)
    path = site / INVENTORY
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(text + "\n", encoding="utf-8", newline="\n")


def inventory(site: Path, frame: Frame | None = None) -> dict[str, Any]:
    """Return the list of what a finished site ships; ``frame`` is what the generator brought along."""
    names = sorted(path.relative_to(site).as_posix() for path in site.rglob("*") if path.is_file())
    owners = {name: owner for name in names if (owner := _owner(name, frame)) is not None}
    by_owner: dict[str, list[str]] = {}
    for name, owner in owners.items():
        by_owner.setdefault(owner, []).append(name)
    shipped = [
        _entry(site, one, by_owner.get(one.name, ()), frame) for one in components() if _travels(one, by_owner, frame)
    ]
    known = {one.name for one in components()}
    for owner in sorted(set(by_owner) - known):  # a theme that nobody has described here
        version = frame.version if frame and frame.name == owner else ""
        shipped.append(
            _entry(site, Component(owner, _UNKNOWN, "", "the frame around pages", "", version), by_owner[owner], frame)
        )
    for name in sorted((frame.holds or frozenset()) - known if frame else ()):
        shipped.append(
            _entry(site, Component(name, _UNKNOWN, "", "", "", part_of=frame.name if frame else ""), (), frame)
        )
    return {"bomFormat": "CycloneDX", "specVersion": "1.5", "version": 1, "components": shipped}


def _owner(name: str, frame: Frame | None) -> str | None:
    """Return the component that a file of the site belongs to; None where it is the guide's own."""
    found = [
        (len(pattern), one.name)
        for one in components()
        if not one.frame or (frame is not None and name in frame.files)
        for pattern in one.files
        if fnmatchcase(name, pattern)
    ]
    if found:
        return max(found)[1]
    return frame.name if frame is not None and name in frame.files else None


def _travels(one: Component, by_owner: Mapping[str, Iterable[str]], frame: Frame | None) -> bool:
    if one.part_of:
        held = frame.holds if frame is not None else frozenset()
        return one.part_of in by_owner and (held is None or one.name in held or " " in one.name)
    return one.name in by_owner if one.files else True


def _entry(site: Path, one: Component, names: Iterable[str], frame: Frame | None) -> dict[str, Any]:
    framed = frame is not None and frame.name == one.name
    licence: dict[str, Any] = {"id": one.licence} if one.licence != _UNKNOWN else {"name": one.licence}
    text = (
        (site / one.licence_file).read_text("utf-8") if one.licence_file and (site / one.licence_file).is_file() else ""
    )
    text = text or (frame.licence_text if framed and frame is not None else "")
    if text:
        licence["text"] = {"contentType": "text/plain", "content": text}
    entry: dict[str, Any] = {"type": "library" if one.files or one.part_of else "data", "name": one.name}
    version = one.version or (frame.version if framed and frame is not None else "")
    entry |= {"version": version} if version else {}
    entry |= {"description": one.use} if one.use else {}
    entry["licenses"] = [{"license": licence}]
    entry |= {"copyright": one.copyright} if one.copyright else {}
    entry |= {"externalReferences": [{"type": "website", "url": one.source}]} if one.source else {}
    if one.part_of:
        entry["properties"] = [{"name": "rigleaf:part-of", "value": one.part_of}]
    found = [_file(name, (site / name).read_bytes()) for name in names]
    return entry | ({"components": found} if found else {})


def _file(name: str, content: bytes) -> dict[str, Any]:
    return {
        "type": "file",
        "name": name,
        "hashes": [{"alg": "SHA-256", "content": hashlib.sha256(content).hexdigest()}],
    }
