"""Keeps the collector of rubbish from looking through all that a server holds while somebody waits for a page."""

import gc

BUILDS = 20
"""After so many builds all is looked through once, which takes a second for a thousand rigs."""


class Tidying:
    """Sets aside what is held from one build to the next; of what is set aside only circles wait for the next look."""

    def __init__(self) -> None:
        self._builds = 0

    def after_build(self) -> None:
        """Set aside all that is held now."""
        if self._builds % BUILDS == 0:
            gc.unfreeze()
            gc.collect()
            gc.freeze()
        self._builds += 1
