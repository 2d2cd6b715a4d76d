"""What carriers ask of a battery besides the law: the journeys of the demo."""

from pathlib import Path

from rigleaf.catalogue.reading import read_catalogue
from rigleaf.journeys.study import study_trip


def test_a_power_bank_cites_the_carrier_that_wants_it_out_of_the_overhead_bin(project: Path) -> None:
    demo = read_catalogue(project)
    found = study_trip(demo, demo.trips["eclipse-for-two"])
    banks = [one for one in found.batteries if one.state == "power bank" and one.spot == "cabin"]
    assert banks
    for bank in banks:
        assert bank.rule is not None
        assert "tannfalk--overhead" in [rule.id for rule in bank.carriers]
        assert bank.rule not in bank.carriers
