"""The chapters in the order in which a page shows them. A new chapter is a folder and one entry in ORDER."""

from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache
from importlib import import_module

from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.figures import Study

ORDER: tuple[str, ...] = (
    "image_train",
    "scale_and_field",
    "in_the_frame",
    "under_the_sky",
    "guiding_and_exposure",
    "on_the_mount",
    "footing",
    "power_for_the_night",
    "dew_and_cold",
    "what_it_weighs",
    "hands_and_back",
    "in_the_bag",
    "at_the_airport",
    "setting_up",
)
"""Folder names under rigleaf/chapters."""


@dataclass(frozen=True, slots=True)
class Chapter:
    """One chapter of a rig page.

    Attributes:
        id: name in addresses and machine output, in kebab-case.
        title: heading.
        question: what a reader wants to know here.
        study: computes and judges; pure, no I/O.
        template: Jinja template that lays the study out, relative to rigleaf/chapters.
        on_card: ids of the figures by which people choose a rig, shown on cards and at the head of the page.
        compared: ids of further figures that are worth setting beside those of another rig.
        told_of_all: ids of further figures that pages which tell of all rigs look at.
    """

    id: str
    title: str
    question: str
    study: Callable[[Assembly], Study]
    template: str
    on_card: tuple[str, ...] = ()
    compared: tuple[str, ...] = ()
    told_of_all: tuple[str, ...] = ()


@lru_cache(maxsize=1)
def chapters() -> tuple[Chapter, ...]:
    """Return the chapters in order; each folder's ``chapter`` module defines ``CHAPTER``."""
    return tuple(import_module(f"rigleaf.chapters.{folder}.chapter").CHAPTER for folder in ORDER)
