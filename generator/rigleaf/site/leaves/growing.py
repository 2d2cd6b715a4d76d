"""The leaves of a whole guide: from the store where they are known, the others made by as many processes as pay."""

from collections.abc import Collection, Iterator, Sequence
from dataclasses import replace

from rigleaf.processes import NO_HELP, copies, may_be_copied, newcomers, processors
from rigleaf.site.leaves.form import DamagedError, Reader, encode
from rigleaf.site.leaves.keys import keys_of
from rigleaf.site.leaves.leaf import Around, Leaf, Maker
from rigleaf.site.leaves.store import Store
from rigleaf.site.spool import Spool

LEAST_FOR_TWO = 30
"""So many leaves must be made before further processes pay: each takes a second or two to start."""

_AT_ONCE = 8
"""Leaves that a process makes before it asks for more."""


def leaves_of(
    given: Around,
    store: Store | None = None,
    processes: int | None = None,
    memory: dict[str, Leaf] | None = None,
    spool: Spool | None = None,
) -> tuple[Leaf, ...]:
    """Return the leaves of all rigs, in the order of the guide.

    Args:
        given: what they are made of.
        store: where they are kept from one build to the next; without it all are made.
        processes: how many make them; as many as there are processors where nobody says.
        memory: leaves by their keys that this process has read already; those of this guide stand in it afterwards.
        spool: takes those that no store has kept.

    Raises:
        MethodError: when a figure or finding names a method that is not in the register.
    """
    keys = keys_of(given) if store else {}
    found: dict[str, Leaf] = {}
    reader = Reader()
    known = dict(memory) if memory and store else {}
    if store:
        for id_, key in keys.items():
            # Whoever deletes the folder while a server runs takes the articles of what it remembers with it.
            there = key in known and store.has(key)
            leaf = known[key] if there else _kept(store, key, reader)
            if leaf is not None:
                found[id_] = leaf
        if memory is not None:
            memory.clear()
            memory.update((keys[id_], leaf) for id_, leaf in found.items())
    missing = [id_ for id_ in given.catalogue.rigs if id_ not in found]
    count = processes or (processors() if len(missing) >= LEAST_FOR_TWO else 1)
    for id_, data, kept in _made(given, missing, keys, store, count):
        key = keys.get(id_, "")
        found[id_] = reader.decode(data, key, store.path(key) if store and kept else spool)
        if memory is not None and kept:
            memory[key] = found[id_]
    if store and missing and not known:  # looking through the folder would hold up every edit
        store.tidy(keys.values())
    return tuple(found[id_] for id_ in given.catalogue.rigs)


def _kept(store: Store, key: str, reader: Reader) -> Leaf | None:
    data = store.read(key)
    if data is None:
        return None
    try:
        return reader.decode(data, key, store.path(key))
    except DamagedError:
        return None  # made anew, and written over


_Made = tuple[str, bytes, bool]
"""The id of a rig, its leaf as bytes, and whether the store has it."""


def _made(
    given: Around, missing: Sequence[str], keys: dict[str, str], store: Store | None, processes: int
) -> Iterator[_Made]:
    left = dict.fromkeys(missing)
    try:
        if processes > 1:
            try:
                for one in _made_by_several(given, missing, keys, store, processes):
                    yield one
                    del left[one[0]]
            except NO_HELP:
                pass  # this process does what is left
        if left:
            workshop = _Workshop(given, keys, store, left)
            yield from map(workshop.made, left)
    finally:
        _workshop.clear()


def _made_by_several(
    given: Around, missing: Sequence[str], keys: dict[str, str], store: Store | None, processes: int
) -> Iterator[_Made]:
    parts = [missing[start : start + _AT_ONCE] for start in range(0, len(missing), _AT_ONCE)]
    count = min(processes, len(parts))
    if may_be_copied():
        _open((given, keys, store, missing))
        helpers = copies(count)
    else:  # the development server has threads
        helpers = newcomers(count, _open, (replace(given, kept=None), keys, store, missing))
    with helpers as pool:
        for made in pool.map(_several, parts):
            yield from made


class _Workshop:
    """Makes leaves in one process, and puts them into the store."""

    def __init__(self, given: Around, keys: dict[str, str], store: Store | None, only: Collection[str]) -> None:
        self._maker, self._keys, self._store = Maker(given, only), keys, store

    def made(self, id_: str) -> _Made:
        key = self._keys.get(id_, "")
        data = encode(self._maker.make(id_), key)
        kept = bool(self._store and key and self._maker.sound and self._store.write(key, data))
        return id_, data, kept


_workshop: list[_Workshop] = []
"""That of a further process; copies find it there."""


def _open(what: tuple[Around, dict[str, str], Store | None, Sequence[str]]) -> None:
    _workshop[:] = [_Workshop(*what)]


def _several(ids: Sequence[str]) -> list[_Made]:
    return [_workshop[0].made(id_) for id_ in ids]
