"""Every model that YAML is read into."""

from rigleaf.catalogue.models import cameras, carriers, lending, optics, part, power, rig, train
from rigleaf.catalogue.models.fields import Entry
from rigleaf.catalogue.models.flight import FlightRule, RuleBody
from rigleaf.catalogue.models.guide import Choices, Guide, Place, SkylinePoint, Target
from rigleaf.catalogue.models.kinds import KINDS


def every_model() -> set[type[Entry]]:
    """Return the models of everything that YAML may say."""
    inner = (cameras.Sensor, cameras.SecondSensor, optics.BackFocus, part.Draw, part.Private, power.Outlet)
    outer = (Guide, Choices, Place, SkylinePoint, Target, rig.Rig, rig.Guiding, rig.Use, train.PassBand)
    flight = (carriers.Carrier, carriers.CabinBags, carriers.HoldBags, carriers.CarrierRule, RuleBody, FlightRule)
    desk = (lending.Loan, lending.Reservation, lending.Service, lending.BorrowerPrivate, lending.ServicePrivate)
    return {*inner, *flight, lending.DeskBook, *desk, *outer, *(kind.model for kind in KINDS.values())}
