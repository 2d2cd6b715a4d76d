"""What a leaf depends on, as one digest: change any of it, and it is another leaf.

A rig is judged by its own file, all parts, places, targets, carriers, rules and the guide's settings. Of the other rigs
it is told which parts only practice rigs have, which two frame each of its targets best, and whether its bags have
other users; of the book of loans, what pages say of it; in another language than English, how all things of the guide
are called. All else that changes a leaf is the program.
"""

import hashlib
import json
import platform
from functools import lru_cache
from importlib.metadata import PackageNotFoundError, version
from importlib.resources import files
from pathlib import Path

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.catalogue.defaults import data_day
from rigleaf.catalogue.files import DESK, TRIPS
from rigleaf.catalogue.targets import resolve
from rigleaf.chapters.in_the_frame.fleet import best_two
from rigleaf.site.leaves.form import FORM
from rigleaf.site.leaves.leaf import Around
from rigleaf.site.typeset.doors import offers_copies
from rigleaf.site.typeset.own_names import names_in
from rigleaf.words import LANGUAGES

_PACKAGES = (
    "astropy", "astropy-iers-data", "jinja2", "latex2mathml", "lxml", "markupsafe", "numpy", "pillow", "pydantic",
    "pyyaml", "segno",
)  # fmt: skip
"""Packages that what stands on pages may depend on."""


@lru_cache(maxsize=2)
def program(*, framing: bool = False) -> str:
    """Return a digest of the program: its files, Python, and the packages that it computes with.

    Args:
        framing: whether what puts frames around pages counts, too.
    """
    found = hashlib.sha256()
    root = Path(str(files("rigleaf")))
    for path in sorted(root.rglob("*")):
        if path.is_file() and "__pycache__" not in path.parts and (framing or root / "engine" not in path.parents):
            data = path.read_bytes()
            found.update(f"{path.relative_to(root).as_posix()}\0{len(data)}\0".encode())
            found.update(data)
    found.update(platform.python_version().encode())
    for package in _PACKAGES:
        found.update(f"{package} {_version(package)}\0".encode())
    return found.hexdigest()


def _version(package: str) -> str:
    try:
        return version(package)
    except PackageNotFoundError:
        return ""


def keys_of(given: Around) -> dict[str, str]:
    """Return the key of every rig's leaf, by the rig's id; none where the files behind the guide are not known."""
    catalogue = given.catalogue
    if not catalogue.digests:
        return {}
    shared = _digest(
        [
            FORM,
            program(),
            repr(data_day()),
            repr(given.addresses),
            given.field_copy,
            offers_copies(catalogue),
            _shared_files(catalogue),
            _for_practice(catalogue),
            _names(catalogue),
        ]
    )
    best = {
        id_: [
            repr((one.rig.id, one.rig.name, one.view, one.framed, one.score))
            for one in best_two(given.frames or catalogue, resolve(target))
        ]
        for id_, target in catalogue.targets.items()
    }
    return {id_: _digest([shared, *_own(given, id_, best)]) for id_ in catalogue.rigs}


def _digest(content: object) -> str:
    return hashlib.sha256(json.dumps(content, ensure_ascii=False).encode("utf-8", "surrogatepass")).hexdigest()


def _shared_files(catalogue: Catalogue) -> list[tuple[str, str]]:
    """Return name and digest of all files but those of rigs, journeys and the book of loans."""
    rigs = {catalogue.source("rig", id_).file for id_ in catalogue.rigs}
    apart = (f"{DESK}/", f"{TRIPS}/")
    return [one for one in catalogue.digests.items() if one[0] not in rigs and not one[0].startswith(apart)]


def _for_practice(catalogue: Catalogue) -> list[str]:
    """Return the ids of parts that no rig has but those for training: no remedy names them."""
    return [
        part
        for part, users in catalogue.used_by.items()
        if users and all(catalogue.rigs[user].for_training for user in users)
    ]


def _names(catalogue: Catalogue) -> list[str]:
    """Return the names that are lifted out of sentences that are said in another language than they were written in."""
    return [] if catalogue.guide.language == LANGUAGES[0] else sorted(names_in(catalogue))


def _own(given: Around, id_: str, best: dict[str, list[str]]) -> list[object]:
    """Return what no other rig's leaf depends on in the same way."""
    catalogue = given.catalogue
    rig, file = catalogue.rigs[id_], catalogue.source("rig", id_).file
    return [
        id_,
        file,
        catalogue.digests[file],
        [best[target] for target in rig.targets],
        [len(catalogue.used_by.get(use.part, ())) > 1 for use in rig.bags],
        [(trip.id, trip.name) for trip in catalogue.trips.values() if id_ in trip.rigs],
        repr(given.told.get(id_)),
        repr(given.sent.get(id_)),
        repr(given.seen.get(id_)),
    ]
