"""Which glass of an optic the dew comes to first, and how much of the sky it sees."""

from dataclasses import dataclass

from rigleaf.catalogue.models.optics import GuideScope, Optic
from rigleaf.chapters.dew_and_cold import physics

OPEN_FORMS = ("newtonian", "ritchey-chretien")
"""Tubes without a front glass: the main mirror sees little sky from the bottom, the small one near the mouth more."""


@dataclass(frozen=True)
class Glass:
    """The glass that dew comes to first.

    Attributes:
        optic: whose glass it is.
        name: what it is called in a sentence.
        diameter: in mm.
        shield: length in mm by which tube or shield stands out before it.
        opening: diameter of the mouth in mm.
        tube_diameter: outer diameter of the tube that a band warms, in mm; 0 where the glass is heated from behind.
        reach: lengths of tube before and behind a band, in mm.
        faces: how many of its sides take heat from the air; only one of them looks at the sky.
        assumed: what was taken for granted, in words that follow "with".
    """

    optic: Optic | GuideScope
    name: str
    diameter: float
    shield: float
    opening: float
    tube_diameter: float
    reach: tuple[float, float]
    faces: int = 1
    assumed: tuple[str, ...] = ()

    @property
    def view(self) -> float:
        """Part of its view that is open sky."""
        return physics.view_of_opening(self.diameter, self.opening, self.shield)

    @property
    def conductivity(self) -> float:
        """Of the tube's wall, W/m/K; aluminium, which asks most, where nothing is said."""
        material = self.optic.tube_material if isinstance(self.optic, Optic) else None
        return physics.CONDUCTIVITY[material or "aluminium"]


def glass_of(optic: Optic | GuideScope) -> Glass | None:
    """Return the glass of an optic that dew comes to first, or None where its size is unsaid.

    In an open tube that is the secondary mirror, whose back looks out of the mouth. The main mirror at the bottom sees
    next to no sky and stays as warm as the tube around it.
    """
    if optic.aperture is None:
        return None
    form = optic.form if isinstance(optic, Optic) else "refractor"
    shield = optic.dew_shield.value if optic.dew_shield is not None else 0.0
    assumed = [] if optic.dew_shield is not None else ["no dew shield, as none is stated"]
    aperture = optic.aperture.value
    outer = optic.tube_diameter.value if optic.tube_diameter else None
    if outer is None:
        # A tube is never narrower than its glass; a narrow one sees least, so the shield does not count.
        outer, shield = aperture, 0.0
        assumed.append("a tube as wide as its glass and no shield, as its diameter is unsaid")
    if form in OPEN_FORMS:
        obstruction = optic.central_obstruction if isinstance(optic, Optic) else None
        if obstruction is None or not obstruction.value:
            return None
        return Glass(optic, "secondary mirror", obstruction.value, shield, outer, 0.0, (0.0, 0.0), 2, tuple(assumed))
    length = optic.tube_length.value if isinstance(optic, Optic) and optic.tube_length else aperture * 4
    if form == "lens":
        # The entrance pupil of a lens is smaller than its front glass, which is about as wide as the barrel.
        aperture = max(aperture, outer)
    name = "corrector plate" if form == "cassegrain" else "front glass"
    reach = (shield, length)
    return Glass(optic, name, aperture, shield, max(outer, aperture), outer, reach, assumed=tuple(assumed))
