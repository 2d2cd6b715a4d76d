"""A leaf as bytes: plain JSON and compressed texts, which can say something wrong but never run anything.

The bytes begin with their own digest, so that a damaged leaf is known as such, and never read in part.
"""

import hashlib
import json
import zlib
from collections.abc import Sequence
from dataclasses import fields
from typing import Any

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.figures import Figure, Finding, Study
from rigleaf.chapters.register import chapters
from rigleaf.chapters.study import RigStudy
from rigleaf.chapters.tracing import Input
from rigleaf.site.leaves.leaf import Leaf
from rigleaf.site.record import Heading, PageRecord, Picture, SearchEntry

FORM = 1
"""Of these bytes; part of every key, so that leaves of another form are never looked at."""

_DIGEST = hashlib.sha256().digest_size
_FAST = 1


class DamagedError(ValueError):
    """These bytes are no leaf, or not the one that is wanted."""


def encode(leaf: Leaf, key: str) -> bytes:
    """Return a leaf as bytes; ``key`` stands in them, so that one leaf cannot be taken for another."""
    inputs = {one: number for number, one in enumerate(sorted(set().union(*leaf.read.values()), key=repr))}
    texts = [page.html.encode("utf-8") for page in leaf.pages] + [content for _, content in leaf.files]
    head = {
        "key": key,
        "rig": leaf.study.rig.id,
        "studies": [
            [chapter.id, [_row(one) for one in found.figures], [_row(one) for one in found.findings], found.not_asked]
            for chapter, found in leaf.study.studies
        ],
        "inputs": [[one.owner, one.id, one.path] for one in inputs],
        "read": {chapter: sorted(inputs[one] for one in found) for chapter, found in leaf.read.items()},
        "pages": [_page(page) for page in leaf.pages],
        "files": [path for path, _ in leaf.files],
        "sizes": [len(text) for text in texts],
    }
    plain = json.dumps(head, ensure_ascii=False, separators=(",", ":")).encode("utf-8")
    body = zlib.compress(len(plain).to_bytes(8, "big") + plain + b"".join(texts), _FAST)
    return hashlib.sha256(body).digest() + body


def decode(data: bytes, key: str, catalogue: Catalogue) -> Leaf:
    """Return the leaf in some bytes.

    Raises:
        DamagedError: when they are damaged, cut off, or were written under another key.
    """
    body = data[_DIGEST:]
    if hashlib.sha256(body).digest() != data[:_DIGEST]:
        raise DamagedError("the digest does not hold")
    try:
        plain = zlib.decompress(body)
        size = int.from_bytes(plain[:8], "big")
        head = json.loads(plain[8 : 8 + size])
        if head["key"] != key:
            raise DamagedError("it was written under another key")
        return _leaf(head, _texts(plain, 8 + size, head["sizes"]), catalogue)
    except (zlib.error, ValueError, TypeError, KeyError, IndexError) as error:
        raise DamagedError(str(error)) from error


def _row(entry: Figure | Finding) -> list[Any]:
    return [getattr(entry, one.name) for one in fields(entry)]


def _page(page: PageRecord) -> dict[str, Any]:
    found = {one.name: getattr(page, one.name) for one in fields(page) if one.name != "html"}
    found["search"] = [page.search.text, page.search.tags, page.search.boost]
    found["contents"] = [[one.title, one.anchor, one.level] for one in page.contents]
    found["picture"] = [page.picture.path, page.picture.words] if page.picture else None
    return found


def _texts(plain: bytes, start: int, sizes: Sequence[int]) -> list[bytes]:
    found = []
    for size in sizes:
        found.append(plain[start : start + size])
        start += size
    if start != len(plain):
        raise DamagedError("its length is wrong")
    return found


def _leaf(head: dict[str, Any], texts: list[bytes], catalogue: Catalogue) -> Leaf:
    known = {chapter.id: chapter for chapter in chapters()}
    studies = tuple(
        (known[id_], Study(id_, tuple(Figure(*row) for row in figures), tuple(map(_finding, findings)), not_asked=why))
        for id_, figures, findings, why in head["studies"]
    )
    inputs = [Input(owner, id_, tuple(path)) for owner, id_, path in head["inputs"]]
    read = {chapter: frozenset(inputs[number] for number in found) for chapter, found in head["read"].items()}
    pages = [_record(page, text.decode("utf-8")) for page, text in zip(head["pages"], texts, strict=False)]
    files = zip(head["files"], texts[len(pages) :], strict=True)
    return Leaf(RigStudy(Assembly(catalogue, catalogue.rigs[head["rig"]]), studies), read, tuple(pages), tuple(files))


def _finding(row: list[Any]) -> Finding:
    values: list[Any] = [tuple(value) if isinstance(value, list) else value for value in row]
    return Finding(*values)


def _record(page: dict[str, Any], html: str) -> PageRecord:
    text, tags, boost = page.pop("search")
    contents = tuple(Heading(*one) for one in page.pop("contents"))
    picture = page.pop("picture")
    return PageRecord(
        **page,
        html=html,
        search=SearchEntry(text, tuple(tags), boost),
        contents=contents,
        picture=Picture(*picture) if picture else None,
    )
