"""The register of part kinds: the word in the YAML, its model and its heading on the shelf."""

from typing import NamedTuple

from rigleaf.catalogue.models import cameras, carrying, mounting, optics, power, train
from rigleaf.catalogue.models.part import Part
from rigleaf.catalogue.wording import with_article


class Kind(NamedTuple):
    """One kind of part.

    ``word`` stands in the YAML and in addresses; ``model`` is what it may state; ``one`` and ``many`` are
    its names in sentences and headings.
    """

    word: str
    model: type[Part]
    one: str
    many: str

    @property
    def phrase(self) -> str:
        """The name with its article, such as "an optic"."""
        return with_article(self.one)


_ORDER: tuple[tuple[type[Part], str, str], ...] = (
    (optics.Optic, "optic", "Optics"),
    (optics.FrontFilter, "front filter", "Front filters for the Sun"),
    (optics.Corrector, "corrector", "Correctors and reducers"),
    (train.FocuserMotor, "focuser motor", "Focuser motors"),
    (train.Rotator, "rotator", "Rotators"),
    (train.FilterDrawer, "filter drawer", "Filter drawers"),
    (train.FilterWheel, "filter wheel", "Filter wheels"),
    (train.OffAxisPickOff, "off-axis pick-off", "Off-axis pick-offs"),
    (train.Adapter, "adapter", "Adapters"),
    (train.Spacer, "spacer", "Spacers"),
    (train.Shim, "shim", "Shims"),
    (train.TiltPlate, "tilt plate", "Tilt plates"),
    (train.Filter, "filter", "Filters"),
    (cameras.Camera, "camera", "Cameras"),
    (cameras.GuideCamera, "guide camera", "Guide cameras"),
    (optics.GuideScope, "guide scope", "Guide scopes"),
    (mounting.Mount, "mount", "Mounts"),
    (mounting.Counterweight, "counterweight", "Counterweights"),
    (mounting.CounterweightBar, "counterweight bar", "Counterweight bars"),
    (mounting.Tripod, "tripod", "Tripods and piers"),
    (mounting.Fixing, "fixing", "Rings, plates and saddles"),
    (optics.DewHeater, "dew heater", "Dew heaters"),
    (power.Computer, "computer", "Computers"),
    (power.Hub, "hub", "Hubs"),
    (power.HandController, "hand controller", "Hand controllers"),
    (power.Battery, "battery", "Batteries"),
    (power.Charger, "charger", "Chargers"),
    (power.MainsSupply, "mains supply", "Mains supplies"),
    (power.CarLead, "car lead", "Car leads"),
    (power.Cable, "cable", "Cables"),
    (carrying.Bag, "bag", "Bags and cases"),
    (carrying.Tool, "tool", "Tools"),
    (carrying.Spare, "spare", "Spares"),
    (carrying.Liquid, "liquid", "Liquids and cans"),
    (carrying.Sundry, "sundry", "Sundries"),
)


def _kind(model: type[Part], one: str, many: str) -> Kind:
    return Kind(str(model.model_fields["kind"].default), model, one, many)


KINDS: dict[str, Kind] = {kind.word: kind for kind in (_kind(*row) for row in _ORDER)}
"""Every kind by its word, in the order of the shelf: from sky to sensor, then what carries and feeds it."""
