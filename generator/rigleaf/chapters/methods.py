"""The register of methods: how each figure is computed, from which source, and which test checks it."""

from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files
from typing import Any

import yaml

from rigleaf.chapters.register import ORDER


@dataclass(frozen=True, slots=True)
class Symbol:
    """One letter of a formula: what it means and its unit."""

    symbol: str
    meaning: str
    unit: str = ""


@dataclass(frozen=True, slots=True)
class MethodSource:
    """Where a method comes from; ``read`` is false for what was written down from memory."""

    title: str
    locator: str = ""
    read: bool = True


@dataclass(frozen=True, slots=True)
class Check:
    """A test of this method against something outside the project."""

    test: str
    against: str


@dataclass(frozen=True, slots=True)
class Method:
    """How one sort of figure is computed or one sort of finding is judged.

    ``formula`` is LaTeX, empty where words say it all; ``chapter`` is the id of the chapter that owns it.
    """

    id: str
    name: str
    words: str
    chapter: str
    formula: str = ""
    symbols: tuple[Symbol, ...] = ()
    sources: tuple[MethodSource, ...] = ()
    checks: tuple[Check, ...] = ()


class MethodError(ValueError):
    """A method entry is incomplete, or a figure names one that does not exist."""


@lru_cache(maxsize=1)
def methods() -> dict[str, Method]:
    """Return every method by id, in the order of the chapters.

    Raises:
        MethodError: when an entry lacks a source or an outside check, or an id is given twice.
    """
    found: dict[str, Method] = {}
    for folder in ORDER:
        text = (files("rigleaf.chapters") / folder / "methods.yml").read_text(encoding="utf-8")
        for entry in yaml.safe_load(text):
            method = _method(entry, folder.replace("_", "-"))
            if method.id in found:
                raise MethodError(f"the method '{method.id}' is described twice")
            found[method.id] = method
    return found


def _method(entry: dict[str, Any], chapter: str) -> Method:
    method = Method(
        id=entry["id"],
        name=entry["name"],
        words=entry["words"],
        chapter=chapter,
        formula=entry.get("formula", ""),
        symbols=tuple(Symbol(**symbol) for symbol in entry.get("symbols", ())),
        sources=tuple(MethodSource(**source) for source in entry.get("sources", ())),
        checks=tuple(Check(**check) for check in entry.get("checks", ())),
    )
    if not method.sources or not method.checks:
        raise MethodError(f"the method '{method.id}' needs a source and an outside check")
    return method
