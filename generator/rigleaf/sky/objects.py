"""Deep-sky objects by their usual designations: NGC, IC, Messier, Caldwell and the best-known of other lists.

``data/objects.csv`` is derived from an open catalogue; ``data/objects_overrides.yml`` puts right what is wrong in
it, and ``data/objects_additions.yml`` adds what it lacks. Each value of the latter two names its source, which
`SkyObject.source` gives back. ``data/SOURCES.md`` says more.
"""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files
from typing import Any, Final

import yaml

from rigleaf.nearest import nearest

CATALOGUE: Final = "OpenNGC"
"""Where values come from that name no other source."""


@dataclass(frozen=True, slots=True)
class SkyObject:
    """One deep-sky object. What is not known is None, never 0.

    Attributes:
        designations: All that it goes by, the one most used first: ("M 31", "NGC 224", "UGC 454").
        names: Common names, best known first; often none.
        kind: What it is, such as "galaxy", "open cluster", "HII region", "planetary nebula".
        constellation: Abbreviation of three letters.
        ra: Right ascension, ICRS (J2000), deg.
        dec: Declination, deg.
        major: Major axis (full width), arcmin; of galaxies at 25 mag per square arcsec in B.
        minor: Minor axis, arcmin; None where unsaid: take the object for round.
        position_angle: Of the major axis, from north through east, 0 to 180 deg; None where not measured.
        b_mag: Total B magnitude.
        v_mag: Total V magnitude.
        sources: Field and source of each value that does not come from `CATALOGUE`.
    """

    designations: tuple[str, ...]
    names: tuple[str, ...]
    kind: str
    constellation: str
    ra: float
    dec: float
    major: float | None = None
    minor: float | None = None
    position_angle: float | None = None
    b_mag: float | None = None
    v_mag: float | None = None
    sources: tuple[tuple[str, str], ...] = ()

    @property
    def designation(self) -> str:
        """The designation most used."""
        return self.designations[0]

    @property
    def outline(self) -> tuple[float, float, float | None] | None:
        """Major axis, minor axis (arcmin) and position angle of the ellipse to draw; None without a size.

        Where the angle is not known the outline is a circle of the major axis, and the angle None: an ellipse
        would show a tilt that nobody measured.
        """
        if self.major is None:
            return None
        if self.minor is None or self.position_angle is None:
            return self.major, self.major, None
        return self.major, self.minor, self.position_angle

    def source(self, field: str) -> str:
        """Where the value of a field comes from; "from memory" where nobody has looked it up."""
        return dict(self.sources).get(field, CATALOGUE)


def find(designation: str) -> SkyObject | None:
    """Return the object of that designation or common name, or None.

    Case, spaces and leading zeros do not matter: "M31", "messier 31", "ngc0224", "Caldwell 9", "Sh 2-155".
    """
    table = _table()
    number = table.index.get(_key(designation))
    return None if number is None else table.sky_object(number)


def all_objects() -> tuple[SkyObject, ...]:
    """Every object, about 13 500, in no particular order; this takes a fifth of a second."""
    table = _table()
    return tuple(table.sky_object(number) for number in range(len(table.lines)))


def nearest_designation(text: str) -> str | None:
    """What somebody may have meant by a text that `find` does not know: a designation or name that it does."""
    if len(text) > _LONGEST:
        return None
    table = _table()
    if found := find(text):
        return found.designation
    if parts := _PARTS.fullmatch(_plain(text)):
        prefix, number = parts[1].replace(" ", ""), parts[2]
        known = {match[1] for key in table.index if (match := _PREFIX.match(key))} | set(_LONG_FORMS)
        meant = prefix if prefix in known else nearest(prefix, known)
        keys = (_key(f"{meant} {digits}") for digits in _slips(number))
        if key := next((key for key in keys if key in table.index), None):
            designations: list[str] = table.row(table.index[key])["designations"]
            return next(name for name in designations if _stored_key(name) == key)
    return nearest(text, (name for number in table.named for name in table.row(number)["names"]))


# --- designations as keys -----------------------------------------------------------------------------------

_LONGEST: Final = 60
_LONG_FORMS: Final = {
    "messier": "m",
    "caldwell": "c",
    "barnard": "b",
    "melotte": "mel",
    "collinder": "cr",
    "hickson": "hcg",
    "sharpless": "sh2-",
    "sh": "sh2-",
    "st": "stock",
    "vandenbergh": "vdb",
    "lynds": "ldn",
}
_PARTS: Final = re.compile(r"([a-z]+(?: [a-z]+){0,2})[ -]*0*(\d.*)")
_PREFIX: Final = re.compile(r"(sh2-|[a-z]+)(?=\d)")
_SHARPLESS: Final = re.compile(r"(?:sh|sharpless)[ -]*(?:2[ -]+)?0*(\d+)")


def _plain(text: str) -> str:
    spaced = " ".join(text.replace("_", " ").replace("’", "'").split()).casefold()
    return spaced.removeprefix("the ")


def _key(text: str) -> str:
    """The form in which designations and names are compared."""
    plain = _plain(text)
    if sharpless := _SHARPLESS.fullmatch(plain):
        return f"sh2-{sharpless[1]}"
    if parts := _PARTS.fullmatch(plain):
        prefix = parts[1].replace(" ", "")
        return _LONG_FORMS.get(prefix, prefix) + parts[2].replace(" ", "")
    return plain.replace(" ", "")


def _stored_key(designation: str) -> str:
    """`_key` of a designation that is spelled as in the files; the files have 20 000, so this must be quick."""
    return designation.replace(" ", "").casefold()


def _slips(number: str) -> Iterable[str]:
    """The number itself, then what it would be without one slip of the finger."""
    yield number
    yield from (number[:i] + number[i + 1] + number[i] + number[i + 2 :] for i in range(len(number) - 1))
    yield from (number[:i] + number[i + 1 :] for i in reversed(range(len(number))) if len(number) > 1)


# --- the files ----------------------------------------------------------------------------------------------

_MEASURES: Final = ("ra", "dec", "major", "minor", "position_angle", "b_mag", "v_mag")


class _Table:
    """All rows, and their numbers by key.

    A row stays the line of the file until somebody asks for more than its designation: that is five times as
    fast as reading the file with csv, and most builds ask for a handful of objects. The file has no quotes.
    """

    def __init__(self) -> None:
        folder = files("rigleaf.sky") / "data"
        self.lines = (folder / "objects.csv").read_text("utf-8").splitlines()[1:]
        self.rows: dict[int, dict[str, Any]] = {}
        self.index: dict[str, int] = {}
        self.named: list[int] = []
        for number, line in enumerate(self.lines):
            head, _, rest = line.partition(",")
            for designation in head.split("; "):
                self.index.setdefault(_stored_key(designation), number)
            if rest[0] != ",":
                self.named.append(number)
        loader = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
        for entry in yaml.load((folder / "objects_overrides.yml").read_text("utf-8"), loader):  # noqa: S506
            self._override(self.index[_key(entry["object"])], entry["values"], entry["source"])
        for entry in yaml.load((folder / "objects_additions.yml").read_text("utf-8"), loader):  # noqa: S506
            self.lines.append(",,,,,,,,,,")
            self._override(len(self.lines) - 1, entry, entry.pop("source"))
        for number in self.named:
            for name in self.row(number)["names"]:
                self.index.setdefault(_key(name), number)

    def row(self, number: int) -> dict[str, Any]:
        """The fields of one object by the names of `SkyObject`, with lists instead of tuples."""
        if number not in self.rows:
            designations, names, kind, constellation, *measures = self.lines[number].split(",")
            self.rows[number] = {
                "designations": designations.split("; ") if designations else [],
                "names": names.split("; ") if names else [],
                "kind": kind,
                "constellation": constellation,
                "sources": {},
                **{field: float(text) if text else None for field, text in zip(_MEASURES, measures, strict=True)},
            }
        return self.rows[number]

    def sky_object(self, number: int) -> SkyObject:
        """One object, made anew each time: a row may be asked for often, an object once."""
        row = self.row(number)
        lists = {key: tuple(row[key]) for key in ("designations", "names")}
        return SkyObject(**row | lists | {"sources": tuple(sorted(row["sources"].items()))})

    def _override(self, number: int, values: dict[str, Any], source: str) -> None:
        """Write values into a row, and remember their source."""
        row = self.row(number)
        for designation in values.pop("designations", ()):
            key = _stored_key(designation)
            if (former := self.index.get(key)) is not None:
                self.row(former)["designations"].remove(designation)
            self.index[key] = number
            row["designations"].append(designation)
        if called := values.pop("called", None):
            row["designations"].sort(key=lambda designation: bool(designation != called))
        if at := values.pop("at", None):
            hours, minutes, degrees, arcminutes = at.split()
            values["ra"] = 15 * (int(hours) + float(minutes) / 60)
            values["dec"] = float(f"{degrees[0]}1") * (int(degrees[1:]) + float(arcminutes) / 60)
        if values.get("names"):
            self.named.append(number)
        for field, value in values.items():
            row[field] = float(value) if isinstance(value, int) else value
            row["sources"][field] = source


@lru_cache(maxsize=1)
def _table() -> _Table:
    return _Table()
