"""Masses in sentences: short, but never on the other side of a limit than what was judged."""

from decimal import Decimal

import pytest

from rigleaf.catalogue.models.flight_fields import Limits
from rigleaf.rules.energy import Amount
from rigleaf.rules.sentences import kilograms

OVER_8 = Limits(Decimal(8), False, None, False, "over 8 kg")


@pytest.mark.parametrize(
    ("mass", "limits", "words"),
    [
        ("8.569", OVER_8, "8.57 kg"),
        ("8.001", OVER_8, "8.001 kg"),
        ("8", OVER_8, "8 kg"),
        ("7.999", OVER_8, "8 kg"),
        ("7.9", None, "7.9 kg"),
    ],
)
def test_a_mass_is_rounded_unless_that_carries_it_over_a_limit(mass: str, limits: Limits | None, words: str) -> None:
    assert kilograms(Amount(Decimal(mass), Decimal(mass), "marked"), limits) == words
