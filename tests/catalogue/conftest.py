"""A small guide without a fault, which says a little of everything."""

from pathlib import Path

import pytest

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.catalogue.reading import read_catalogue


@pytest.fixture(scope="session")
def good_folder() -> Path:
    """The folder of the sound guide."""
    return Path(__file__).parent / "good"


@pytest.fixture(scope="session")
def good(good_folder: Path) -> Catalogue:
    """The sound guide, read."""
    return read_catalogue(good_folder)
