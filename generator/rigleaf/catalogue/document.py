"""YAML text to plain data, with the place of every key and value, under limits.

The text is read event by event with the C parser: nothing is constructed but text, numbers, truth
values, lists and mappings. Numbers are kept only in their plain decimal spelling; dates, times, numbers
with leading zeros or a power of ten and the words yes, no, on and off stay text, so that a key called
``on``, an asset tag such as ``007`` or a value such as ``12:30`` means what it says.
"""

import hashlib
import re
import sys
import zlib
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any, NamedTuple

import yaml

from rigleaf.catalogue.faults import Fault, Mark
from rigleaf.catalogue.syntax import control_characters, explain, place_behind, without_control_characters
from rigleaf.quantities import short

Path = tuple[str | int, ...]

MOST_BYTES = 1_000_000
MOST_DEPTH = 24
MOST_VALUES = 100_000
MOST_FAULTS = 200
"""Faults of one file that are told. Looking for cures takes time, and nobody mends more before looking again."""

_FAST = 1
_LONGEST_WORD = 40

_INT = re.compile(r"[-+]?(?:0|[1-9][0-9]{0,17})")
_FLOAT = re.compile(r"[-+]?(?:(?:0|[1-9][0-9]{0,17})\.[0-9]{0,40}|\.[0-9]{1,40})")
_NOT_FINITE = re.compile(r"(?:[-+]?\.inf|\.nan)", re.IGNORECASE)
_WORDS: dict[str, bool | None] = {
    **dict.fromkeys(("", "~", "null", "Null", "NULL"), None),
    **dict.fromkeys(("true", "True", "TRUE"), True),
    **dict.fromkeys(("false", "False", "FALSE"), False),
}
_TEXT_TAGS = ("!", "tag:yaml.org,2002:str")

# Where a value is noted that is read for its own faults only, such as the second of two equal keys.
_NOWHERE = -1

_Loader = getattr(yaml, "CSafeLoader", yaml.SafeLoader)


@dataclass(slots=True)
class Document:
    """One YAML file: its name, its data and where each value and key stands.

    ``marred`` holds the places of values that could not be read; what stands there in the data is only the
    text of the file. ``whole`` is false when reading stopped before the end of the file. ``digest`` is the SHA-256 of
    its bytes. ``models`` has the entries that were found sound, by place and model. ``raw`` are the bytes of the file,
    packed where the places were let go. ``lines`` has those in which entries begin.
    """

    file: str
    data: Any = None
    values: dict[Path, Mark] = field(default_factory=dict)
    keys: dict[Path, Mark] = field(default_factory=dict)
    faults: list[Fault] = field(default_factory=list)
    marred: set[Mark] = field(default_factory=set)
    whole: bool = True
    digest: str = ""
    models: dict[tuple[Path, type], Any] = field(default_factory=dict)
    raw: bytes = b""
    packed: bool = False
    lines: dict[Path, int] = field(default_factory=dict)

    def at(self, path: Path) -> Any:
        """Return the data at ``path``, which must exist."""
        data = self.data
        for step in path:
            data = data[step]
        return data

    def mark(self, path: Path, *, key: bool = False) -> Mark:
        """Return where ``path`` stands, or the nearest enclosing value that has a place."""
        if self.packed:
            self._find_again()
        if key and path in self.keys:
            return self.keys[path]
        while path and path not in self.values:
            path = path[:-1]
        return self.values.get(path, Mark(1, 1))

    def let_go(self) -> None:
        """Hold the places of values no longer: they take much more room than the text, and few are asked for."""
        if self.raw and not self.packed:
            self.raw, self.packed = zlib.compress(self.raw, _FAST), True
            self.values, self.keys = {}, {}

    def _find_again(self) -> None:
        found = read_document(self.file, zlib.decompress(self.raw))
        self.values, self.keys, self.raw, self.packed = found.values, found.keys, found.raw, False

    def line(self, path: Path) -> int:
        """Return the line in which an entry begins; known even after places were let go, for every reading asks."""
        if path not in self.lines:
            self.lines[path] = self.mark(path).line
        return self.lines[path]

    def report(self, path: Path, code: str, message: str, *, key: bool = False) -> None:
        """Add a fault at ``path``, unless reading has found one at the same place already.

        Raises:
            TooManyFaultsError: when the file now has as many as are told at once.
        """
        mark = self.mark(path, key=key)
        if mark not in self.marred:
            self.faults.append(Fault(self.file, *mark, code, message))
            if len(self.faults) >= MOST_FAULTS:
                raise TooManyFaultsError


class TooManyFaultsError(Exception):
    """A file has as many faults as are told at once."""


class _TooMuchError(Exception):
    """The text passes a limit; reading stops."""


class _Anchored(NamedTuple):
    """A value that an alias may repeat, and how many values lie in it."""

    data: object
    size: int


class _Builder:
    """Builds one document from parser events."""

    def __init__(self, document: Document, text: str) -> None:
        self.document = document
        self.events: Iterator[yaml.Event] = yaml.parse(text, Loader=_Loader)
        self.anchors: dict[str, _Anchored] = {}
        self.count = 0

    def build(self) -> None:
        documents = 0
        for event in self.events:
            if isinstance(event, yaml.DocumentStartEvent):
                documents += 1
                if documents > 1:
                    message = "a second document begins here; keep one document in a file"
                    self._fault(event, "documents", message)
                    self.document.whole = False
                    return
                self.document.data = self._value(next(self.events), ())

    def _fault(self, event: yaml.Event, code: str, message: str) -> None:
        place = _place(event)
        self.document.faults.append(Fault(self.document.file, *place, code, message))
        self.document.marred.add(place)
        if len(self.document.faults) >= MOST_FAULTS:
            raise _TooMuchError

    def _counted(self, event: yaml.Event, more: int = 1) -> None:
        self.count += more
        if self.count > MOST_VALUES:
            message = f"the file holds more than {MOST_VALUES:,} values (aliases counted)"
            self._fault(event, "too-large", message)
            raise _TooMuchError

    def _value(self, event: yaml.Event, path: Path) -> object:
        self.document.values[path] = _place(event)
        if isinstance(event, yaml.AliasEvent):
            return self._alias(event)
        self._counted(event)
        if len(path) > MOST_DEPTH:
            self._fault(event, "too-deep", f"values are nested more than {MOST_DEPTH} deep")
            raise _TooMuchError
        before = self.count
        value: object
        if isinstance(event, yaml.ScalarEvent):
            value = self._scalar(event)
        elif isinstance(event, yaml.SequenceStartEvent):
            self._no_tag(event, event.tag)
            value = self._sequence(path)
        else:
            assert isinstance(event, yaml.MappingStartEvent)  # noqa: S101 - the parser yields no other event here
            self._no_tag(event, event.tag)
            value = self._mapping(path)
        if event.anchor:
            self.anchors[event.anchor] = _Anchored(value, self.count - before + 1)
        return value

    def _alias(self, event: yaml.AliasEvent) -> object:
        anchored = self.anchors.get(event.anchor or "")
        if anchored is None:
            message = f"nothing before this is marked '&{short(event.anchor)}'; write the value out"
            self._fault(event, "alias", message)
            return f"*{event.anchor}"
        self._counted(event, anchored.size)
        return anchored.data

    def _no_tag(self, event: yaml.Event, tag: str | None) -> None:
        if tag is not None:
            shown = short(tag.replace("tag:yaml.org,2002:", "!!"))
            self._fault(event, "tag", f"the tag '{shown}' is not accepted; write plain values only")

    def _sequence(self, path: Path) -> list[object]:
        items: list[object] = []
        while not isinstance(event := next(self.events), yaml.SequenceEndEvent):
            items.append(self._value(event, (*path, len(items))))
        return items

    def _mapping(self, path: Path) -> dict[str, object]:
        found: dict[str, object] = {}
        while not isinstance(event := next(self.events), yaml.MappingEndEvent):
            key = self._key(event, path)
            keep = key is not None and key not in found
            where = (*path, key if key is not None and keep else _NOWHERE)
            value = self._value(next(self.events), where)
            if key is not None and keep:
                self.document.keys[where] = _place(event)
                found[key] = value
            elif key is not None:
                first = self.document.keys[*path, key].line
                message = f"the key '{short(key)}' is given twice; the first is in line {first}"
                self._fault(event, "duplicate-key", message)
        return found

    def _key(self, event: yaml.Event, path: Path) -> str | None:
        """Return the key, or None when it is reported and its value is not to be kept."""
        if not isinstance(event, yaml.ScalarEvent):
            self._fault(event, "key", "a key must be a word, not a list, a mapping or an alias")
            self._value(event, (*path, _NOWHERE))
            return None
        key = self._scalar(event)
        if not isinstance(key, str):
            self._fault(event, "key", f"the key '{short(event.value)}' is not text; put it in quotes")
            return None
        if key == "<<" and not event.style:
            self._fault(event, "merge", "merge keys ('<<') are not accepted; write the values out")
            return None
        if event.anchor:
            self.anchors[event.anchor] = _Anchored(key, 1)
        return key

    def _scalar(self, event: yaml.ScalarEvent) -> str | int | float | bool | None:
        text: str = event.value
        if len(text) <= _LONGEST_WORD:  # keys, ids and quantities stand in a guide again and again; each is held once
            text = sys.intern(text)
        for _, name in control_characters(text):  # only those written as escapes are left here
            self._fault(event, "control", f"the text holds the invisible character {name}; remove it")
        if event.tag is not None and event.tag not in _TEXT_TAGS:
            self._no_tag(event, event.tag)
        if event.style or event.tag is not None:  # quoted, block or tagged text is text
            return text
        if is_not_finite(text):
            self._fault(event, "not-finite", f"'{text}' is not a finite number")
            return text
        return bare_word(text)


def is_not_finite(text: str) -> bool:
    """Say whether a word without quotes is infinity or no number at all, which are refused."""
    return _NOT_FINITE.fullmatch(text) is not None


def bare_word(text: str) -> str | int | float | bool | None:
    """Return what a word without quotes means: nothing, a truth value, a number in plain decimals, or itself."""
    if text in _WORDS:
        return _WORDS[text]
    if _INT.fullmatch(text):
        return int(text)
    return float(text) if _FLOAT.fullmatch(text) else text


def _place(event: yaml.Event) -> Mark:
    mark = event.start_mark
    return Mark(mark.line + 1, mark.column + 1) if mark else Mark(1, 1)


def read_document(file: str, raw: bytes) -> Document:
    """Read one YAML file.

    Args:
        file: the name that faults show, relative to the guide's folder.
        raw: the bytes of the file, UTF-8, with or without a byte order mark.

    Returns:
        The document; whatever is wrong with the text is in its ``faults`` and no exception leaves here.
    """
    document = Document(file, digest=hashlib.sha256(raw).hexdigest(), raw=raw)
    if len(raw) > MOST_BYTES:
        message = f"the file is larger than {MOST_BYTES:,} bytes; split it"
        return _stopped(document, Mark(1, 1), "too-large", message)
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        good = error.object[: error.start].decode("utf-8")  # error.object lacks the byte order mark
        message = f"the byte 0x{error.object[error.start]:02X} is not UTF-8; save the file as UTF-8"
        return _stopped(document, place_behind(good), "encoding", message)
    for place, name in control_characters(text):
        message = f"an invisible character ({name}) stands here; remove it"
        document.faults.append(Fault(file, *place, "control", message))
    text = without_control_characters(text)
    try:
        _Builder(document, text).build()
    except _TooMuchError:
        document.whole = False
    except yaml.YAMLError as error:
        place, message = explain(error, text)
        return _stopped(document, place, "syntax", message)
    return document


def _stopped(document: Document, place: Mark, code: str, message: str) -> Document:
    document.faults.append(Fault(document.file, *place, code, message))
    document.whole = False
    return document
