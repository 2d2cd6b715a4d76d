"""Masses of parts, as the arithmetic of masses takes them."""

from collections.abc import Iterable

from rigleaf.catalogue.catalogue import Item
from rigleaf.chapters.what_it_weighs.physics import Load, MassSum, sum_masses


def sum_items(items: Iterable[Item]) -> MassSum:
    """Add the masses of parts, each as often as it is carried, in kg."""
    return sum_masses(_load(item) for item in items)


def _load(item: Item) -> Load:
    mass = item.part.mass
    if mass is None:
        return Load(None, count=item.count)
    return Load(mass.value, mass.basis, mass.uncertainty, item.count)
