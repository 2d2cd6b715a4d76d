"""The chapter on the airport: what is judged, what mends it, and what is left alone."""

from dataclasses import replace
from typing import Any

import pytest

from rigleaf.catalogue.catalogue import Catalogue
from rigleaf.catalogue.models.carriers import Carrier
from rigleaf.catalogue.models.guide import Place
from rigleaf.catalogue.models.kinds import KINDS
from rigleaf.catalogue.models.rig import Rig
from rigleaf.chapters.assembly import Assembly
from rigleaf.chapters.at_the_airport.flight import flight_of
from rigleaf.chapters.at_the_airport.study import study
from rigleaf.chapters.figures import Finding, Study
from tests.chapters.small_guide import catalogue, finding
from tests.rules.kit import published_rule

Data = dict[str, Any]
BARREL = [{"kind": "12 V barrel"}]
SHELF: dict[str, Data] = {
    "small": {"kind": "battery", "name": "Small bank", "chemistry": "lifepo4", "marked_energy": "89.6 Wh",
              "outlets": BARREL, "installed": False, "owned": 2, "mass": "1 kg"},
    "mid": {"kind": "battery", "name": "Mid bank", "chemistry": "lifepo4", "marked_energy": "153.6 Wh",
            "outlets": BARREL, "installed": False, "owned": 1, "mass": "1.5 kg"},
    "large": {"kind": "battery", "name": "Large bank", "chemistry": "lifepo4", "marked_energy": "256 Wh",
              "outlets": BARREL, "installed": False, "owned": 1, "mass": "3 kg"},
    "spare": {"kind": "battery", "name": "Spare cell", "chemistry": "lithium-ion", "marked_energy": "16 Wh",
              "installed": False, "owned": 3, "mass": "80 g"},
    "driver": {"kind": "tool", "name": "Driver", "form": "hand tool", "length": "16 cm", "blade": "75 mm",
               "mass": "70 g"},
    "legs": {"kind": "tripod", "name": "Legs", "mass": "2 kg"},
    "camera": {"kind": "camera", "name": "Camera", "mass": "700 g"},
    "trolley": {"kind": "bag", "name": "Trolley", "outer": "55 x 38 x 22 cm", "goes_in": "cabin", "mass": "2 kg",
                "load_limit": "12 kg"},
    "case": {"kind": "bag", "name": "Case", "outer": "70 x 45 x 30 cm", "goes_in": "hold", "mass": "5 kg",
             "load_limit": "25 kg"},
}  # fmt: skip
CARRIER: Data = {
    "id": "one", "name": "One Air", "state": "DE", "ask": "By telephone, a week before.",
    "cabin": {"size": "55 x 40 x 23 cm", "mass": "8 kg", "pieces": 1},
}  # fmt: skip


def guide(*carried: str | Data, travels: str = "hand luggage", shelf: Data | None = None, **rig: Any) -> Catalogue:
    """Return a guide whose one rig carries some parts and leaves from Germany with One Air."""
    stated: Data = {"id": "rig", "name": "Rig", "travels": [travels], "carried": list(carried), **rig}
    found = catalogue(place="home", carrier="one")
    shelf = {**SHELF, **(shelf or {})}
    parts = {id_: KINDS[data["kind"]].model.model_validate({"id": id_, **data}) for id_, data in shelf.items()}
    home = Place.model_validate({"id": "home", "name": "Home", "timezone": "Europe/Berlin"})
    carriers = {"one": Carrier.model_validate(CARRIER)}
    one = Rig.model_validate(stated)
    return replace(found, parts=parts, rigs={"rig": one}, places={"home": home}, carriers=carriers)


def studied(*carried: str | Data, **options: Any) -> Study:
    return judged(guide(*carried, **options))


def judged(found: Catalogue) -> Study:
    return study(Assembly(found, found.rigs["rig"]))


def about(found: Study, part: str) -> Finding:
    """Return the one finding whose id names a part."""
    (one,) = (finding for finding in found.findings if f"-{part}-" in finding.id)
    return one


@pytest.mark.parametrize(
    ("travels", "words"),
    [("car", "travels by car"), ("on foot", "travels on foot"), ("stays put", "stays put")],
)
def test_a_rig_that_does_not_fly_is_left_alone(travels: str, words: str) -> None:
    found = studied("large", travels=travels)
    assert found.not_asked.startswith(f"Not asked: this rig {words}. That is no permission")
    assert "add 'hand luggage'" in found.not_asked
    assert (found.findings, found.figures, found.tables) == ((), (), ()), "neither sound nor unsaid"


def test_a_rig_that_does_not_say_how_it_travels_is_asked_to() -> None:
    found = guide("small")
    rig = found.rigs["rig"].model_copy(update={"travels": ()})
    one = finding(judged(replace(found, rigs={"rig": rig})), "flies")
    assert one.verdict == "unsaid"
    assert "'travels'" in one.remedy


def test_without_a_state_no_rule_can_be_asked() -> None:
    one = finding(judged(replace(guide("small"), places={})), "flies")
    assert one.verdict == "unsaid"
    assert "'timezone'" in one.remedy


def test_batteries_that_may_fly_are_named_with_their_place_and_conditions() -> None:
    one = finding(studied("small", "spare"), "batteries")
    assert one.verdict == "sound"
    assert one.sentence.startswith("Small bank and Spare cell may fly in the cabin or on the person.")
    assert one.sentence.endswith("If a cabin bag is taken from you at the gate, take them out first.")


def test_a_battery_that_stays_home_has_a_smaller_one_of_the_shelf_in_its_place() -> None:
    one = about(studied("large"), "large")
    assert one.verdict == "fails"
    assert one.title == "Stays home: Large bank"
    assert one.sentence.startswith("A lithium-ion battery above 160 Wh")
    assert "Source: ICAO Technical Instructions" in one.sentence
    assert one.remedy == "Small bank has an outlet of the same sort and may fly; the club owns 2."
    assert one.parts == ("small",)


def test_what_nobody_owns_is_not_proposed() -> None:
    shelf = {"small": {**SHELF["small"], "owned": 0}}
    one = about(studied("large", shelf=shelf), "large")
    assert one.remedy.startswith("Hire one at the destination")
    assert one.parts == ()


def test_a_battery_to_be_asked_for_says_how_the_carrier_wants_to_be_asked() -> None:
    one = about(studied("mid"), "mid")
    assert one.verdict == "tight"
    assert one.title == "Ask first: Mid bank"
    assert one.remedy == "Ask One Air. By telephone, a week before."


def test_too_many_are_shared_among_travellers() -> None:
    one = about(studied({"part": "small", "count": 3}), "small")
    assert one.verdict == "fails"
    assert "Of 3 × Small bank, 2 may fly in the cabin or on the person, not more." in one.sentence
    assert one.remedy == "Share them among 2 travellers, or leave at home what is too many."


def test_large_ones_that_are_shared_must_be_asked_for_all_the_same() -> None:
    one = about(studied({"part": "mid", "count": 3}), "mid")
    assert one.verdict == "fails"
    assert one.remedy.startswith("Share them among 2 travellers")
    assert one.remedy.endswith("Each above 100 Wh still needs the carrier's approval.")


def test_a_tool_stays_home_with_hand_luggage_alone_and_goes_into_the_hold_otherwise() -> None:
    one = about(studied("driver"), "driver")
    assert (one.verdict, one.remedy) == ("fails", "Leave it at home, or fly with a bag for the hold.")
    assert "Driver may fly in the hold." in finding(studied("driver", travels="hold luggage"), "rest").sentence


def test_a_thing_in_the_wrong_bag_is_moved() -> None:
    bags = [{"part": "case", "holds": ["small", "camera"]}, {"part": "trolley", "holds": ["driver"]}]
    found = studied("small", "camera", "driver", travels="hold luggage", bags=bags)
    battery, tool = about(found, "small"), about(found, "driver")
    assert (battery.verdict, battery.remedy) == ("fails", "Put it in the cabin or on the person.")
    assert battery.title == "Wrong bag: Small bank"
    assert battery.sentence.startswith("Small bank may not fly in the hold, where the rig packs it.")
    assert (tool.verdict, tool.remedy) == ("fails", "Put it in the hold.")


def test_a_bag_is_weighed_with_what_it_holds_once_everything_is_in_a_bag() -> None:
    bags = [{"part": "trolley", "holds": ["small", "camera"]}]
    assert not [one for one in studied("small", "camera", bags=bags).findings if "trolley" in one.id]
    heavy = {"camera": {**SHELF["camera"], "mass": "7 kg"}}
    one = about(studied("small", "camera", bags=bags, shelf=heavy), "trolley")
    assert (one.verdict, "One Air takes cabin bags of up to 8 kg." in one.sentence) == ("fails", True)
    assert one.sentence.startswith("It weighs 10 kg as packed.")
    assert one.remedy == "2.00\u00a0kg must come out of it: put Camera (7.00\u00a0kg) elsewhere, or leave it at home."
    assert one.parts == ("camera",)
    loose = about(studied("small", "camera", "spare", bags=[*bags, {"part": "case"}]), "trolley")
    assert (loose.verdict, loose.remedy) == ("unsaid", "Weigh before you leave, with all that goes in.")


def test_things_with_one_answer_for_one_reason_share_a_finding() -> None:
    second = {"other": {**SHELF["large"], "name": "Other bank"}}
    one = about(studied("large", "other", shelf=second), "large")
    assert one.title == "Stays home: Large bank and Other bank"
    assert "stay home" not in one.sentence


def test_the_state_of_the_rigs_place_is_touched_too() -> None:
    found = guide("legs")
    away = Place.model_validate({"id": "away", "name": "Away", "state": "US"})
    rig = found.rigs["rig"].model_copy(update={"place": "away"})
    found = replace(found, places={**found.places, "away": away}, rigs={"rig": rig})
    flight = flight_of(Assembly(found, rig))
    assert flight is not None
    assert flight.leg.all_states == ("DE", "US")
    assert judged(found).index["judged-for"].value == "Germany and United States, with One Air"


def test_a_flight_after_new_editions_are_due_says_so() -> None:
    assert not [one for one in studied("small").findings if one.id == "again"]
    one = finding(studied("small", night={"date": "2027-08-02"}), "again")
    assert one.verdict == "unsaid"
    assert one.sentence.startswith(
        "The flight is on 2 August 2027. Since these rules were read, new editions were due:"
    )


def test_the_guides_own_rules_are_asked() -> None:
    own = published_rule("own", of=["tripod"], where=["cabin"], says="No legs.", authority="DE")
    found = replace(guide("legs"), rules={"own": own})
    one = about(judged(found), "legs")
    assert (one.verdict, "No legs. Source: Germany: A document." in one.sentence) == ("fails", True)


def test_the_table_has_every_article_strictest_first() -> None:
    _, table = studied("large", "small", "mid", "camera", "legs").tables
    words = [row[2].text for row in table.rows]
    assert len(words) == 5
    order = ["stays home", "say more", "ask first", "may fly"]
    assert words == sorted(words, key=order.index)
    assert table.rows[0][0].part == "large"


def test_each_battery_has_its_energy_its_answer_the_reason_and_the_rule_with_its_day() -> None:
    found = studied("large", "small", "camera")
    table = next(table for table in found.tables if table.id == "batteries")
    large, small = ([cell.text for cell in row] for row in table.rows)
    assert large[:3] == ["Large bank", "256 Wh", "stays home"]
    assert large[3].startswith("Large bank stays home. A lithium-ion battery above 160 Wh")
    assert small[:3] == ["Small bank", "89.6 Wh", "may fly"]
    assert small[3].startswith("Small bank may fly in the cabin or on the person. One person may take two power banks")
    for row in (large, small):
        assert row[4].startswith("ICAO Technical Instructions (Doc 9284), ")
        assert "; in force since " in row[4]
    answer = found.index["battery-answer"]
    assert (answer.value, answer.note) == ("stays home", "1 of 2 sorts, of 256 Wh each")


def test_a_rig_without_batteries_is_not_told_about_them() -> None:
    found = studied("camera", "legs")
    assert [table.id for table in found.tables] == ["answers"]
    assert "battery-answer" not in found.index


@pytest.mark.parametrize("gone", ["chemistry", "marked_energy", "outlets", "installed", "mass", "owned"])
def test_leaving_something_out_never_makes_an_answer_milder(gone: str) -> None:
    order = ["sound", "tight", "unsaid", "fails"]
    for id_ in ("small", "mid", "large", "spare"):
        data = {key: value for key, value in SHELF[id_].items() if key != gone}
        whole, gappy = studied(id_), studied(id_, shelf={id_: data})
        worst = [max((order.index(one.verdict) for one in found.findings), default=0) for found in (whole, gappy)]
        assert worst[1] >= worst[0] or "unsaid" in {one.verdict for one in gappy.findings}, (id_, gone)


def test_a_finding_of_one_thing_names_it_in_the_title_alone() -> None:
    one = about(studied("mid"), "mid")
    assert one.title == "Ask first: Mid bank"
    assert one.sentence.startswith("It may fly in the cabin or on the person once the carrier has agreed.")
    assert "Mid bank" not in one.sentence


@pytest.mark.parametrize(
    ("carried", "answer"), [(("small",), "may fly"), (("small", "mid"), "ask first"), (("mid", "large"), "stays home")]
)
def test_the_answer_for_the_whole_rig_is_the_strictest_of_its_pieces(carried: tuple[str, ...], answer: str) -> None:
    found = studied(*carried)
    assert found.index["answer"].value == answer
    assert not found.index["answer"].shown, "the findings say which piece"
