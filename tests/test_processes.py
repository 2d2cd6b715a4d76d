"""Processes that help leave nothing behind, however they or the one that started them end."""

import os
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Callable
from concurrent.futures import Executor, Future
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rigleaf import processes
from rigleaf.processes import apart, copies, may_be_copied, shared

copied = pytest.mark.skipif(sys.platform != "linux", reason="only where processes are copied")


@pytest.fixture
def alone(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let this process be copied though other tests may have left it with threads, as a build has none."""
    monkeypatch.setattr(processes, "may_be_copied", lambda: True)


STARTS = """
import time
from rigleaf.processes import newcomers
if __name__ == "__main__":
    with newcomers(1, print, "private") as pool:
        pool.submit(int, "1").result()
        print("begun", flush=True)
        time.sleep(600)
"""
AT_MOST_S = 30.0


def test_what_newcomers_are_given_goes_with_a_process_that_is_killed(tmp_path: Path) -> None:
    script, folder = tmp_path / "starts.py", tmp_path / "temporary"
    script.write_text(STARTS, encoding="utf-8")
    folder.mkdir()
    around = {**os.environ, **dict.fromkeys(("TMPDIR", "TEMP", "TMP"), str(folder))}
    command = [sys.executable, str(script)]
    with subprocess.Popen(command, env=around, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL) as starter:
        assert starter.stdout is not None
        assert [starter.stdout.readline().strip() for _ in range(2)] == [b"private", b"begun"]
        assert [path.read_bytes() for path in folder.rglob("given")]
        starter.kill()
    end = time.monotonic() + AT_MOST_S
    while (left := list(folder.rglob("given"))) and time.monotonic() < end:
        time.sleep(0.05)
    assert left == []


@copied
@pytest.mark.usefixtures("alone")
def test_what_is_made_apart_is_made_by_a_copy_that_has_gone() -> None:
    there, word = apart(lambda: (os.getpid(), "möglich \ud800"))
    assert word == "möglich \ud800"
    assert there != os.getpid()
    with pytest.raises(ProcessLookupError):
        os.kill(there, 0)


@copied
@pytest.mark.usefixtures("alone")
def test_a_copy_may_have_copies_of_its_own() -> None:
    """Though it has a thread that waits for the end of its parent."""

    def make() -> tuple[bool, int]:
        with copies(1) as pool:
            return may_be_copied(), pool.submit(os.getppid).result()

    may, parent = apart(make)
    assert may
    assert parent != os.getpid()


def test_where_there_are_threads_nothing_is_made_apart() -> None:
    stop = threading.Event()
    thread = threading.Thread(target=stop.wait)
    thread.start()
    try:
        assert apart(os.getpid) == os.getpid()
    finally:
        stop.set()
        thread.join()


@pytest.mark.usefixtures("alone")
@copied
def test_what_a_copy_raises_is_raised_here_with_the_place_where_it_happened() -> None:
    def breaks() -> None:
        raise ValueError("of this")

    with pytest.raises(ValueError, match="of this") as caught:
        apart(breaks)
    where = "".join(getattr(caught.value, "__notes__", ())) + str(caught.traceback[-1])
    assert "breaks" in where


class UnheardError(Exception):
    """An error that cannot be read again."""

    def __init__(self, one: str, other: str) -> None:
        super().__init__(one + other)


@copied
@pytest.mark.usefixtures("alone")
@pytest.mark.parametrize(
    "end",
    ["killed", "refused", "no file", "an error that cannot be told", "a value that cannot be told", "told in part"],
)
def test_where_a_copy_does_not_tell_this_process_makes_it(
    end: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]
) -> None:
    here = os.getpid()

    def make() -> object:
        if os.getpid() != here:
            if end == "a value that cannot be told":
                return make
            if end == "an error that cannot be told":
                raise UnheardError("a", "b")
            if end == "told in part":
                os._exit(0)
            os.kill(os.getpid(), signal.SIGKILL)
        return os.getpid()

    if end == "refused":

        def refuse() -> None:
            raise OSError("no more processes")

        monkeypatch.setattr(os, "fork", refuse)
    assert apart(make, tmp_path / "none" if end == "no file" else tmp_path) == here
    assert list(tmp_path.iterdir()) == []
    assert capfd.readouterr().err == ""


@copied
@pytest.mark.usefixtures("alone")
@pytest.mark.parametrize("both", [True, False])
def test_a_copy_ends_without_a_word_when_the_work_is_broken_off(
    both: bool, tmp_path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    """A terminal breaks off both, others only the one that they have started."""
    before = signal.signal(signal.SIGINT, signal.default_int_handler)  # what runs in the background may ignore it
    noted = tmp_path / "pid"

    def make() -> None:
        noted.write_text(str(os.getpid()))
        os.kill(os.getppid(), signal.SIGINT)
        if not both:
            signal.signal(signal.SIGINT, signal.SIG_IGN)
        else:
            signal.raise_signal(signal.SIGINT)
        time.sleep(AT_MOST_S)

    try:
        with pytest.raises(KeyboardInterrupt):
            apart(make)
    finally:
        signal.signal(signal.SIGINT, before)
    with pytest.raises(ProcessLookupError):
        os.kill(int(noted.read_text()), 0)
    assert capfd.readouterr().err == ""


class Asked(Future[Any]):
    """What a helper was asked for: it is at work until it has been looked at some times."""

    def __init__(self, made: Any, looks: int) -> None:
        super().__init__()
        self.set_result(made)
        self._looks = looks

    def done(self) -> bool:
        self._looks -= 1
        return self._looks < 0


@given(st.integers(1, 3), st.lists(st.integers(0, 5), max_size=30))
def test_of_several_processes_each_does_what_the_others_do_not(helpers: int, looks: list[int]) -> None:
    """However long helpers take: nothing is done twice, nothing is left, and who waits for them works."""
    there: list[int] = []

    class Pool(Executor):
        def submit(self, work: Callable[..., Any], /, *given: Any, **_: Any) -> Future[Any]:
            there.extend(given)
            return Asked(work(*given), looks[given[0]])

    done: list[int] = []

    def work(part: int) -> int:
        done.append(part)
        return part

    made = list(shared(Pool(), helpers, work, range(len(looks))))
    assert sorted(made) == sorted(done) == list(range(len(looks)))
    assert there[: 2 * helpers] == list(range(min(2 * helpers, len(looks))))
    if all(looks) and len(looks) > 2 * helpers:
        assert len(there) < len(looks), "it works as well"
