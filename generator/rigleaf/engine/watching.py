"""Hears of edits from the system itself, at once, and looks for them as well: not every folder tells."""

import time
from typing import Any

from watchdog.events import FileSystemEvent, FileSystemEventHandler
from watchdog.observers import Observer
from watchdog.observers.api import BaseObserver, ObservedWatch

_EDITS = frozenset({"created", "modified", "moved", "deleted"})
"""Kinds of events after which a file may say something else; systems tell of mere reading, too."""

_SAME_S = 5.0
"""What is found by looking so soon after it was told is the same edit."""


class PromptObserver:
    """Two observers in the place of one: the server's own, which looks twice a second, and the system's."""

    def __init__(self, looking: BaseObserver) -> None:
        """Begin with the server's observer, and what it observes already."""
        self._looking: BaseObserver = looking
        self._told: BaseObserver = Observer()
        self._seen: dict[object, float] = {}

    def schedule(
        self, event_handler: FileSystemEventHandler, path: str, *, recursive: bool = False, **more: Any
    ) -> ObservedWatch:  # fmt: skip
        """Observe a path in both ways."""
        self._told.schedule(_Handler(event_handler, self._seen, told=True), path, recursive=recursive)
        return self._looking.schedule(_Handler(event_handler, self._seen), path, recursive=recursive, **more)

    def unschedule(self, watch: ObservedWatch) -> None:
        """Observe a path no longer."""
        self._looking.unschedule(watch)

    def start(self) -> None:
        """Begin with both."""
        self._looking.start()
        try:
            self._told.start()
        except OSError:  # the system lets nobody watch more; looking finds the edits, too
            self._told.unschedule_all()

    def stop(self) -> None:
        """End both."""
        self._looking.stop()
        self._told.stop()

    def join(self, timeout: float | None = None) -> None:
        """Wait for the end of both."""
        self._looking.join(timeout)
        if self._told.is_alive():
            self._told.join(timeout)


class _Handler(FileSystemEventHandler):
    """Hands on edits; what is found by looking only where nobody has told of it just now."""

    def __init__(self, handler: FileSystemEventHandler, seen: dict[object, float], *, told: bool = False) -> None:
        self._handler, self._seen, self._is_told = handler, seen, told

    def on_any_event(self, event: FileSystemEvent) -> None:
        if event.event_type not in _EDITS or event.is_directory:
            return
        now, paths = time.monotonic(), {event.src_path, event.dest_path} - {""}
        if self._is_told:
            self._seen.update(dict.fromkeys(paths, now))
        elif any(now - self._seen.get(path, -_SAME_S) < _SAME_S for path in paths):
            return
        self._handler.dispatch(event)
