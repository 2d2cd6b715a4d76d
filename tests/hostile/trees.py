"""Harm done to what a text means rather than to its letters, so that it gets past the reader: the same seed, the same.

``disturb`` knows what the fields of a guide take; what stands here moves things about without knowing, and also does
for JSON.
"""

import json
from collections.abc import Iterator
from copy import deepcopy
from random import Random
from typing import Any

import yaml

from rigleaf.catalogue.document import read_document
from tests.hostile.containers import Files, apart, together
from tests.hostile.mutations import ODD, disturb, gnaw, number
from tests.hostile.schemas import Guide

_DUMPER = getattr(yaml, "CSafeDumper", yaml.SafeDumper)
_MOST = 3000
"""Values of a tree among which one is chosen."""

Place = tuple[Any, Any]
"""A list or mapping, and where in it a value stands."""


def _places(data: Any) -> list[Place]:
    return [place for place, _ in zip(_inside(data), range(_MOST), strict=False)]


def _inside(data: Any) -> Iterator[Place]:
    keys = data if isinstance(data, dict) else range(len(data)) if isinstance(data, list) else ()
    for key in keys:
        yield data, key
        yield from _inside(data[key])


def stir(data: Any, other: Any, random: Random) -> None:
    """Do one thing to a tree in place: leave out, double, move, exchange, or take over from another tree."""
    places = _places(data)
    if not places:
        return
    owner, key = random.choice(places)
    match random.randrange(7):
        case 0:
            del owner[key]
        case 1 if isinstance(owner, list):
            owner.insert(random.randrange(len(owner) + 1), deepcopy(owner[key]))
        case 2:
            far, there = random.choice(places)
            owner[key] = deepcopy(far[there])
        case 3:
            alike = [place for place in _places(other) if place[1] == key] or _places(other)
            if alike:
                far, there = random.choice(alike)
                owner[key] = deepcopy(far[there])
        case 4:
            owner[key] = random.choice(ODD)
        case 5 if isinstance(owner, list):
            random.shuffle(owner)
        case 6 if isinstance(owner, dict) and _places(other):
            far, there = random.choice(_places(other))
            if isinstance(there, str):
                owner[there] = deepcopy(far[there])
        case _:
            owner[key] = [owner[key]] * random.choice((1, 2, 30))


def _guide_of(files: Files) -> Guide:
    found = {name: read_document(name, content) for name, content in files.items()}
    return {name: document.data for name, document in found.items() if document.whole and name.endswith(".yml")}


def _known(name: str) -> bool:
    return "/" not in name or name.partition("/")[0] in ("parts", "trips", "desk")


def change_guide(data: bytes, other: bytes, random: Random) -> bytes:
    """Change a guide that is one input: its fields, its tree, the letters of one file, or by files of another guide."""
    files = apart(data)
    if not files:
        return gnaw(data, random)
    dice = random.random()
    if dice < 0.1:
        name = random.choice(sorted(files))
        files[name] = random.choice((gnaw, number))(files[name], random)
    elif dice < 0.2:
        more = apart(other)
        for name in random.sample(sorted(more), min(len(more), random.randint(1, 3))):
            files[name] = more[name]
    else:
        guide = _guide_of(files)
        if not guide:
            return gnaw(data, random)
        known = {name: data for name, data in guide.items() if _known(name)}
        if known and dice < 0.75:
            disturb(known, random, random.choice((1, 1, 1, 2, 4)))
        else:
            stir(guide, _guide_of(apart(other)) or guide, random)
        files |= {name: dumped(data) for name, data in guide.items()}
    return together(files)


def change_yaml(data: bytes, other: bytes, random: Random) -> bytes:
    """Change a YAML file that is not one of a guide's: its tree or its letters."""
    tree = read_document("one.yml", data)
    if not tree.whole or not isinstance(tree.data, (dict, list)) or random.random() < 0.2:
        return random.choice((gnaw, number))(data, random)
    stir(tree.data, read_document("other.yml", other).data, random)
    return dumped(tree.data)


def change_json(data: Any, other: Any, random: Random) -> bytes:
    """Return JSON that says something else; at times it is nested deeper than anybody writes."""
    if random.random() < 0.02:
        deep = random.choice((500, 20_000))
        return b"[" * deep + b"]" * deep
    stir(data, other, random)
    return json.dumps(data, default=str).encode("utf-8", "replace")


def dumped(data: Any) -> bytes:
    """Return data as YAML."""
    text = yaml.dump(data, Dumper=_DUMPER, sort_keys=False, allow_unicode=True, width=10**9)
    return str(text).encode("utf-8", "surrogatepass")
