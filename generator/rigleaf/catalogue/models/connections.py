"""How one piece of an image train joins the next: threads, bayonets, push-fit barrels and clamps."""

import re
from dataclasses import dataclass
from math import inf
from typing import Literal

from rigleaf.nearest import nearest
from rigleaf.quantities import short

Gender = Literal["male", "female"]
Form = Literal["thread", "bayonet", "barrel", "clamp", "fixed"]

_MM_PER_INCH = 25.4
_EXAMPLES = "'M48 x 0.75 female', '3/8-16 UNC male', '2 in barrel male', 'bayonet B54 female' or 'clamp 70 mm female'"

_N = r"\d+(?:\.\d+)?"
_METRIC = re.compile(rf"M\s*(?P<size>{_N})\s*[x×]\s*(?P<pitch>{_N})", re.IGNORECASE)
_METRIC_NO_PITCH = re.compile(rf"M\s*{_N}", re.IGNORECASE)
_INCH = re.compile(
    rf"(?P<size>{_N})(?:/(?P<part>\d+))?\s*-\s*(?P<turns>{_N})\s*(?P<series>UNC|UNF|UNS|UN|BSW)?",
    re.IGNORECASE,
)
_BARREL = re.compile(rf"(?P<size>{_N})\s*(?P<unit>in|inch|\"|mm)\s*barrel", re.IGNORECASE)
_BAYONET = re.compile(r"bayonet\s+(?P<name>[A-Z0-9-]{1,20})", re.IGNORECASE)
_CLAMP = re.compile(rf"clamp\s+(?P<size>{_N})\s*mm", re.IGNORECASE)

_MOST_CHARACTERS = 60
_WIDEST = 1000.0  # mm; anything wider is a typing error


@dataclass(frozen=True, slots=True)
class Connection:
    """One side of a joint.

    ``diameter`` and ``pitch`` are in mm (None where the form has none); ``series`` names an inch thread's
    series or a bayonet; ``gender`` is None for a fixed joint, which does not come apart.
    """

    form: Form
    gender: Gender | None
    diameter: float | None = None
    pitch: float | None = None
    series: str = ""
    name: str = ""

    def __str__(self) -> str:
        return f"{self.name} {self.gender}" if self.gender else self.name


def read_connection(text: str) -> Connection:
    """Read one side of a joint, such as ``"M48 x 0.75 female"``.

    Raises:
        ValueError: with a sentence that says what would be right.
    """
    words = " ".join(text.split())
    if words.casefold() == "fixed":
        return Connection("fixed", None, name="fixed")
    if len(words) > _MOST_CHARACTERS:
        raise ValueError(f"'{short(words)}' is not a connection; write it like {_EXAMPLES}")
    body, _, last = words.rpartition(" ")
    genders: dict[str, Gender] = {"male": "male", "female": "female"}
    gender = genders.get(last.casefold())
    if gender is None:
        near = nearest(last, genders) if last.isalpha() else None
        if near:
            raise ValueError(f"'{short(last)}' is not a gender; did you mean '{near}'?")
        raise ValueError(f"'{short(words)}' does not say 'male' or 'female'; write it like {_EXAMPLES}")
    if _METRIC_NO_PITCH.fullmatch(body):
        raise ValueError(f"'{short(words)}' does not say the pitch; write it like '{body.upper()} x 0.75 {gender}'")
    connection = _thread(body, gender) or _plain(body, gender)
    if connection is None:
        raise ValueError(f"'{short(words)}' is not a connection; write it like {_EXAMPLES}")
    for size in (connection.diameter, connection.pitch):
        if size is not None and not 0 < size <= _WIDEST:
            raise ValueError(f"'{short(words)}' has a size that makes no sense; write it like {_EXAMPLES}")
    return connection


def _thread(body: str, gender: Gender) -> Connection | None:
    if found := _METRIC.fullmatch(body):
        size, pitch = float(found["size"]), float(found["pitch"])
        return Connection("thread", gender, size, pitch, "M", f"M{size:g} x {pitch:g}")
    if found := _INCH.fullmatch(body):
        part, turns = float(found["part"] or 1), float(found["turns"])
        size = float(found["size"]) / part * _MM_PER_INCH if part else inf
        pitch = _MM_PER_INCH / turns if turns else inf
        series = (found["series"] or "UN").upper()
        inches = found["size"] + (f"/{found['part']}" if found["part"] else "")
        return Connection("thread", gender, size, pitch, series, f"{inches}-{found['turns']} {series}")
    return None


def _plain(body: str, gender: Gender) -> Connection | None:
    if found := _BARREL.fullmatch(body):
        inches = found["unit"].casefold() != "mm"
        size = float(found["size"]) * (_MM_PER_INCH if inches else 1.0)
        return Connection("barrel", gender, size, name=f"{found['size']} {'in' if inches else 'mm'} barrel")
    if found := _BAYONET.fullmatch(body):
        name = found["name"].upper()
        return Connection("bayonet", gender, series=name, name=f"bayonet {name}")
    if found := _CLAMP.fullmatch(body):
        size = float(found["size"])
        return Connection("clamp", gender, size, name=f"clamp {size:g} mm")
    return None
