"""`mkdocs serve`: an edit of the YAML shows on the page, and a fault does not end the server."""

import os
import signal
import socket
import subprocess
import sys
import time
import urllib.request
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from tests.conftest import quiet_environment
from tests.engine.building import configured, plugin_of, project

PATIENCE_S = 60.0


@pytest.mark.parametrize("rigs", ["rigs", "docs/rigs"])
def test_the_folder_of_yaml_is_watched_once(rigs: str, tmp_path: Path) -> None:
    from tests.site.yaml_guide import write_guide

    folder = project(tmp_path, plugins=[{"rigleaf": {"rigs": rigs}}])
    write_guide(folder / rigs)
    config = configured(folder)
    for _ in range(2):
        config.plugins.on_config(config)
    assert [path for path in config.watch if Path(path) == plugin_of(config).root] == [str(folder / rigs)]


@pytest.fixture
def served(tmp_path: Path) -> Iterator[tuple[Path, str, Path]]:
    """A project that `mkdocs serve` serves, its address, and the file with what the server says."""
    folder = project(tmp_path, site_url="")
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    said = tmp_path / "said.txt"
    with said.open("wb") as log:
        server = subprocess.Popen(
            [sys.executable, "-m", "mkdocs", "serve", "--dev-addr", f"127.0.0.1:{port}"],
            cwd=folder,
            env=quiet_environment() | {"PYTHONUNBUFFERED": "1"},
            stdout=log,
            stderr=subprocess.STDOUT,
        )
    try:
        yield folder, f"http://127.0.0.1:{port}/", said
    finally:
        server.send_signal(signal.SIGINT if os.name != "nt" else signal.SIGTERM)
        try:
            server.wait(10)
        except subprocess.TimeoutExpired:
            server.kill()
            server.wait()


def until(look: Callable[[], str], text: str) -> None:
    """Wait until what one looks at holds the text."""
    end = time.monotonic() + PATIENCE_S
    seen = ""
    while time.monotonic() < end:
        seen = look()
        if text in seen:
            return
        time.sleep(0.1)
    pytest.fail(f"{text!r} did not come up within {PATIENCE_S:.0f} s; there was: {seen[-2000:]}")


def page(address: str) -> str:
    """The page at an address, empty while nobody answers."""
    try:
        with urllib.request.urlopen(address, timeout=2) as answer:  # noqa: S310 - this machine's own server
            text: str = answer.read().decode("utf-8")
            return text
    except OSError:
        return ""


def test_an_edit_under_rigs_is_built_again_and_a_fault_can_be_mended(
    served: tuple[Path, str, Path],
) -> None:
    folder, home, said = served

    def shown() -> str:
        return page(f"{home}rigs/rig/")

    rig = folder / "rigs" / "rig.yml"
    text = rig.read_text("utf-8")
    until(shown, "<h1>Rig</h1>")
    rig.write_text(text.replace("name: Rig", "name: Renamed"), encoding="utf-8")
    until(shown, "<h1>Renamed</h1>")
    rig.write_text("id: rig\nnmae: Broken\n", encoding="utf-8")
    # Until it is mended the server answers nobody.
    until(lambda: said.read_text("utf-8", errors="replace"), "unknown key 'nmae'")
    rig.write_text(text.replace("name: Rig", "name: Mended"), encoding="utf-8")
    until(shown, "<h1>Mended</h1>")
