"""What search would know of a made-up guide of so many rigs, without studying a rig or making a page.

Each record has the words of an entry's YAML, with the names of the parts and rigs that belong to it: about as many, and
as different from one another, as search is given by the guide when it is built.
"""

from collections import defaultdict
from collections.abc import Iterator, Mapping
from html import escape
from typing import Any

from tests.bench.generate import Data, made_up


def records(rigs: int) -> list[dict[str, Any]]:
    """Return one record for each rig and each part, as the theme's search has them."""
    shelf: dict[str, Data] = {}
    made: list[Data] = []
    for name, data in made_up(rigs):
        if name.startswith("parts/"):
            shelf |= {part["id"]: part for part in data}
        elif name.startswith("rig-"):
            made.append(data)
    names = {id_: part["name"] for id_, part in shelf.items()}
    used: dict[str, list[str]] = defaultdict(list)
    found = []
    for rig in made:
        words = list(_words(rig, names))
        for word in words:
            used[word].append(rig["name"])
        tags = [*rig["purpose"], *rig["travels"]]
        found.append({**_record(f"rigs/{rig['id']}.html", rig["name"], words), "tags": tags, "boost": 3.0})
    for id_, part in shelf.items():
        labelled = [f"{key} {word}" for key, value in part.items() for word in _words({key: value}, {})]
        found.append(_record(f"parts/{id_}.html", part["name"], [*labelled, *used[part["name"]]]))
    return found


def _record(location: str, title: str, words: list[str]) -> dict[str, Any]:
    return {"location": location, "title": escape(title), "text": escape(". ".join(words))}


def _words(value: Any, names: Mapping[str, str]) -> Iterator[str]:
    """Yield every text in a piece of YAML, and names in place of ids."""
    if isinstance(value, dict):
        for key, one in value.items():
            if key not in ("id", "name", "private"):
                yield from _words(one, names)
    elif isinstance(value, list):
        for one in value:
            yield from _words(one, names)
    else:
        yield names.get(str(value), str(value))
