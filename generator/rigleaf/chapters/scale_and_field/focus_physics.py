"""Focus as pure functions: depth, motor steps, and how the tube's expansion moves it.

Every function takes plain floats or numpy arrays and returns the same kind, elementwise. Units are in the
parameter names and docstrings. The sources and outside checks stand in `methods.yml` beside this file.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np

from rigleaf.chapters.scale_and_field.physics import GREEN_NM, N, elementwise


def defocus_waves(defocus_um: N, focal_ratio: N | float, wavelength_nm: N | float = GREEN_NM) -> N:
    """Wavefront error of defocus, peak to valley, in waves; paraxial, within 5 % of exact down to f/2."""
    return defocus_um * 1e3 / (8 * focal_ratio**2 * wavelength_nm)


def defocus_strehl(waves: N) -> N:
    """Height of a defocused star's peak against the focused one, from peak-to-valley waves."""
    return elementwise(np.sinc, waves) ** 2


def depth_quarter_wave(focal_ratio: N, wavelength_nm: N | float = GREEN_NM) -> N:
    """Defocus in um, to EITHER side, that costs a quarter wave and 19 % of the peak; half the range."""
    return 2 * wavelength_nm * 1e-3 * focal_ratio**2


def depth_geometric(focal_ratio: N, blur_um: N | float) -> N:
    """Defocus in um, to EITHER side, that spreads a point of light over a disc of the allowed diameter."""
    return focal_ratio * blur_um


def depth_of_focus(focal_ratio: N, blur_um: N | float, wavelength_nm: N | float = GREEN_NM) -> N:
    """The narrower of the two tolerances, um to either side; the quarter wave binds below c/(2 lambda)."""
    quarter_wave = depth_quarter_wave(focal_ratio, wavelength_nm)
    return elementwise(np.minimum, quarter_wave, depth_geometric(focal_ratio, blur_um))


def defocus_at_sensor(travel_um: N, corrector_factor: N | float = 1.0) -> N:
    """Defocus in um at the sensor when camera and corrector are moved together along the axis.

    A corrector of factor M that rides with the camera turns a travel into M^2 times as much defocus.
    """
    return travel_um * corrector_factor**2


def steps_in_depth(half_depth_um: N, step_um: N | float) -> N:
    """Steps of the focus motor inside the whole in-focus range; both lengths at the sensor."""
    return 2 * half_depth_um / step_um


@dataclass(frozen=True)
class Expansion:
    """Linear expansion of a tube material in 1e-6 per degC, the least and most that sources give, and who."""

    typical: float
    low: float
    high: float
    note: str

    @property
    def worst(self) -> float:
        """The end of the range that moves the focus most."""
        return max(self.low, self.high, key=abs)


_BOOK = "Fundamentals of Materials Science and Engineering, 3rd ed., Table B.6"
_COLLEGE = "OpenStax, College Physics, Thermal Expansion"
_WOUND = "a tube wound in several directions can reach about +3 (from memory)"
EXPANSION: Mapping[str, Expansion] = MappingProxyType(
    {
        "aluminium": Expansion(23.6, 22.9, 25.0, f"6061 23.6, 7075 23.4, 2024 22.9 ({_BOOK}); 25 ({_COLLEGE})"),
        "carbon fibre": Expansion(-0.5, -0.6, 3.0, f"-0.5 and -0.6 along, +32 across ({_BOOK}); {_WOUND}"),
        "steel": Expansion(12.0, 11.0, 17.2, f"12 ({_COLLEGE}); stainless 304 17.2 ({_BOOK}); 11 from memory"),
        "invar": Expansion(1.6, 0.72, 1.6, f"Invar 1.6, Super Invar 0.72 ({_BOOK}); 0.9 ({_COLLEGE})"),
        "brass": Expansion(19.0, 18.0, 21.0, "from memory"),
    }
)
"""By tube material. Plastics are left out: their values run from 20 to above 100."""


def focus_shift_per_degree(expansion_1e6: N, length_mm: N | float, lever: N | float = 1.0) -> N:
    """How far the focus moves along the focuser, um per degC; positive: the tube grows with warmth.

    Only the tube between objective (or mirror) and focuser: the glass moves too, and can match it.
    """
    return expansion_1e6 * length_mm * 1e-3 * lever


def two_mirror_lever(system_ratio: N, primary_ratio: N | float) -> N:
    """Travel of the focus for a unit change of the mirror spacing in a two-mirror telescope: m^2 + 1.

    m is the magnification of the secondary, the system's focal ratio over the primary's. The length that
    expands is then the spacing of the mirrors. Small changes; mirrors of glass that hardly expands.
    """
    return (system_ratio / primary_ratio) ** 2 + 1


def degrees_until_refocus(half_depth_um: N, shift_um_per_degree: N | float) -> N:
    """Change of temperature in degC that uses up the depth of focus to one side; infinite for no shift."""
    shift: N | float = np.abs(shift_um_per_degree)
    with np.errstate(divide="ignore"):
        return elementwise(np.divide, half_depth_um, shift)
