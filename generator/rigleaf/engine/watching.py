"""Hears of edits from the system itself, at once, and looks for them as well: not every folder tells."""

import os
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
    """Two observers in the place of one: the server's own, which looks twice a second, and the system's.

    The system is asked about one folder. It also remembers whether something was edited anywhere else.
    """

    def __init__(self, looking: BaseObserver, folder: str) -> None:
        """Begin with the server's observer, and what it observes already; ``folder`` is the guide's."""
        self._looking: BaseObserver = looking
        self._told: BaseObserver = Observer()
        self._folder = os.path.abspath(folder)  # noqa: PTH100 - as the server writes it, links and all
        self._seen: dict[object, float] = {}
        self._elsewhere = self._again = False
        for emitter in looking.emitters:
            looking.add_handler_for_watch(_Elsewhere(self), emitter.watch)

    def only_there(self) -> bool:
        """Say whether nothing but the guide's folder was edited since this was asked last."""
        elsewhere, self._elsewhere, self._again = self._elsewhere, False, False
        return not elsewhere

    def edited_again(self) -> bool:
        """Say whether anything was edited since ``only_there`` was asked last; the server will build again then."""
        return self._again

    def noted(self, path: object) -> None:
        """Note an edit that was found by looking where the server looks by itself."""
        self.told()
        if not str(path).startswith(f"{self._folder}{os.sep}"):
            self._elsewhere = True

    def told(self) -> None:
        """Note an edit of which the server knows."""
        self._again = True

    def schedule(
        self, event_handler: FileSystemEventHandler, path: str, *, recursive: bool = False, **more: Any
    ) -> ObservedWatch:  # fmt: skip
        """Observe a path, the guide's folder in both ways."""
        if path != self._folder:
            watch = self._looking.schedule(event_handler, path, recursive=recursive, **more)
            self._looking.add_handler_for_watch(_Elsewhere(self), watch)
            return watch
        self._told.schedule(_Handler(event_handler, self, self._seen, told=True), path, recursive=recursive)
        return self._looking.schedule(_Handler(event_handler, self, self._seen), path, recursive=recursive, **more)

    def unschedule(self, watch: ObservedWatch) -> None:
        """Observe a path no longer."""
        self._looking.unschedule(watch)
        if watch.path == self._folder:
            self._told.unschedule_all()

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


class _Elsewhere(FileSystemEventHandler):
    def __init__(self, observer: PromptObserver) -> None:
        self._observer = observer

    def on_any_event(self, event: FileSystemEvent) -> None:
        if not event.is_directory:
            self._observer.noted(event.src_path)


class _Handler(FileSystemEventHandler):
    """Hands on edits; what is found by looking only where nobody has told of it just now."""

    def __init__(
        self,
        handler: FileSystemEventHandler,
        observer: PromptObserver,
        seen: dict[object, float],
        *,
        told: bool = False,
    ) -> None:
        self._handler, self._observer, self._seen, self._is_told = handler, observer, seen, told

    def on_any_event(self, event: FileSystemEvent) -> None:
        if event.event_type not in _EDITS or event.is_directory:
            return
        now, paths = time.monotonic(), {event.src_path, event.dest_path} - {""}
        if self._is_told:
            for path in [path for path, then in self._seen.items() if now - then >= _SAME_S]:
                del self._seen[path]
            self._seen.update(dict.fromkeys(paths, now))
        elif any(now - self._seen.get(path, -_SAME_S) < _SAME_S for path in paths):
            return
        # Before the server knows, or a build that it begins at once would take this edit for one that came after it.
        self._observer.told()
        self._handler.dispatch(event)
