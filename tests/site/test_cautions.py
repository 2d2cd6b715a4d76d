"""Which cautions a rig's page shows, and that every text is there and reached."""

from pathlib import Path

import pytest
from lxml import html

from rigleaf.catalogue.reading import read_catalogue
from rigleaf.chapters.assembly import Assembly
from rigleaf.site.book import make_book
from rigleaf.site.typeset.addresses import Addresses
from rigleaf.site.typeset.cautions import _RULES, HEAVY_PIECE_KG, HEAVY_RIG_KG, cautions, cautions_for
from tests.chapters.small_guide import Data, catalogue

BARE: Data = {"train": [], "riders": [], "mount": None, "counterweights": [], "tripod": None, "power": []}
JUST_LESS = 1 - 1e-6


def shown(shelf: dict[str, Data], **rig: object) -> set[str]:
    """Ids of the cautions on the page of a rig that is made of nothing but the shelf."""
    found = catalogue(
        shelf,
        rig={**BARE, "carried": [{"part": id_, "count": data.pop("count", 1)} for id_, data in shelf.items()], **rig},
    )
    return {caution.id for caution in cautions_for(Assembly(found, found.rigs["rig"]))}


@pytest.mark.parametrize(
    ("part", "rig", "expected"),
    [
        ({"kind": "sundry"}, {}, set()),
        ({"kind": "front-filter"}, {}, {"sun"}),
        ({"kind": "sundry"}, {"purpose": ["Sun"]}, {"sun"}),
        ({"kind": "sundry"}, {"purpose": ["eclipses"]}, {"sun"}),
        ({"kind": "sundry"}, {"purpose": ["Moon", "planets"]}, set()),
        ({"kind": "battery", "chemistry": "lithium-ion"}, {}, {"lithium"}),
        ({"kind": "battery", "chemistry": "lifepo4"}, {}, {"lithium"}),
        ({"kind": "battery"}, {}, {"lithium"}),  # unsaid may well be lithium
        ({"kind": "battery", "chemistry": "sealed lead-acid"}, {}, {"lead-acid"}),
        ({"kind": "sundry", "name": "Green laser"}, {}, {"laser"}),
        ({"kind": "optic"}, {"train": ["thing"], "carried": []}, {"sun-cap"}),
        ({"kind": "optic"}, {"train": ["thing"], "carried": [], "purpose": ["Sun"]}, {"sun"}),
        ({"kind": "counterweight"}, {"counterweights": ["thing"], "carried": []}, {"weights"}),
        ({"kind": "counterweight"}, {}, set()),
        ({"kind": "tripod"}, {}, {"wind"}),
        ({"kind": "car-lead"}, {}, {"car"}),
        ({"kind": "mains-supply"}, {}, {"mains"}),
        ({"kind": "sundry", "mass": f"{HEAVY_PIECE_KG} kg"}, {}, {"lifting"}),
        ({"kind": "sundry", "mass": f"{HEAVY_PIECE_KG * JUST_LESS} kg"}, {}, set()),
        ({"kind": "sundry", "mass": f"{HEAVY_RIG_KG / 5} kg", "count": 5}, {}, {"lifting"}),
        ({"kind": "sundry", "mass": f"{HEAVY_RIG_KG / 5 * JUST_LESS} kg", "count": 5}, {}, set()),
    ],
)
def test_a_rig_shows_the_cautions_that_concern_it(part: Data, rig: Data, expected: set[str]) -> None:
    assert shown({"thing": {"name": "Thing", **part}}, **rig) == expected


def test_every_caution_has_a_rule_and_says_to_whom_it_defers() -> None:
    for caution in cautions():
        assert caution.when in _RULES
        explained = next(one for one in cautions() if one.id == caution.explained)
        assert explained.text.strip()
        assert explained.defer.strip()
        assert bool(caution.short) == (caution.when != "general"), caution.id
    assert len({caution.id for caution in cautions()}) == len(cautions())


@pytest.mark.parametrize(
    "word",
    [
        "full-aperture",
        "ISO 12312-2",
        "aircraft",
        "lithium",
        "lift",
        "tripod",
        "starter battery",
        "residual-current",
        "emergency",
    ],
)
def test_the_usual_dangers_are_spoken_of(word: str) -> None:
    assert any(word in caution.text + caution.defer for caution in cautions())


def test_the_demo_shows_every_caution_that_depends_on_a_rig_and_links_each_to_its_text(project: Path) -> None:
    demo = read_catalogue(project)
    book = make_book(demo, Addresses(False))
    safety = next(page for page in book.pages if page.address == "safety/index")
    anchors = set(html.fromstring(f"<main>{safety.html}</main>").xpath("//h2/@id"))
    assert anchors == {caution.id for caution in cautions() if caution.text}
    linked: set[str] = set()
    for rig in demo.rigs.values():
        page = next(page for page in book.pages if page.address == f"rigs/{rig.id}")
        tree = html.fromstring(f"<main>{page.html}</main>")
        found = {href.partition("#")[2] for href in tree.xpath("//aside//a/@href")}
        assert found == {caution.explained for caution in cautions_for(Assembly(demo, rig))}
        linked |= found
    assert linked == {caution.explained for caution in cautions() if caution.when != "general"}
