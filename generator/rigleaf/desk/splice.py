"""New lines in a YAML file that stands already: every line that is there stays as it is, comments and all.

Nothing is written anew from data, since that would move comments and change the way things are written. New text is
put in, and what has come about is read again: unless it says exactly what was wanted, the splice is refused.
"""

from collections.abc import Mapping, Sequence
from typing import Any

import yaml

from rigleaf.catalogue.document import read_document
from rigleaf.desk.errors import DeskError
from rigleaf.desk.yaml_text import indented, write_list, write_mapping, write_value

_Loader = getattr(yaml, "CSafeLoader", yaml.SafeLoader)


class SpliceError(DeskError):
    """The file is laid out in a way in which nothing can be put in without touching what is there."""


def append_entries(content: bytes, entries: Sequence[Mapping[str, Any]]) -> bytes:
    """Return a file that is a list of entries with more of them at its end.

    Args:
        content: the file, which must read without faults; it may be empty or hold comments only.
        entries: what comes behind the last entry.

    Raises:
        SpliceError: when the list stands in brackets, or something follows it.
    """
    before = _data(content)
    text, end = _text(content)
    root = _composed(text)
    if root is not None and (not isinstance(root, yaml.SequenceNode) or root.flow_style):
        raise SpliceError("its list does not begin each entry with '- ' in a line of its own")
    by = root.start_mark.column if root is not None else 0
    gap = "" if not text.strip() else "\n" if text.endswith("\n") else "\n\n"
    new = text + gap + indented(write_list(entries), by)
    return _checked(new, end, [*(before or []), *entries], content)


def add_fields(content: bytes, more: Mapping[int, Mapping[str, Any]]) -> bytes:
    """Return a file that is a list of entries with more fields in some of them, behind those that they have.

    Args:
        content: the file, which must read without faults.
        more: the new fields by the entry's place in the list; a mapping that stands there already is added to.

    Raises:
        SpliceError: when an entry cannot take fields without a change to its lines.
    """
    text, end = _text(content)
    root = _composed(text)
    if not isinstance(root, yaml.SequenceNode):
        raise SpliceError("it is not a list of entries")
    wanted = _unshared(_data(content))
    pieces: list[tuple[int, str]] = []
    for index, fields in more.items():
        pieces += _pieces(text, root.value[index], fields, _next_start(root, index, text))
        _merge(wanted[index], fields)
    for place, piece in sorted(pieces, reverse=True):
        text = text[:place] + piece + text[place:]
    return _checked(text, end, wanted, content)


def _unshared(data: Any) -> Any:
    """Return a copy in which what an alias repeats stands for itself each time."""
    if isinstance(data, dict):
        return {key: _unshared(value) for key, value in data.items()}
    return [_unshared(value) for value in data] if isinstance(data, list) else data


def _merge(data: dict[str, Any], fields: Mapping[str, Any]) -> None:
    for key, value in fields.items():
        if isinstance(value, dict) and isinstance(data.get(key), dict):
            _merge(data[key], value)
        else:
            data[key] = value


def _pieces(text: str, node: yaml.Node, fields: Mapping[str, Any], limit: int) -> list[tuple[int, str]]:
    """Return places in the text and what is to be put in there, so that the mapping gains the fields."""
    if not isinstance(node, yaml.MappingNode):
        raise SpliceError("an entry in it is not written as 'key: value'")
    inner = {key.value: (position, value) for position, (key, value) in enumerate(node.value)}
    pieces: list[tuple[int, str]] = []
    new: dict[str, Any] = {}
    for key, value in fields.items():
        if key in inner and isinstance(value, dict):
            position, below = inner[key]
            following = node.value[position + 1][0].start_mark.index if position + 1 < len(node.value) else limit
            pieces += _pieces(text, below, value, following)
        else:
            new[key] = value
    if not new:
        return pieces
    if node.flow_style:
        place = len(text[: node.end_mark.index - 1].rstrip())
        return [*pieces, (place, "".join(f", {key}: {write_value(value)}" for key, value in new.items()))]
    place = _end_of_lines(text, node.start_mark.index, limit)
    written = indented(write_mapping(new), node.value[0][0].start_mark.column)
    return [*pieces, (place, written if text[:place].endswith("\n") else "\n" + written.removesuffix("\n"))]


def _next_start(root: yaml.SequenceNode, index: int, text: str) -> int:
    """Return where the line of the next entry begins, or the end of the text."""
    if index + 1 == len(root.value):
        return len(text)
    return root.value[index + 1].start_mark.index  # type: ignore[no-any-return]


def _end_of_lines(text: str, start: int, limit: int) -> int:
    """Return the end of the last line of a block that begins at ``start`` and ends before ``limit``.

    Empty lines and comments at its end belong to what follows.
    """
    # Where another entry follows in its own line, its line is none of the block's.
    end = limit if limit == len(text) else text.rfind("\n", start, limit) + 1
    lines = text[start:end].splitlines(keepends=True)
    while len(lines) > 1 and (not lines[-1].strip() or lines[-1].lstrip().startswith("#")):
        lines.pop()
    return start + len("".join(lines))


def _text(content: bytes) -> tuple[str, str]:
    """Return a file's text with plain line ends, and the line end that it uses."""
    text = content.decode("utf-8")
    end = "\r\n" if "\r\n" in text else "\n"
    return text.replace("\r\n", "\n"), end


def _composed(text: str) -> yaml.Node | None:
    try:
        node: yaml.Node | None = yaml.compose(text.removeprefix("\ufeff"), Loader=_Loader)
    except yaml.YAMLError as error:  # the reader takes the later one of two
        raise SpliceError("it marks two values with the same name behind '&'") from error
    if text.startswith("\ufeff") and node is not None:
        raise SpliceError("it begins with an invisible byte order mark; save it without")
    return node


def _data(content: bytes) -> Any:
    return read_document("", content).data


def _checked(text: str, end: str, wanted: object, content: bytes) -> bytes:
    """Return the new file, once it says what was wanted and all that stood in the file stands in it still, in order.

    Raises:
        SpliceError: when it does not.
    """
    new = text.replace("\n", end).encode("utf-8")
    document = read_document("", new)
    rest = iter(new)
    kept = all(byte in rest for byte in content)
    if document.faults or document.data != wanted or not kept:
        raise SpliceError("its layout leaves no room for more")
    return new
