"""The ephemeris: no network whatever happens, the same numbers from the store, and a store that may break."""

import hashlib
import os
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

from rigleaf.sky import ephemeris as module
from rigleaf.sky import store
from rigleaf.sky.ephemeris import DAY, ephemeris

WITHOUT_NETWORK = """
import socket, time

tried = []

def refused(*arguments, **more):
    tried.append(arguments)
    raise OSError("no network here")

socket.socket.connect = socket.socket.connect_ex = socket.getaddrinfo = socket.create_connection = refused
start = time.process_time()
from rigleaf.sky.night import nights
from rigleaf.sky.site import Site

site = Site(50.1, 7.2, 500.0, "Europe/Berlin")
found = nights(site, 2027)
assert found.moonless.sum() > 1000
took = time.process_time() - start
for year in (1950, 2030, 2099):
    assert nights(site, year).dark.sum() > 2000
from astropy.utils import data, iers
print(len(tried), took, iers.conf.auto_download, iers.conf.auto_max_age, data.conf.allow_internet)
"""


@pytest.fixture(scope="module")
def said(tmp_path_factory: pytest.TempPathFactory) -> list[str]:
    """What a fresh interpreter says that cannot reach any network and has an empty home; warnings are errors."""
    home = tmp_path_factory.mktemp("home")
    everywhere = {name: str(home) for name in ("HOME", "XDG_CACHE_HOME", "XDG_CONFIG_HOME", "USERPROFILE")}
    done = subprocess.run(
        [sys.executable, "-W", "error", "-c", WITHOUT_NETWORK],
        capture_output=True, text=True, check=False, env={**os.environ, **everywhere},
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    assert done.stderr == ""
    return done.stdout.split()


def test_nothing_ever_asks_for_the_network(said: list[str]) -> None:
    tried, _, *settings = said
    assert tried == "0"
    assert settings == ["False", "None", "False"]


def test_a_year_of_darkness_takes_less_than_three_seconds_cold(said: list[str]) -> None:
    assert float(said[1]) < 3.0


def test_no_part_of_astropy_that_needs_the_network_is_used(package: Path) -> None:
    forbidden = ("of_address", "of_site", "from_name", "get_icrs_coordinates", "IERS_Auto", "download_file", '"jpl"')
    sources = {path.name: path.read_text("utf-8") for path in package.rglob("*.py")}
    found = [f"{name}: {word}" for name, source in sources.items() for word in forbidden if word in source]
    assert found == []


def test_interpolation_meets_the_ephemeris_between_its_knots() -> None:
    found = ephemeris(2027)
    between = found.first + (np.arange(40, 1400, 100) + 0.5) * DAY / 4
    for own, body in ((found.sun_at(between), "sun"), (found.moon_at(between), "moon")):
        # The same numbers from knots that lie where these lie between.
        exact = module._from_astropy(float(between[0]), 2)[body][0]
        assert np.degrees(np.linalg.norm(own[0] - exact) / np.linalg.norm(exact)) * 3600 < 0.1


def test_the_store_gives_back_the_same_numbers(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    folder = tmp_path / "deep" / "store"
    first = ephemeris.__wrapped__(2026, folder)
    (kept,) = folder.iterdir()
    monkeypatch.setattr(module, "_from_astropy", lambda *_: pytest.fail("computed although it is stored"))
    again = ephemeris.__wrapped__(2026, folder)
    for name in ("sun", "moon", "ut1", "turn"):
        assert (getattr(first, name) == getattr(again, name)).all()
    assert kept.suffix == store.ENDING


SHAPES = {"a": (3, 2), "b": (1,)}
SOME = {"b": np.zeros(1), "a": np.arange(6.0).reshape(3, 2)}


@pytest.mark.parametrize(
    "content", [b"", b"PK\x03\x04 an archive", bytes(32), hashlib.sha256(b"{}\n").digest() + b"{}\n"]
)
def test_what_is_no_store_counts_as_empty(tmp_path: Path, content: bytes) -> None:
    (tmp_path / "some").write_bytes(content)
    assert store.read(tmp_path / "some", SHAPES) is None


def test_a_store_with_one_wrong_bit_or_cut_off_counts_as_empty(tmp_path: Path) -> None:
    path = tmp_path / "some"
    store.write(path, SOME)
    whole = path.read_bytes()
    found = store.read(path, SHAPES)
    assert found is not None
    assert {name: array.tolist() for name, array in found.items()} == {"a": [[0, 1], [2, 3], [4, 5]], "b": [0]}
    for at in range(len(whole)):
        path.write_bytes(whole[:at] + bytes([whole[at] ^ 1]) + whole[at + 1 :])
        assert store.read(path, SHAPES) is None
        path.write_bytes(whole[:at])
        assert store.read(path, SHAPES) is None


def test_a_store_of_other_arrays_counts_as_empty(tmp_path: Path) -> None:
    path = tmp_path / "some"
    store.write(path, SOME)
    assert store.read(path, {**SHAPES, "a": (2, 3)}) is None
    assert store.read(path, {"b": (1,)}) is None
    assert store.read(path, {**SHAPES, "c": (1,)}) is None
    assert store.read(tmp_path / "none", SHAPES) is None
    store.write(path, {**SOME, "b": np.array([np.nan])})
    assert store.read(path, SHAPES) is None


def test_where_nothing_can_be_written_nothing_is_stored(tmp_path: Path) -> None:
    blocked = tmp_path / "file"
    blocked.write_text("no folder")
    store.write(blocked / "some", {"a": np.zeros(1)})
    assert [path.name for path in tmp_path.iterdir()] == ["file"]


def test_a_failed_write_leaves_the_old_file_and_no_draft(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "some"
    store.write(path, {"a": np.zeros(2)})

    def full(*_: object, **__: object) -> None:
        raise OSError("disk full")

    monkeypatch.setattr(Path, "replace", full)
    store.write(path, {"a": np.ones(2)})
    assert [one.name for one in tmp_path.iterdir()] == ["some"]
    found = store.read(path, {"a": (2,)})
    assert found is not None
    assert found["a"].tolist() == [0.0, 0.0]


def test_files_are_named_after_what_they_were_computed_from(tmp_path: Path) -> None:
    names = {store.file_for(tmp_path, "some", *key).name for key in ((1, 2027), (2, 2027), (1, 2028), (1, "2027"))}
    assert len(names) == 4
    assert store.file_for(tmp_path, "some", 1, 2027) == store.file_for(tmp_path, "some", 1, 2027)
