"""Plain data as YAML text in the style of a guide's files, which the reader reads back as the same data.

The rules by which a bare word is a number, a truth value or nothing are the reader's own, so that dates, times and
asset tags need no quotes, and text that looks like a number gets them.
"""

import re
from collections.abc import Iterable, Mapping, Sequence
from decimal import Decimal
from typing import Any

import yaml

from rigleaf.catalogue.document import bare_word, is_not_finite

WIDTH = 112
"""Columns after which a long text or list goes on in the next line."""

_LONG = 80
"""Characters from which a text begins in the line below its key."""

_DEEPER = 4
"""Columns by which an entry may be moved to the right."""

_PLAIN = re.compile(r"[A-Za-z0-9]+(?:(?: |[_.,/()+-] ?)[A-Za-z0-9]+)*")
"""Texts of these signs mean themselves behind a key or as one: most of what a shelf says."""

_STR = "tag:yaml.org,2002:str"


class _Dumper(yaml.SafeDumper):
    """Writes what the guide's reader reads back."""

    # Nothing is looked up by tag: what is text and what is not is decided below.
    yaml_implicit_resolvers: dict[str, Any] = {}  # noqa: RUF012 - as its base declares it

    def increase_indent(self, flow: bool = False, indentless: bool = False) -> None:
        """Indent lists below their key, as the guide's files do."""
        del indentless
        super().increase_indent(flow, indentless=False)


def _text(dumper: _Dumper, text: str) -> yaml.ScalarNode:
    style = None
    if not _is_text(text):
        style = "'"
    elif "\n" in text:
        # A block keeps its lines, but blanks at their ends would be lost or in the way.
        style = "|" if all(line == line.strip() for line in text.split("\n")) and text == text.strip() else '"'
    elif len(text) > _LONG and " ".join(text.split()) == text:
        style = ">"
    return dumper.represent_scalar(_STR, text, style=style)


def _is_text(word: str) -> bool:
    """Say whether the reader takes a word without quotes for text."""
    return bare_word(word) == word and word != "<<" and not is_not_finite(word)


def _means_itself(text: str) -> bool:
    """Say whether a text needs neither quotes nor PyYAML to find out that it needs none, which takes long."""
    return _PLAIN.fullmatch(text) is not None and _is_text(text)


def _bare(dumper: _Dumper, word: str) -> yaml.ScalarNode:
    # Without resolvers every plain word carries the tag of text; the reader tells them apart again.
    return dumper.represent_scalar(_STR, word)


_Dumper.add_representer(str, _text)
_Dumper.add_representer(bool, lambda dumper, value: _bare(dumper, str(value).lower()))
_Dumper.add_representer(int, lambda dumper, value: _bare(dumper, str(value)))
_Dumper.add_representer(float, lambda dumper, value: _bare(dumper, _decimal(value)))
_Dumper.add_representer(type(None), lambda dumper, _: _bare(dumper, "null"))


def _decimal(value: float) -> str:
    """Return the shortest decimal spelling without a power of ten, which the reader would take for text."""
    text = format(Decimal(repr(value)), "f")
    return text if "." in text else text + ".0"


def write_value(value: object) -> str:
    """Return one value in one line, as it may stand behind its key or inside brackets."""
    text = yaml.dump(
        [value], Dumper=_Dumper, default_flow_style=True, sort_keys=False, allow_unicode=True, width=10**9
    )  # fmt: skip
    return text.strip()[1:-1]


def write_mapping(data: Mapping[str, Any]) -> str:
    """Return a mapping as lines of 'key: value'; what lies inside stands in one line where it is short."""
    return "".join(_field(key, value) for key, value in data.items())


def _field(key: str, value: object) -> str:
    if isinstance(value, str) and len(key) + len(value) <= _LONG and _means_itself(key) and _means_itself(value):
        return f"{key}: {value}\n"
    nested = isinstance(value, dict) and any(isinstance(inner, (dict, list)) for inner in value.values())
    if isinstance(value, dict) and value and (nested or len(f"{key}: {write_value(value)}") > WIDTH - _DEEPER):
        return f"{write_value(key)}:\n{indented(write_mapping(value), 2)}"
    return yaml.dump(
        {key: value}, Dumper=_Field, default_flow_style=None, sort_keys=False, allow_unicode=True, width=WIDTH
    )


class _Field(_Dumper):
    """Writes one field: its own line in block style, what is short inside it in flow style."""

    def represent_mapping(self, tag: str, mapping: Any, flow_style: bool | None = None) -> yaml.MappingNode:
        """Represent the outermost mapping in block style."""
        outermost = not self.represented_objects
        node = super().represent_mapping(tag, mapping, flow_style)
        if outermost:
            node.flow_style = False
        return node


def write_list(entries: Iterable[Mapping[str, Any]]) -> str:
    """Return entries as a list, each beginning with '- ', with an empty line between them."""
    return "\n".join(as_item(write_mapping(entry)) for entry in entries)


def as_item(text: str) -> str:
    """Return the lines of a mapping as one item of a list."""
    return "- " + indented(text, 2)[2:]


def indented(text: str, by: int) -> str:
    """Return ``text`` with every line that holds something moved to the right."""
    return "".join(" " * by + line if line.strip() else line for line in text.splitlines(keepends=True))


def comment(lines: Sequence[str]) -> str:
    """Return lines of a comment; an empty one stays a bare '#'."""
    return "".join(f"# {line}".rstrip() + "\n" for line in lines)
