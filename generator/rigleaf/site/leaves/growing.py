"""The leaves of a whole guide: from the store where they are known, the others made by as many processes as pay."""

import gc
import pickle
from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from dataclasses import replace
from multiprocessing import get_context

from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.study import RigStudy
from rigleaf.processes import leave_with_parent, processors
from rigleaf.site.leaves.form import DamagedError, decode, encode
from rigleaf.site.leaves.keys import keys_of
from rigleaf.site.leaves.leaf import Around, Leaf, Maker
from rigleaf.site.leaves.store import Store

LEAST_FOR_TWO = 30
"""So many leaves must be made before further processes pay: each takes a second or two to start."""

_AT_ONCE = 8
"""Leaves that a process makes before it asks for more."""


def leaves_of(
    given: Around, store: Store | None = None, processes: int | None = None, memory: dict[str, Leaf] | None = None
) -> tuple[Leaf, ...]:
    """Return the leaves of all rigs, in the order of the guide.

    Args:
        given: what they are made of.
        store: where they are kept from one build to the next; without it all are made.
        processes: how many make them; as many as there are processors where nobody says.
        memory: leaves by their keys that this process has read already; those of this guide stand in it afterwards.

    Raises:
        MethodError: when a figure or finding names a method that is not in the register.
    """
    keys = keys_of(given) if store else {}
    found: dict[str, Leaf] = {}
    if store:
        known = memory or {}
        for id_, key in keys.items():
            leaf = _bound(known[key], given) if key in known else _kept(store, key, given)
            if leaf is not None:
                found[id_] = leaf
        if memory is not None:  # what is made below is not in it: only the store knows whether it may be kept
            memory.clear()
            memory.update((keys[id_], leaf) for id_, leaf in found.items())
    missing = [id_ for id_ in given.catalogue.rigs if id_ not in found]
    found |= _made(given, missing, keys, store, processes or (processors() if len(missing) >= LEAST_FOR_TWO else 1))
    if store and missing:
        store.tidy(keys.values())
    return tuple(found[id_] for id_ in given.catalogue.rigs)


def _kept(store: Store, key: str, given: Around) -> Leaf | None:
    data = store.read(key)
    if data is None:
        return None
    try:
        return decode(data, key, given.catalogue)
    except DamagedError:
        return None  # made anew, and written over


def _bound(leaf: Leaf, given: Around) -> Leaf:
    """Return a leaf of an earlier reading of the guide as one of this."""
    rig = given.catalogue.rigs[leaf.study.rig.id]
    return replace(leaf, study=RigStudy(Assembly(given.catalogue, rig), leaf.study.studies))


def _made(
    given: Around, missing: Sequence[str], keys: dict[str, str], store: Store | None, processes: int
) -> dict[str, Leaf]:
    if processes > 1:
        try:
            return _made_by_several(given, missing, keys, store, processes)
        except (OSError, BrokenProcessPool, pickle.PicklingError):
            pass  # no further processes here, or they were ended: this one does it all
    workshop = _Workshop(given, keys, store, missing)
    return {id_: leaf for id_ in missing for leaf in (workshop.leaf(id_),)}


def _made_by_several(
    given: Around, missing: Sequence[str], keys: dict[str, str], store: Store | None, processes: int
) -> dict[str, Leaf]:
    # Started anew rather than forked: the server that calls this has threads, and a fork copies their locks.
    context = get_context("spawn")
    parts = [missing[start : start + _AT_ONCE] for start in range(0, len(missing), _AT_ONCE)]
    found: dict[str, Leaf] = {}
    packed = pickle.dumps((replace(given, kept=None), keys, store))
    with ProcessPoolExecutor(min(processes, len(parts)), context, _begin, (packed,)) as pool:
        for ids, made in zip(parts, pool.map(_several, parts), strict=True):
            for id_, data in zip(ids, made, strict=True):
                found[id_] = decode(data, keys.get(id_, ""), given.catalogue)
    return found


class _Workshop:
    """Makes leaves in one process, and puts them into the store."""

    def __init__(
        self, given: Around, keys: dict[str, str], store: Store | None, only: Sequence[str] | None = None
    ) -> None:  # fmt: skip
        self._maker, self._keys, self._store = Maker(given, only), keys, store

    def leaf(self, id_: str) -> Leaf:
        leaf = self._maker.make(id_)
        if self._store:
            self._keep(id_, encode(leaf, self._keys.get(id_, "")))
        return leaf

    def data(self, id_: str) -> bytes:
        data = encode(self._maker.make(id_), self._keys.get(id_, ""))
        self._keep(id_, data)
        return data

    def _keep(self, id_: str, data: bytes) -> None:
        if self._store and id_ in self._keys and self._maker.sound:
            self._store.write(self._keys[id_], data)


_workshop: list[_Workshop] = []
"""That of a further process."""


def _begin(packed: bytes) -> None:
    leave_with_parent()
    _workshop.append(_Workshop(*pickle.loads(packed)))  # noqa: S301 - from the process that started this one
    gc.freeze()  # the guide stays for the life of this process: there is no use in looking through it again and again


def _several(ids: Sequence[str]) -> list[bytes]:
    return [_workshop[0].data(id_) for id_ in ids]
