"""Readers of what was made before: what a build has left beside the guide, and pages that people write by hand.

A file that carries its own digest gets the right one here, so that the reading goes on behind it.
"""

import hashlib
import json
import zlib
from collections.abc import Iterator
from contextlib import suppress
from functools import cache
from io import BytesIO
from random import Random

import numpy as np

from rigleaf.catalogue.reading import read_catalogue
from rigleaf.engine.inline import Moved, is_of_moved
from rigleaf.engine.ledger import FORM, Ledger, Written
from rigleaf.site.leaves.form import DamagedError, Reader, encode
from rigleaf.site.leaves.leaf import Maker, around
from rigleaf.site.lent.availability import lending_of
from rigleaf.site.link_facts import Facts, facts_of
from rigleaf.site.typeset.addresses import Addresses
from rigleaf.sky import store as sky_store
from tests.hostile.mutations import gnaw
from tests.hostile.trees import change_json
from tests.hostile.ways import Way, folder
from tests.site.yaml_guide import write_guide


@cache
def _leaf() -> tuple[Reader, bytes]:
    with folder() as root:
        catalogue = read_catalogue(write_guide(root))
        given = around(catalogue, Addresses(False), lending_of(catalogue), field_copy=True)
        return Reader(), encode(Maker(given).make("rig"), "key")[32:]


def _under_digest(body: bytes) -> bytes:
    return hashlib.sha256(body).digest() + body


def read_leaf(data: bytes) -> None:
    """Read a leaf whose digest holds, whatever it says."""
    with suppress(DamagedError):
        _leaf()[0].decode(_under_digest(data), "key")


def change_leaf(data: bytes, _other: bytes, random: Random) -> bytes:
    """Change the head of a leaf, and keep its texts behind it."""
    end = 8 + int.from_bytes(data[:8], "big")
    try:
        plain = zlib.decompressobj().decompress(data[8:end], 1 << 20)
        head = zlib.compress(change_json(json.loads(plain), json.loads(plain), random), 1)
    except (zlib.error, ValueError, RecursionError):
        return gnaw(data, random)
    return b"".join((len(head).to_bytes(8, "big"), head, data[end:]))


def read_ledger(data: bytes) -> None:
    """Read a ledger whose digest holds, whatever it says: no file would be written where none of its kind stands."""
    ledger = Ledger.decoded(BytesIO(data + hashlib.sha256(data).digest()))
    used = {name for page in ledger.pages.values() for name in page.moved}
    assert used <= {*ledger.moved}
    assert all(map(is_of_moved, ledger.moved))


def change_ledger(data: bytes, _other: bytes, random: Random) -> bytes:
    """Change one line of a ledger."""
    lines = data.split(b"\n")
    number = random.randrange(len(lines))
    try:
        lines[number] = change_json(json.loads(lines[number]), {"form": FORM, "pages": [[1, 2, 3]]}, random)
    except (ValueError, RecursionError):
        return gnaw(data, random)
    return b"\n".join(lines)


def _ledgers() -> Iterator[bytes]:
    script = "assets/rigleaf/inline/0123456789ab.js"
    pages = {f"{name}.html": Written("key", (1, 2, 3), (script,) * number) for number, name in enumerate("ab")}
    for ledger in (Ledger(pages, {script: b"let a"}, dict.fromkeys(pages, b"facts")), Ledger()):
        yield b"".join(ledger.encoded())[:-32]


def read_arrays(data: bytes) -> None:
    """Read a file of reckoned arrays, with a digest that holds or with that of its own."""
    for raw in (data, _under_digest(data)):
        with folder() as root:
            (root / "a").write_bytes(raw)
            found = sky_store.read(root / "a", {"a": (2, 3), "b": (4,)})
        assert found is None or {name: one.shape for name, one in found.items()} == {"a": (2, 3), "b": (4,)}


def _arrays() -> Iterator[bytes]:
    with folder() as root:
        sky_store.write(root / "a", {"a": np.ones((2, 3)), "b": np.arange(4.0)})
        whole = (root / "a").read_bytes()
    yield from (whole, whole[32:])


def read_markup(data: bytes) -> None:
    """Look for the links of a page, a drawing or a sheet, and take scripts and styles out of it."""
    ending = (".html", ".svg", ".css")[data[0] % 3 if data else 0]
    facts = facts_of(f"a/b{ending}", data[1:])
    assert facts is not None
    assert Facts.unpacked(facts.packed()) == facts
    moved = Moved()
    moved.out_of(data[1:].decode("utf-8", "replace"), "../", "a")
    assert all(isinstance(content, bytes) for content in moved.files.values())


def _markup() -> Iterator[bytes]:
    page = (
        "<!doctype html><html><head><title>A</title><style>a{background:url(b.png)}</style></head><body onload=a()>"
        "<h1 id=a style='color:red'>A</h1><a href='../c.html#d' name=e>f</a><img srcset='a.png 1x, b.png 2x'>"
        "<script>let a</script><svg><use xlink:href='#a'/></svg><meta http-equiv=refresh content='0;url=a.html'></body>"
    )
    drawing = (
        "<?xml-stylesheet href='a.css'?><svg xmlns='http://www.w3.org/2000/svg'><a href='b'/><g fill='url(#a)'/></svg>"
    )
    sheet = "@import 'a.css';a{background:url( \"b.png\" )}/* c */@font-face{src:url(c.woff2)}"
    yield from (bytes([number]) + text.encode() for number, text in enumerate((page, drawing, sheet)))


MADE: dict[str, Way] = {
    "leaf": Way(read_leaf, lambda: [_leaf()[1]], change_leaf, most=1 << 19),
    "ledger": Way(read_ledger, _ledgers, change_ledger, seconds=2),
    "arrays": Way(read_arrays, _arrays, seconds=2, most=1 << 12),
    "markup": Way(read_markup, _markup, seconds=2, most=1 << 12),
}
