"""Which usual cautions a rig's page shows, and the texts of all of them."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import lru_cache
from importlib.resources import files

import yaml

from rigleaf.catalogue.models.carrying import Liquid, Tool
from rigleaf.catalogue.models.mounting import Counterweight, Tripod
from rigleaf.catalogue.models.optics import FrontFilter
from rigleaf.catalogue.models.power import Battery, MainsSupply
from rigleaf.chapters.assembly import Assembly
from rigleaf.words import LANGUAGES, language, speaking, tr

HEAVY_PIECE_KG = 10.0
HEAVY_RIG_KG = 15.0
"""From here on a page speaks of lifting; a choice of this guide, well below limits for one careful lift."""


@dataclass(frozen=True, slots=True)
class Caution:
    """One caution: a line for rig pages, a text for the safety page, and to whom it defers."""

    id: str
    title: str
    when: str
    short: str
    text: str
    defer: str

    @property
    def explained(self) -> str:
        """The id of the caution that the safety page explains it under."""
        return self.id if self.text else self.id.partition("-")[0]


def cautions() -> tuple[Caution, ...]:
    """Return every caution in the order of the safety page, in the language that is spoken."""
    return _cautions(language())


@lru_cache(maxsize=len(LANGUAGES))
def _cautions(code: str) -> tuple[Caution, ...]:
    with speaking(code):
        return tuple(
            replace(one, title=tr(one.title), short=tr(one.short), text=tr(one.text), defer=tr(one.defer))
            for one in _written()
        )


def _written() -> tuple[Caution, ...]:
    """Return the cautions as they are written."""
    text = (files("rigleaf.site") / "texts" / "cautions.yml").read_text(encoding="utf-8")
    return tuple(Caution(**entry) for entry in yaml.safe_load(text))


def _sun(assembly: Assembly) -> bool:
    looks = {"Sun", "eclipses"} & set(assembly.rig.purpose)
    return bool(looks) or any(assembly.parts(FrontFilter))


def _laser(assembly: Assembly) -> bool:
    return any(
        "laser" in item.part.name.casefold() or (isinstance(item.part, Tool) and item.part.form == "laser pointer")
        for item in assembly.items
    )


def _sun_cap(assembly: Assembly) -> bool:
    return assembly.optic is not None and not _sun(assembly)


def _lithium(assembly: Assembly) -> bool:
    # A battery of unsaid chemistry may well be one.
    return any((part.chemistry or "lithium").startswith(("lithium", "lifepo4")) for part in assembly.parts(Battery))


def _heavy(assembly: Assembly) -> bool:
    masses = [(item.part.mass.value, item.count) for item in assembly.items if item.part.mass is not None]
    return any(mass >= HEAVY_PIECE_KG for mass, _ in masses) or sum(mass * n for mass, n in masses) >= HEAVY_RIG_KG


_RULES: dict[str, Callable[[Assembly], bool]] = {
    "sun": _sun,
    "sun-cap": _sun_cap,
    "laser": _laser,
    "lithium": _lithium,
    "lead-acid": lambda assembly: any(part.chemistry == "sealed lead-acid" for part in assembly.parts(Battery)),
    "cans": lambda assembly: any(assembly.parts(Liquid)),
    "heavy": _heavy,
    "weights": lambda assembly: any(assembly.parts(Counterweight, "counterweight")),
    "tripod": lambda assembly: any(assembly.parts(Tripod)),
    "car": lambda assembly: assembly.fed_by_car,
    "mains": lambda assembly: any(assembly.parts(MainsSupply)),
    "general": lambda _: False,
}


def cautions_for(assembly: Assembly) -> tuple[Caution, ...]:
    """Return the cautions that this rig's page shows."""
    return tuple(caution for caution in cautions() if _RULES[caution.when](assembly))
