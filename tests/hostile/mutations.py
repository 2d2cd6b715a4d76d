"""Small harm done to a guide: to what its fields say, and to the bytes of its files. The same seed does the same."""

import re
from collections.abc import Callable
from random import Random
from typing import Any

from rigleaf.quantities import DIMENSIONS
from tests.hostile.schemas import Field, Guide, fields, resolved

NUMBERS = ("0", "-1", "1", "1e-308", "1e308", "1e999", "-1e999", "5e-324", "1e-9", "0.0001", "3", "99.9", "1e6", "1e12")
ODD: tuple[Any, ...] = (
    None,
    "",
    " ",
    True,
    False,
    0,
    -1,
    10**9,
    10**18,
    0.1,
    [],
    {},
    [None],
    {"": None},
    [[[[]]]],
    "0",
    "null",
    "~",
    "é" * 300,
    "x" * 5000,
    "{{ 7*7 }}",
    "../../etc/passwd",
    "0001-01-01",
    "9999-12-31",
    "2026-02-30",
    "25:61",
    "nan mm",
    "inf",
    "1 mm +- 1e999 %",
    "\U0001f52d\u200d\u0301",
    "\u0627\u0644",
    "\u202e",
    "\x00",
    "javascript:alert(1)",
    "__proto__",
    "constructor",
)


def quantity(random: Random, dimension: str) -> Any:
    """Return a value of a dimension, more often than not one at the edge of what makes sense."""
    if dimension == "size":
        return " x ".join(random.choice(("0.01", "1", "300", "9999", "42.5")) for _ in range(3)) + " mm"
    known = DIMENSIONS[dimension]
    lowest = -known.highest if known.lowest is None else known.lowest
    number: Any = random.choice(
        (
            lowest,
            known.highest,
            random.uniform(lowest, known.highest),
            10 ** random.uniform(-12, 0) * known.highest,
            10 ** random.uniform(-3, 0) * known.highest,
            10 ** random.uniform(-3, 0) * known.highest,
            10 ** random.uniform(-320, 0) * known.highest,
            random.choice(NUMBERS),
        )
    )
    unit = "" if not known.unit else f" {known.unit}"
    if dimension == "fraction":
        unit = random.choice(("", " %"))
    error = f" +- {random.choice(('5', '100', '1e-9', '0', '400', '1e999'))} %" if random.random() < 0.15 else ""
    text = f"{number}{unit}{error}"
    if random.random() < 0.05:
        return {"stated": text, "measured": quantity(random, dimension), "on": "2026-01-01"}
    return text


def value(random: Random, field: Field) -> Any:
    """Return something that the field may take, or nearly."""
    schema = field.schema
    if random.random() < 0.03:
        return random.choice(ODD)
    return _of_schema(random, schema, schema.get("$defs", {}), str(field.key))


def _of_schema(random: Random, schema: Any, definitions: Any, key: str) -> Any:
    schema = resolved(schema, definitions)
    if "x-dimension" in schema:
        return quantity(random, schema["x-dimension"])
    if "enum" in schema:
        return random.choice(schema["enum"])
    if "anyOf" in schema and "type" not in schema:
        return _of_schema(random, random.choice(schema["anyOf"]), definitions, key)
    match schema.get("type"):
        case "boolean":
            return random.random() < 0.5
        case "integer":
            least, most = schema.get("minimum", 0), schema.get("maximum", 10**6)
            return random.choice(
                (least, most, least + 1, random.randint(least, most), random.randint(least, min(most, least + 9)))
            )
        case "array":
            items = schema.get("items", {})
            many = random.randint(schema.get("minItems", 0), schema.get("maxItems", 4))
            return [_of_schema(random, items, definitions, key) for _ in range(many)]
        case "object":
            inner = schema.get("properties", {})
            needed = schema.get("required", ())
            return {
                name: _of_schema(random, one, definitions, name)
                for name, one in inner.items()
                if name in needed or random.random() < 0.4
            }
    if schema.get("format") == "date":
        return random.choice(("0001-01-01", "9999-12-31", "2026-06-21", "2028-02-29", "1900-01-01", "2026-12-21"))
    if "examples" in schema and random.random() < 0.7:
        return random.choice(schema["examples"])
    return random.choice(("x", "a b", "12:00", "00:00", "23:59", "m31", "é" * 200, "M48 x 0.75 female", "1 x 1"))


def disturb(guide: Guide, random: Random, times: int) -> list[str]:
    """Change some fields of a guide, in place; return which."""
    done: list[str] = []
    for _ in range(times):
        name = random.choice(sorted(guide))  # each file as often, however long it is
        there = [field for field in fields(guide, name) if field.key not in ("id", "kind")]
        if not there:
            continue
        field = random.choice(there)
        if field.stated and isinstance(field.owner, dict) and random.random() < 0.15:
            del field.owner[field.key]
            done.append(f"{field.file} {field.path} left out")
            continue
        field.owner[field.key] = value(random, field)
        done.append(f"{field.file} {field.path} = {field.owner[field.key]!r:.80}")
    return done


_TOKENS = (
    b":",
    b"- ",
    b"\n",
    b"\t",
    b"{",
    b"}",
    b"[",
    b"]",
    b"&a ",
    b"*a",
    b"!!python/object:os.system ",
    b"<<: ",
    b"|\n",
    b">\n",
    b"'",
    b'"',
    b"#",
    b"%YAML 1.1\n",
    b"---\n",
    b"...\n",
    b"\x00",
    b"\xff\xfe",
    b"\xef\xbb\xbf",
    b"\xe2\x80\xae",
    b"\xe2\x80\xa8",
    b"\r",
    b"\r\n",
    b"? ",
    b"~",
    b".nan",
    b".inf",
    b"1e999",
    b"0x1F",
    b"-",
    b"9" * 40,
    b"\xf0\x9f\x94\xad",
    b"@",
    b"`",
    b"\\",
    b"\x85",
    b"\xc2\x85",
)


def gnaw(raw: bytes, random: Random) -> bytes:
    """Return the bytes of a file after one to four small accidents."""
    for _ in range(random.randint(1, 4)):
        raw = random.choice(_ACCIDENTS)(raw, random)
    return raw


def _flip(raw: bytes, random: Random) -> bytes:
    at = random.randrange(len(raw) or 1)
    return raw[:at] + bytes([random.randrange(256)]) + raw[at + 1 :]


def _put_in(raw: bytes, random: Random) -> bytes:
    at = random.randrange(len(raw) + 1)
    return raw[:at] + random.choice(_TOKENS) * random.choice((1, 1, 1, 2, 50)) + raw[at:]


def _cut(raw: bytes, random: Random) -> bytes:
    at = random.randrange(len(raw) + 1)
    return raw[:at] + raw[at + random.choice((1, 2, 10, 200)) :]


def _double(raw: bytes, random: Random) -> bytes:
    at = random.randrange(len(raw) + 1)
    piece = raw[at : at + random.choice((3, 40, 400))]
    to = random.randrange(len(raw) + 1)
    return raw[:to] + piece * random.choice((1, 1, 8)) + raw[to:]


def _end(raw: bytes, random: Random) -> bytes:
    return raw[: random.randrange(len(raw) + 1)]


def number(raw: bytes, random: Random) -> bytes:
    """Return the bytes of a file with another number in place of one."""
    found = list(re.finditer(rb"\d+(\.\d+)?", raw))
    if not found:
        return raw
    one = random.choice(found)
    return raw[: one.start()] + random.choice(NUMBERS).encode() + raw[one.end() :]


def _indent(raw: bytes, random: Random) -> bytes:
    lines = raw.split(b"\n")
    at = random.randrange(len(lines))
    lines[at] = random.choice((b" ", b"  ", b"\t", b"")) + lines[at].lstrip(random.choice((b"", b" ", b" -")))
    return b"\n".join(lines)


_ACCIDENTS: tuple[Callable[[bytes, Random], bytes], ...] = (
    _flip,
    _put_in,
    _put_in,
    _cut,
    _double,
    _end,
    number,
    number,
    _indent,
)
