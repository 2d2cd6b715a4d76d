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

from rigleaf.chapters.figures import Figure, Finding
from rigleaf.site.leaves.leaf import Found, Leaf
from rigleaf.site.packed import Packed
from rigleaf.site.record import Heading, PageRecord, Picture, SearchEntry
from rigleaf.site.spool import Spool

FORM = 3
"""Of these bytes; part of every key, so that leaves of another form are never looked at."""

_DIGEST = hashlib.sha256().digest_size
_LENGTH = 8
_FAST = 1


class DamagedError(ValueError):
    """These bytes are no leaf, or not the one that is wanted."""


def encode(leaf: Leaf, key: str) -> bytes:
    """Return a leaf as bytes; ``key`` stands in them, so that one leaf cannot be taken for another."""
    found = leaf.found if isinstance(leaf.found, Packed) else Packed.of(_plain(_rows(leaf.found)))
    texts = [found, *(_as_packed(page.article) for page in leaf.pages), *(_as_packed(one) for _, one in leaf.files)]
    packed = [text.packed for text in texts]
    head = {
        "key": key,
        "rig": leaf.rig,
        "pages": [_page(page) for page in leaf.pages],
        "files": [path for path, _ in leaf.files],
        "texts": [[text.digest, len(data)] for text, data in zip(texts, packed, strict=True)],
    }
    plain = zlib.compress(_plain(head), _FAST)
    body = b"".join((len(plain).to_bytes(_LENGTH, "big"), plain, *packed))
    return hashlib.sha256(body).digest() + body


def _plain(data: object) -> bytes:
    return json.dumps(data, ensure_ascii=False, separators=(",", ":")).encode("utf-8")


def _rows(found: Found) -> dict[str, Any]:
    inputs = {one: number for number, one in enumerate(sorted(set().union(*found.read.values()), key=repr))}
    return {
        "studies": [
            [chapter.id, [_row(one) for one in study.figures], [_row(one) for one in study.findings], study.not_asked]
            for chapter, study in found.studies
        ],
        "inputs": [[one.owner, one.id, one.path] for one in inputs],
        "read": {chapter: sorted(inputs[one] for one in listed) for chapter, listed in found.read.items()},
    }


class Reader:
    """Reads the leaves of one guide. What many of them say is held once."""

    def __init__(self) -> None:
        self._same: dict[Any, Any] = {}

    def decode(self, data: bytes, key: str, lies: Path | Spool | None = None) -> Leaf:
        """Return the leaf in some bytes.

        Args:
            data: the bytes.
            key: under which they were written.
            lies: the file that holds them, where texts then stay until they are asked for, or a spool to put them on.

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
            found, *texts = _texts(data, end, head["texts"], lies)
            pages = tuple(self._record(page, text) for page, text in zip(head["pages"], texts, strict=False))
            files = tuple(zip(head["files"], texts[len(pages) :], strict=True))
            return Leaf(head["rig"], found, pages, files)
        except (zlib.error, ValueError, TypeError, KeyError, IndexError, AttributeError, RecursionError) as error:
            raise DamagedError(str(error)) from error

    def _once(self, value: Any) -> Any:
        return self._same.setdefault(value, value)

    def _record(self, page: dict[str, Any], article: Packed) -> PageRecord:
        text, tags, boost = page.pop("search")
        contents = self._once(tuple(self._once(Heading(*one)) for one in page.pop("contents")))
        picture = page.pop("picture")
        return PageRecord(
            **page | {"section": self._once(page["section"])},
            article=article,
            search=SearchEntry(text, tuple(tags), boost),
            contents=contents,
            picture=Picture(*picture) if picture else None,
        )


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


def _texts(
    data: bytes, start: int, sizes: Sequence[tuple[str, int]], lies: Path | Spool | None
) -> Iterator[Packed]:  # fmt: skip
    before = lies.add(data) if isinstance(lies, Spool) else 0
    for digest, size in sizes:
        yield Packed(digest, lies or data[start : start + size], before + start, size)
        start += size
    if start != len(data):
        raise DamagedError("its length is wrong")
