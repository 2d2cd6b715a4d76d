"""A rig as the chapters see it: the parts in hand, the place, and what is assumed."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import Any, TypeVar

from rigleaf.catalogue.catalogue import Catalogue, Item, Kind, Role
from rigleaf.catalogue.defaults import choice
from rigleaf.catalogue.models.cameras import Camera
from rigleaf.catalogue.models.guide import Place
from rigleaf.catalogue.models.optics import Corrector, FrontFilter, Optic
from rigleaf.catalogue.models.power import CarLead
from rigleaf.catalogue.models.rig import Rig
from rigleaf.catalogue.models.train import FocuserMotor
from rigleaf.catalogue.targets import resolve
from rigleaf.chapters.formatting import show
from rigleaf.quantities import Reading
from rigleaf.sky.targets import SkyTarget

Found = TypeVar("Found")


@dataclass(frozen=True)
class Assembly:
    """One rig with its parts looked up."""

    catalogue: Catalogue
    rig: Rig

    @cached_property
    def items(self) -> tuple[Item, ...]:
        """Every part with its role and count."""
        return self.catalogue.items(self.rig)

    @cached_property
    def place(self) -> Place | None:
        """The rig's home place, or the guide's."""
        return self.catalogue.place_of(self.rig)

    def parts(self, model: type[Kind], *roles: Role) -> Iterator[Kind]:
        """Yield the parts of a kind, in the roles given or in any."""
        for item in self.items:
            if isinstance(item.part, model) and (not roles or item.role in roles):
                yield item.part

    @cached_property
    def optic(self) -> Optic | None:
        """The optic of the main train."""
        return next(self.parts(Optic, "train"), None)

    @cached_property
    def correctors(self) -> tuple[Corrector, ...]:
        """Correctors, reducers and extenders of the main train, from sky to sensor."""
        return tuple(self.parts(Corrector, "train"))

    @cached_property
    def camera(self) -> Camera | None:
        """The camera at the end of the main train."""
        return next(self.parts(Camera, "train"), None)

    @cached_property
    def focuser_motor(self) -> FocuserMotor | None:
        """The motor on the focuser."""
        return next(self.parts(FocuserMotor), None)

    @cached_property
    def all_targets(self) -> tuple[SkyTarget, ...]:
        """What the rig is put together for, in order; Sun, Moon and planets among them, which have no lasting place."""
        return tuple(resolve(self.catalogue.targets[id_]) for id_ in dict.fromkeys(self.rig.targets))

    @cached_property
    def targets(self) -> tuple[SkyTarget, ...]:
        """Those of them that have a place among the stars."""
        return tuple(target for target in self.all_targets if target.place is not None)

    @cached_property
    def _known(self) -> dict[Callable[[Any], Any], Any]:
        return {}

    def once(self, function: Callable[["Assembly"], Found]) -> Found:
        """Return what a pure function finds out about this rig; it is asked once, however many chapters want it."""
        if function not in self._known:
            self._known[function] = function(self)
        found: Found = self._known[function]
        return found

    def say(self, value: float, dimension: str) -> str:
        """Write a value in words, in the guide's own unit system."""
        return show(value, dimension, self.catalogue.guide.units).first

    @cached_property
    def filtered_for_the_sun(self) -> bool:
        """Whether a full-aperture filter stands first in the train, as the Sun asks and the stars forbid."""
        return any(self.parts(FrontFilter, "train"))

    @cached_property
    def fed_by_car(self) -> bool:
        """Whether a car feeds it; a car lead may also hang on a battery's own socket, as the lead of a feed."""
        leads = {feed.lead for feed in self.rig.feeds}
        return any(part.id not in leads for part in self.parts(CarLead))

    def choice(self, name: str) -> Reading:
        """Return what the guide chooses, or what is assumed where it does not say."""
        return choice(self.catalogue.guide, name)

    def seeing(self) -> tuple[Reading, str]:
        """Return the seeing at the zenith and where it comes from."""
        if self.place is not None and self.place.seeing is not None:
            return self.place.seeing, f"as given for {self.place.name}"
        return self.choice("seeing"), "no place of this rig states its seeing"

    def tracking_error(self) -> tuple[Reading, str]:
        """Return the tracking error (root mean square, both axes) and where it comes from."""
        if self.rig.guiding is not None and self.rig.guiding.tracking_error is not None:
            return self.rig.guiding.tracking_error, "as given for this rig"
        return self.choice("tracking_error"), "this rig states no tracking error"
