"""A journey made by hand, so that its pages are tested without any study: two people, one flight out, one back."""

import datetime as dt
from dataclasses import replace
from typing import Any

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.catalogue.models.guide import Place
from rigleaf.catalogue.models.trip import Trip
from rigleaf.chapters.figures import Finding, Verdict
from rigleaf.journeys.result import (
    ArticleStudy,
    Ask,
    BagStudy,
    BatteryStudy,
    Change,
    Headline,
    Left,
    LegStudy,
    RuleNote,
    TravelItem,
    TravellerStudy,
    TripStudy,
    WayOut,
)
from rigleaf.journeys.result import Place as Lies
from rigleaf.journeys.result_nights import MainsStudy, NightStudy, PowerNight, TargetNight
from tests.chapters.small_guide import Data, catalogue, parts

ASSET = "CLUB-07"
SECRETS = {"serial": "SN-4711-X", "value": "1234.56 EUR", "remarks": "belongs to a member"}
RULE = RuleNote(
    "icao-power-bank-large", "International Civil Aviation Organization", "A power bank above 100 Wh needs approval.",
    "Technical Instructions, Table 8-1, 2025-2026", "copy", "high",
)  # fmt: skip
OWN = RuleNote("stork--two", "Stork Air", "Two batteries each.", "Conditions, 4.2", "official page", "high")
BAGS: dict[str, Data] = {
    "cabin-bag": {"kind": "bag", "name": "Cabin bag", "mass": "1 kg"},
    "crate": {"kind": "bag", "name": "Crate", "mass": "3 kg", "battery": "20 Wh"},
    "bank": {
        "kind": "battery", "name": "Bank", "chemistry": "lifepo4", "nominal_voltage": "12.8 V", "charge": "12 Ah",
        "asset": ASSET, "private": SECRETS,
    },
}  # fmt: skip


def made_guide(**guide: Any) -> Catalogue:
    """Return a guide with one rig, one place and the journey in it."""
    shelf = {**parts(battery={"private": SECRETS, "asset": "CLUB-01"}), **BAGS}
    place = Place.model_validate({"id": "field", "name": "Field"})
    return replace(catalogue(shelf, **guide), places={"field": place}, trips={"north": made_entry("north")})


def made_entry(id_: str) -> Trip:
    """Return what the YAML would say of the journey."""
    who = [{"id": "a", "called": "the first"}, {"id": "b", "called": "the second"}]
    return Trip.model_validate({"id": id_, "name": "North", "travellers": who, "rigs": ["rig"], "place": "field"})


def leg(number: int, day: int, *, by: Any = "plane", word: Any = "ask first") -> LegStudy:
    """Return a leg on a day of March 2027."""
    return LegStudy(
        number, dt.date(2027, 3, day), "Town", "Harbour", by, "stork" if by == "plane" else "",
        "Stork Air" if by == "plane" else "", ("DE", "NO"), ("Germany", "Norway"), word if by == "plane" else None, "",
    )  # fmt: skip


def battery(**changes: Any) -> BatteryStudy:
    """Return two loose banks of 153.6 Wh in the first one's cabin bag, with changes."""
    made = BatteryStudy(
        part="bank", name="Bank", count=2, energy=153.6, energy_words="the energy is 153.6 Wh", chemistry="lifepo4",
        state="power bank", bag="cabin-bag", bag_name="Cabin bag", spot="cabin", traveller="a", word="ask first",
        sentence="Bank may fly in the cabin once you have asked.", provided=("Cover its contacts.",), rule=RULE,
    )  # fmt: skip
    return replace(made, **changes)


def bag(**changes: Any) -> BagStudy:
    """Return the first one's cabin bag, with changes."""
    made = BagStudy(
        key="cabin-bag", part="cabin-bag", name="Cabin bag", traveller="a", spot="cabin",
        contents=(("camera", 1), ("bank", 2), ("motor", 1)), mass=7.25, mass_complete=True, limit=8.0,
        outer=(550.0, 400.0, 200.0), fill=0.62, searched=True, word="may fly", sentence="Cabin bag may fly.", rule=None,
        verdict="sound",
    )  # fmt: skip
    return replace(made, **changes)


CRATE = bag(
    key="crate", part="crate", name="Crate", traveller="b", spot="hold", contents=(("weight", 2),), mass=9.0,
    mass_complete=False, limit=None, outer=None, fill=None, searched=False, word="say more", rule=OWN, verdict="unsaid",
)  # fmt: skip


def night(day: int, left: float = -20.0) -> NightStudy:
    """Return a night of March 2027 in which two targets stand high and one hardly."""
    high = (TargetNight("m31", "Spiral", 4.0, 1.5), TargetNight("m45", "Cluster", 2.0, 2.0))
    low = TargetNight("x", "Low", 0.01, 0.0)
    verdict: Verdict = "fails" if left < 0 else "sound"
    power = PowerNight("rig", "Rig", "Bank", 120.0, 120.0 + left, left, verdict, "The rig draws much.")
    return NightStudy(dt.date(2027, 3, day), 7.5, 5.0, 0.31, "20:20", "04:00", (*high, low), (power,))


def finding(id_: str) -> Finding:
    """Return a finding that names a method which there is."""
    return Finding(id_, "tight", f"About {id_}", f"This is said about {id_}.", (), "flight-answer")


def made_trip(**changes: Any) -> TripStudy:
    """Return the journey in full, with changes."""
    worn = (("Head torch", 1),)
    people = (
        TravellerStudy("a", "the first", ("cabin-bag",), worn, 8.0, mass_complete=True, word="ask first"),
        TravellerStudy("b", "the second", ("crate",), (), 9.0, mass_complete=False, word="say more"),
    )
    letter = "To: Stork Air\n\nGood day,\n\n  - 2 x 153.6 Wh\n\nName ______"
    made = TripStudy(
        id="north", name="North", summary="To the north. For a week.", notes="Take <warm> things.", place="field",
        place_name="Field",
        headline=Headline("ask first", flies=True, sentence="Ask about the bank.", advice="Advice of 1 March 2027."),
        legs=(leg(1, 4), leg(2, 5, by="train"), leg(3, 10)),
        travellers=people,
        items=(
            TravelItem("bank", "Bank", 3, ("rig",), (Lies("cabin-bag", "cabin", "a", 2), Lies("", None, "", 1))),
            TravelItem("motor", "Motor", 1, (), (Lies("", "on the person", "a", 1),)),
        ),
        bags=(bag(), CRATE),
        batteries=(
            battery(),
            battery(part="battery", name="Battery", count=1, energy=None, energy_words="the energy is unsaid",
                    chemistry="unsaid", state="loose", word="say more", provided=(), rule=OWN),
            battery(part="crate", name="Crate", count=1, energy=20.0, chemistry="lithium-ion", state="installed",
                    bag="crate", bag_name="Crate", spot="hold", traveller="b", word="may fly", rule=RULE),
            battery(count=1, bag="", bag_name="left", spot=None, traveller="", word="stays home", provided=()),
        ),
        articles=(
            ArticleStudy("motor", "Motor", 1, "hand tool", "crate", "Crate", "hold", "b", "may fly", "Goes.", (), OWN),
        ),
        left=(Left("bank", "Bank", 1, "number", "Bank is one too many.", RULE),),
        ways_out=(WayOut("leave", "Leave Bank at home.", "may fly", ("bank",), -30.0),),
        asks=(Ask("stork", "Stork Air", (1, 3), ("Bank needs approval.",), "By its form.", letter),),
        changes=(
            Change(1, "carrier", "with Owl Lines", "owl", None, None, "stays home", ("Bank: stays home.",)),
            Change(3, "date", "from 27 March 2027 on", "", dt.date(2027, 3, 27), None, "ask first", ("One.", "Two.")),
        ),
        ground=(finding("loads"),),
        nights=(night(5), night(6, left=15.0)),
        nights_findings=(finding("dark"),),
        mains=MainsStudy(230.0, ("C", "F"), "06:00 to 22:00", (finding("plugs"),)),
        found_there=("A sledge.",),
        suggestions=("Think of gloves.",),
    )  # fmt: skip
    return replace(made, **changes)


def bare_trip(**changes: Any) -> TripStudy:
    """Return a journey of which nearly nothing is known, that does not fly."""
    made = TripStudy(
        "north", "North", "", "", "", "", Headline("unsaid", flies=False, sentence="Nothing is known.", advice=""),
        (), (), (), (),
    )  # fmt: skip
    return replace(made, **changes)
