"""Processes that help leave nothing behind, however the one that started them ends."""

import os
import subprocess
import sys
import time
from pathlib import Path

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
