"""What the development server does for itself, when everybody has been answered."""

import gc

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.site.leaves.store import leaf_store
from rigleaf.site.memory import Memory

_SWEPT = 25
"""After so many builds all that is kept, in memory and as leaves on disk, is looked through for what nobody needs."""


class Upkeep:
    """Of one process that builds again and again."""

    def __init__(self) -> None:
        self._builds = 0

    def after_build(self, catalogue: Catalogue, memory: Memory) -> None:
        """Let the collector of garbage pass by what is kept: looking through all of it holds up a build."""
        self._builds += 1
        if self._builds % _SWEPT == 0:
            gc.unfreeze()
            if store := leaf_store(catalogue):
                store.tidy(memory.leaves)
        gc.collect()
        gc.freeze()
