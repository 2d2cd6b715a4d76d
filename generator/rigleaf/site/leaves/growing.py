"""The leaves of a whole guide: from the store where they are known, the others made by as many processes as pay."""

from collections.abc import Collection, Iterator, Sequence
from contextlib import suppress
from dataclasses import replace

from rigleaf.processes import NO_HELP, copies, may_be_copied, newcomers, processors, shared
from rigleaf.site.leaves.form import DamagedError, Reader, encode
from rigleaf.site.leaves.keys import keys_of
from rigleaf.site.leaves.leaf import Around, Leaf, Maker
from rigleaf.site.leaves.store import Store
from rigleaf.site.spool import Laid, Spool

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
        spool: takes the records of their pages, and the texts of those that no store has kept.

    Raises:
        MethodError: when a figure or finding names a method that is not in the register.
    """
    keys = keys_of(given) if store else {}
    found: dict[str, Leaf] = {}
    reader = Reader()
    known = dict(memory) if memory and store else {}

    def laid(leaf: Leaf) -> Leaf:
        return leaf if spool is None else replace(leaf, pages=Laid(leaf.pages, spool))

    if store:
        for id_, key in keys.items():
            # Whoever deletes the folder while a server runs takes the articles of what it remembers with it.
            there = key in known and store.has(key)
            leaf = known[key] if there else _kept(store, key, reader)
            if leaf is not None:
                found[id_] = laid(leaf)
        if memory is not None:
            memory.clear()
            memory.update((keys[id_], leaf) for id_, leaf in found.items())
    missing = [id_ for id_ in given.catalogue.rigs if id_ not in found]
    count = processes or (processors() if len(missing) >= LEAST_FOR_TWO else 1)
    for id_, data, kept in _made(given, missing, keys, store, count):
        key = keys.get(id_, "")
        found[id_] = laid(reader.decode(data, key, store.path(key) if store and kept else spool))
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
        if left and processes > 1:
            with suppress(*NO_HELP):  # this process does what is left
                for one in _made_by_several(given, missing, keys, store, processes):
                    yield one
                    del left[one[0]]
        if left and not _workshop:
            _open((given, keys, store, missing))
        for id_ in left:
            yield _workshop[0].made(id_)
    finally:
        _workshop.clear()


def _made_by_several(
    given: Around, missing: Sequence[str], keys: dict[str, str], store: Store | None, processes: int
) -> Iterator[_Made]:
    missing = sorted(missing, key=_firsts(given, missing).__contains__, reverse=True)
    first, *rest = [missing[start : start + _AT_ONCE] for start in range(0, len(missing), _AT_ONCE)]
    helpers = min(processes - 1, len(rest))
    if not may_be_copied():  # the development server has threads
        with newcomers(helpers + 1, _open, (replace(given, kept=None), keys, store, missing)) as pool:
            for made in pool.map(_several, [first, *rest]):
                yield from made
        return
    # Copies share what was made before there were any: the sky of some places, templates, the shelf's order.
    _open((given, keys, store, missing))
    yield from _several(first)
    if helpers:
        with copies(helpers) as pool:
            for made in shared(pool, helpers, _several, rest):
                yield from made


def _firsts(given: Around, missing: Sequence[str]) -> set[str]:
    """Return of each place one of the rigs that go there: whoever makes its leaf finds out about the sky there."""
    catalogue, firsts = given.catalogue, dict[str, str]()
    for id_ in missing:
        place = catalogue.place_of(catalogue.rigs[id_])
        firsts.setdefault(place.id if place else "", id_)
    return {*firsts.values()}


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
"""That of this process; copies find it there."""


def _open(what: tuple[Around, dict[str, str], Store | None, Sequence[str]]) -> None:
    _workshop[:] = [_Workshop(*what)]


def _several(ids: Sequence[str]) -> list[_Made]:
    return [_workshop[0].made(id_) for id_ in ids]
