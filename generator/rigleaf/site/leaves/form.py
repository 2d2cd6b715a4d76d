"""A leaf as bytes: plain JSON and packed texts, which can say something wrong but never run anything.

The bytes begin with their own digest, so that a damaged leaf is known as such, and never read in part.
"""

import hashlib
import json
import zlib
from collections.abc import Iterator, Sequence
from dataclasses import fields
from pathlib import Path
from typing import Any

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.figures import Figure, Finding, Study
from rigleaf.chapters.register import chapters
from rigleaf.chapters.study import RigStudy
from rigleaf.chapters.tracing import Input, Owner
from rigleaf.site.leaves.leaf import Leaf
from rigleaf.site.packed import Packed
from rigleaf.site.record import Heading, PageRecord, Picture, SearchEntry

FORM = 2
"""Of these bytes; part of every key, so that leaves of another form are never looked at."""

_DIGEST = hashlib.sha256().digest_size
_LENGTH = 8
_FAST = 1


class DamagedError(ValueError):
    """These bytes are no leaf, or not the one that is wanted."""


def encode(leaf: Leaf, key: str) -> bytes:
    """Return a leaf as bytes; ``key`` stands in them, so that one leaf cannot be taken for another."""
    inputs = {one: number for number, one in enumerate(sorted(set().union(*leaf.read.values()), key=repr))}
    texts = [_as_packed(page.article) for page in leaf.pages] + [_as_packed(content) for _, content in leaf.files]
    packed = [text.packed for text in texts]
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
        "texts": [[text.digest, len(data)] for text, data in zip(texts, packed, strict=True)],
    }
    plain = zlib.compress(json.dumps(head, ensure_ascii=False, separators=(",", ":")).encode("utf-8"), _FAST)
    body = b"".join((len(plain).to_bytes(_LENGTH, "big"), plain, *packed))
    return hashlib.sha256(body).digest() + body


class Reader:
    """Reads the leaves of one guide. What many of them say is held once."""

    def __init__(self, catalogue: Catalogue) -> None:
        self._catalogue = catalogue
        self._chapters = {chapter.id: chapter for chapter in chapters()}
        self._words: dict[str, str] = {}
        self._inputs: dict[Input, Input] = {}

    def decode(self, data: bytes, key: str, lies: Path | None = None) -> Leaf:
        """Return the leaf in some bytes.

        Args:
            data: the bytes.
            key: under which they were written.
            lies: the file that holds them, where articles then stay until they are asked for.

        Raises:
            DamagedError: when they are damaged, cut off, or were written under another key.
        """
        if hashlib.sha256(memoryview(data)[_DIGEST:]).digest() != data[:_DIGEST]:
            raise DamagedError("the digest does not hold")
        try:
            start = _DIGEST + _LENGTH
            end = start + int.from_bytes(data[_DIGEST:start], "big")
            head = json.loads(zlib.decompress(data[start:end]))
            if head["key"] != key:
                raise DamagedError("it was written under another key")
            return self._leaf(head, list(_texts(data, end, head["texts"], lies)))
        except (zlib.error, ValueError, TypeError, KeyError, IndexError, AttributeError, RecursionError) as error:
            raise DamagedError(str(error)) from error

    def _leaf(self, head: dict[str, Any], texts: list[Packed]) -> Leaf:
        studies = tuple((self._chapters[row[0]], self._study(*row)) for row in head["studies"])
        inputs = [self._input(owner, id_, path) for owner, id_, path in head["inputs"]]
        read = {
            self._same(chapter): tuple(inputs[number] for number in found) for chapter, found in head["read"].items()
        }
        pages = tuple(_record(page, text) for page, text in zip(head["pages"], texts, strict=False))
        files = tuple(zip(head["files"], texts[len(pages) :], strict=True))
        rig = self._catalogue.rigs[head["rig"]]
        return Leaf(RigStudy(Assembly(self._catalogue, rig), studies), read, pages, files)

    def _same(self, value: Any) -> Any:
        """Return a value with one string for all that are equal."""
        if isinstance(value, str):
            return self._words.setdefault(value, value)
        return tuple(map(self._same, value)) if isinstance(value, list) else value

    def _study(self, id_: str, figures: list[list[Any]], findings: list[list[Any]], why: str) -> Study:
        return Study(id_, tuple(map(self._figure, figures)), tuple(map(self._finding, findings)), not_asked=why)

    def _figure(self, row: list[Any]) -> Figure:
        return Figure(*map(self._same, row))

    def _finding(self, row: list[Any]) -> Finding:
        return Finding(*map(self._same, row))

    def _input(self, owner: Owner, id_: str, path: list[str | int]) -> Input:
        one = Input(owner, id_, tuple(path))
        if one not in self._inputs:
            one = Input(self._same(owner), self._same(id_), self._same(path))
            self._inputs[one] = one
        return self._inputs[one]


def _as_packed(content: str | bytes | Packed) -> Packed:
    if isinstance(content, Packed):
        return content
    return Packed.of(content if isinstance(content, bytes) else content.encode("utf-8"))


def _row(entry: Figure | Finding) -> list[Any]:
    return [getattr(entry, one.name) for one in fields(entry)]


def _page(page: PageRecord) -> dict[str, Any]:
    found = {one.name: getattr(page, one.name) for one in fields(page) if one.name != "article"}
    found["search"] = [page.search.text, page.search.tags, page.search.boost]
    found["contents"] = [[one.title, one.anchor, one.level] for one in page.contents]
    found["picture"] = [page.picture.path, page.picture.words] if page.picture else None
    return found


def _texts(data: bytes, start: int, sizes: Sequence[tuple[str, int]], lies: Path | None) -> Iterator[Packed]:
    for digest, size in sizes:
        yield Packed(digest, lies or data[start : start + size], start, size)
        start += size
    if start != len(data):
        raise DamagedError("its length is wrong")


def _record(page: dict[str, Any], article: Packed) -> PageRecord:
    text, tags, boost = page.pop("search")
    contents = tuple(Heading(*one) for one in page.pop("contents"))
    picture = page.pop("picture")
    return PageRecord(
        **page,
        article=article,
        search=SearchEntry(text, tuple(tags), boost),
        contents=contents,
        picture=Picture(*picture) if picture else None,
    )
