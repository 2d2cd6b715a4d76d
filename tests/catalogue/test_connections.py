"""Connections by size, pitch and gender."""

import pytest

from rigleaf.catalogue.models.connections import Connection, read_connection


@pytest.mark.parametrize(
    ("text", "connection"),
    [
        ("M48 x 0.75 female", Connection("thread", "female", 48.0, 0.75, "M", "M48 x 0.75")),
        ("m48×0.75   Female", Connection("thread", "female", 48.0, 0.75, "M", "M48 x 0.75")),
        ("M63 x 1 male", Connection("thread", "male", 63.0, 1.0, "M", "M63 x 1")),
        # A Unified thread is named by its diameter in inches and its turns an inch.
        ("3/8-16 UNC male", Connection("thread", "male", 3 / 8 * 25.4, 1.5875, "UNC", "3/8-16 UNC")),
        ("1/4-20 UNC female", Connection("thread", "female", 6.35, 1.27, "UNC", "1/4-20 UNC")),
        ("1.37 - 32 female", Connection("thread", "female", 1.37 * 25.4, 25.4 / 32, "UN", "1.37-32 UN")),
        ("2 in barrel male", Connection("barrel", "male", 50.8, name="2 in barrel")),
        ('1.25" barrel female', Connection("barrel", "female", 31.75, name="1.25 in barrel")),
        ("50.8 mm barrel male", Connection("barrel", "male", 50.8, name="50.8 mm barrel")),
        ("bayonet b54 female", Connection("bayonet", "female", series="B54", name="bayonet B54")),
        ("clamp 70 mm female", Connection("clamp", "female", 70.0, name="clamp 70 mm")),
        ("Fixed", Connection("fixed", None, name="fixed")),
    ],
)
def test_connections(text: str, connection: Connection) -> None:
    assert read_connection(text) == connection


@pytest.mark.parametrize("text", ["M48 x 0.75 female", "3/8-16 UNC male", "2 in barrel male", "fixed"])
def test_a_connection_is_written_as_it_is_read(text: str) -> None:
    assert str(read_connection(text)) == text
    assert read_connection(str(read_connection(text))) == read_connection(text)
