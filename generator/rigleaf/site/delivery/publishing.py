"""A folder that changes at once and whole: the next one is written beside it, and then the two change places.

Whoever writes holds a lock, which the system takes back when the writer dies. So what lies about under that lock is
of a writer that was killed, and the next one clears it away.
"""

import ctypes
import errno
import os
import shutil
import stat
import sys
import time
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path

if sys.platform == "win32":
    import msvcrt
else:
    import fcntl

MARK = ".being-built"
"""Ends the name of the folder beside the site in which the next site is written."""

PATIENCE_S = 600.0
"""How long a build waits for another one of the same site."""

_LOOK_S = 0.1
_NO_LOCKS = frozenset({errno.ENOSYS, errno.ENOLCK, errno.EOPNOTSUPP, errno.EINVAL})
_NO_EXCHANGE = frozenset({errno.ENOSYS, errno.EINVAL, errno.EOPNOTSUPP})
_IMMOVABLE = frozenset({errno.EBUSY, errno.EXDEV})
_AT_FDCWD, _RENAME_EXCHANGE = -100, 2
"""From linux/fcntl.h and linux/fs.h (from memory)."""


class PublishingError(OSError):
    """A folder that cannot be replaced; the message says why and what to do. It stands as it stood."""


class Draft:
    """The next state of a folder. Write below ``folder`` between `open` and `publish`; `close` whatever happened."""

    def __init__(self, target: Path) -> None:
        self.site = Path(os.path.realpath(target))  # a symbolic link stays one, and the folder behind it is replaced
        self.work = self.site.parent / f".{self.site.name}{MARK}"
        self.folder = self.work / "new"
        self._old = self.work / "old"
        self._lock: int | None = None

    def open(self, waiting: Callable[[], object] | None = None, patience: float = PATIENCE_S) -> None:
        """Take the lock, clear away what a killed writer left, and make the folder to write into.

        Args:
            waiting: called once if another writer has the lock.
            patience: seconds to wait for it.

        Raises:
            PublishingError: when it does not come free, or the folder is one that cannot be replaced.
        """
        self._refuse_immovable()
        try:
            self.site.parent.mkdir(parents=True, exist_ok=True)
            self._take_lock(waiting, time.monotonic() + patience)
            try:
                self._clear()
                self.folder.mkdir()
                (self.work / ".gitignore").write_text("*\n", encoding="utf-8")
                self._look_like_the_old()
            except BaseException:
                self.close()
                raise
        except PublishingError:
            raise
        except OSError as error:
            if error.errno == errno.ENOSPC:
                raise
            words = f"the new folder is written beside the old one, but '{self.site.parent}' does not let it"
            raise PublishingError(
                f"{words} ({error.strerror}); name a site in a folder that you may write to, and copy it from there"
            ) from error

    def publish(self) -> None:
        """Put what has been written in the place of the folder, at once; hidden entries at its top come along.

        Raises:
            PublishingError: when the folder cannot be moved.
            OSError: when the disk is full.
        """
        try:
            self._carry_hidden()
            _settle(self.folder)
            self._swap()
        except PermissionError as error:
            raise PublishingError(f"'{self.site}' cannot be replaced: {error.strerror} ('{error.filename}')") from error
        except OSError as error:
            if error.errno not in _IMMOVABLE:
                raise
            raise PublishingError(_immovable(self.site)) from error
        _settle_names(self.site.parent)

    def close(self) -> None:
        """Remove what is left beside the folder and let the next writer in. Safe to call at any time and twice."""
        if self._lock is None:
            return
        with suppress(OSError):
            self._empty()
        with suppress(OSError):  # the lock last, and while it is held
            (self.work / "lock").unlink()
        with suppress(OSError):  # another writer may stand at the door
            self.work.rmdir()
        os.close(self._lock)
        self._lock = None

    def _refuse_immovable(self) -> None:
        if os.path.lexists(self.site):
            if not self.site.is_dir():
                raise PublishingError(f"'{self.site}' is no folder")
            if self.site.is_mount():
                raise PublishingError(_immovable(self.site))
        if Path.cwd().is_relative_to(self.site):
            raise PublishingError(f"you stand in '{self.site}', which is to be replaced; go to another folder first")

    def _take_lock(self, waiting: Callable[[], object] | None, end: float) -> None:
        path = self.work / "lock"
        while True:
            with suppress(FileExistsError):  # and not exist_ok, which looks twice: it may be gone the second time
                self.work.mkdir()
            try:
                handle = os.open(path, os.O_RDWR | os.O_CREAT, 0o666)
            except FileNotFoundError:  # the other writer has just cleared up
                continue
            try:
                free = _lock(handle)
                # A lock on a file that its holder has removed meanwhile keeps nobody out.
                if free and _is_at(handle, path):
                    self._lock = handle
                    return
            except BaseException:
                os.close(handle)
                raise
            os.close(handle)
            if free:
                continue
            if waiting is not None:
                waiting()
                waiting = None
            if time.monotonic() >= end:
                raise PublishingError(f"'{self.site}' is being written by another process; try again when it has ended")
            time.sleep(_LOOK_S)

    def _clear(self) -> None:
        """Undo a change of places that was cut in two, then remove what the killed writer had made."""
        if self._old.is_dir() and not os.path.lexists(self.site):
            self._old.rename(self.site)
        self._empty()

    def _empty(self) -> None:
        """Remove all but the lock, and but the old folder while nothing has taken its place."""
        for entry in self.work.iterdir():
            if entry.is_dir() and not entry.is_symlink():
                if entry != self._old or os.path.lexists(self.site):
                    _remove(entry)
            elif entry.name != "lock":
                entry.unlink()

    def _look_like_the_old(self) -> None:
        """Take over owner and rights of the folder, before anything in it inherits them."""
        if self.site.is_dir():
            state = self.site.stat()
            if hasattr(os, "chown"):
                with suppress(OSError):
                    os.chown(self.folder, state.st_uid, state.st_gid)
            shutil.copystat(self.site, self.folder)
            self.folder.chmod(stat.S_IMODE(state.st_mode) | stat.S_IRWXU)

    def _carry_hidden(self) -> None:
        """Have hidden entries of the old folder in the new one too: whoever builds a site never made them.

        They are there twice until the old folder is removed, so that there is no moment without them.
        """
        if self.site.is_dir():
            for entry in sorted(self.site.iterdir()):
                if entry.name.startswith(".") and not entry.name.endswith(MARK):
                    _twin(entry, self.folder / entry.name)

    def _swap(self) -> None:
        if not os.path.lexists(self.site):
            self.folder.rename(self.site)
        elif not _exchange(self.folder, self.site):
            self.site.rename(self._old)
            try:
                self.folder.rename(self.site)
            except BaseException:
                self._old.rename(self.site)
                raise


def _immovable(site: Path) -> str:
    return (
        f"'{site}' is where something is mounted, and cannot be replaced at once; "
        f"build into a folder below it, such as '{site / 'guide'}'"
    )


def _is_at(handle: int, path: Path) -> bool:
    try:
        return os.path.samestat(os.fstat(handle), path.stat())
    except FileNotFoundError:
        return False


def _lock(handle: int) -> bool:
    """Return whether the lock is now ours; where the disk knows no locks, it is."""
    try:
        if sys.platform == "win32":
            msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)
        else:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError as error:
        return error.errno in _NO_LOCKS
    return True


def _twin(old: Path, new: Path) -> None:
    """Give what stands at ``old`` a second name, folder by folder; what stands at ``new`` already stays."""
    if stat.S_ISDIR(old.lstat().st_mode):
        if not new.exists():
            new.mkdir()
            shutil.copystat(old, new)
        for entry in sorted(old.iterdir()):
            _twin(entry, new / entry.name)
    elif not os.path.lexists(new):
        try:
            os.link(old, new, follow_symlinks=False)
        except OSError:  # a disk without second names, or the file of somebody else
            if not (old.is_symlink() or old.is_file()):
                raise
            shutil.copy2(old, new, follow_symlinks=False)


def _remove(folder: Path) -> None:
    """Remove a folder, with folders in it that were made read-only."""
    for path, names, _ in os.walk(folder):
        for below in (Path(path, name) for name in names):
            if not below.is_symlink() and not os.access(below, os.R_OK | os.W_OK | os.X_OK):
                below.chmod(stat.S_IRWXU)
    shutil.rmtree(folder)


def _system() -> ctypes.CDLL | None:
    return ctypes.CDLL(None, use_errno=True) if sys.platform == "linux" else None


def _exchange(one: Path, other: Path) -> bool:
    """Let two folders change places at once; return False where the system or the disk cannot."""
    system = _system()
    if system is None or not hasattr(system, "renameat2"):
        return False
    if system.renameat2(_AT_FDCWD, os.fsencode(one), _AT_FDCWD, os.fsencode(other), _RENAME_EXCHANGE) == 0:
        return True
    code = ctypes.get_errno()
    if code in _NO_EXCHANGE:
        return False
    raise OSError(code, os.strerror(code), str(other))


def _settle(folder: Path) -> None:
    """Wait until all that was written has reached the disk, so that no cut of the power can thin out a new site.

    Raises:
        OSError: when the disk could not take it after all.
    """
    system = _system()
    if system is not None and hasattr(system, "syncfs"):
        handle = os.open(folder, os.O_RDONLY)
        try:
            if system.syncfs(handle) != 0:
                code = ctypes.get_errno()
                raise OSError(code, os.strerror(code), str(folder))
        finally:
            os.close(handle)
    elif hasattr(os, "sync"):
        os.sync()


def _settle_names(folder: Path) -> None:
    """Wait until a change of names in a folder has reached the disk, where a folder can be opened at all."""
    with suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
