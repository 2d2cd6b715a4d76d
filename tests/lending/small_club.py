"""Small clubs with a book of loans, made in memory."""

import datetime as dt
from pathlib import Path
from typing import Any

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.catalogue.desk import Desk, Written
from rigleaf.catalogue.models.carrying import Tool
from rigleaf.catalogue.models.guide import Guide, Place
from rigleaf.catalogue.models.lending import Loan, Reservation, Service
from rigleaf.catalogue.models.rig import Rig

Data = dict[str, Any]

RIGS: dict[str, tuple[str, ...]] = {
    "heron": ("tube-a", "mount", "lead", "lead", "torch"),
    "curlew": ("tube-b", "mount", "lead", "torch"),
    "plover": ("tube-b", "pier", "torch"),
}
"""What each rig is made of."""

STOCK = {"tube-a": 1, "tube-b": 1, "mount": 1, "pier": 1, "lead": 4, "torch": 3}


def club(
    *,
    loans: tuple[Data, ...] = (),
    reservations: tuple[Data, ...] = (),
    service: tuple[Data, ...] = (),
    stock: dict[str, int | None] | None = None,
    **guide: Any,
) -> Catalogue:
    """Return a club of three rigs that share parts, with what its book says; lines count from 1 in each list."""
    owned: dict[str, int | None] = {**STOCK, **(stock or {})}
    parts = {
        id_: Tool.model_validate({"id": id_, "kind": "tool", "name": name(id_), "owned": count})
        for id_, count in owned.items()
    }
    rigs = {
        id_: Rig.model_validate({"id": id_, "name": name(id_), "carried": [{"part": part} for part in made_of]})
        for id_, made_of in RIGS.items()
    }
    place = Place.model_validate({"id": "home", "name": "Home", "timezone": "Europe/Berlin"})
    desk = Desk(
        tuple(Written(Loan.model_validate(one), "desk/loans.yml", n) for n, one in enumerate(loans, 1)),
        tuple(Written(Reservation.model_validate(one), "desk/spoken.yml", n) for n, one in enumerate(reservations, 1)),
        tuple(Written(Service.model_validate(one), "desk/service.yml", n) for n, one in enumerate(service, 1)),
    )
    return Catalogue(
        root=Path(),
        guide=Guide.model_validate({"name": "Small club", "place": "home", **guide}),
        parts=parts,
        rigs=rigs,
        places={"home": place},
        desk=desk,
    )


def name(id_: str) -> str:
    """Return what people call a rig or a part of the small club."""
    return id_.replace("-", " ").capitalize()


def day(text: str) -> dt.date:
    """Return a day written as in YAML."""
    return dt.date.fromisoformat(text)
