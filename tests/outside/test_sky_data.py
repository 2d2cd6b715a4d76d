"""The shipped stars and objects against published places, library routines and what is known of the sky.

What is marked MEMORY was written down without a book at hand; the rest is COMPUTED with another library.
"""

import numpy as np
import pytest
from numpy.typing import NDArray

from rigleaf.sky.objects import SkyObject, all_objects, find
from rigleaf.sky.projection import separation
from rigleaf.sky.stars import EPOCH, StarField, stars_in_cone

Array = NDArray[np.float64]


@pytest.fixture(scope="module")
def sky() -> StarField:
    return stars_in_cone(0, 0, 180)


# J2000 place, proper motion in mas/yr (RA times cos Dec, Dec), Hipparcos catalogue, MEMORY.
PLACES = {
    "Sirius": ("06 45 08.917", "-16 42 58.02", -546.01, -1223.07),
    "Canopus": ("06 23 57.110", "-52 41 44.38", 19.93, 23.24),
    "Arcturus": ("14 15 39.672", "+19 10 56.67", -1093.39, -2000.06),
    "Vega": ("18 36 56.336", "+38 47 01.28", 200.94, 286.23),
    "Capella": ("05 16 41.359", "+45 59 52.77", 75.25, -426.89),
    "Procyon": ("07 39 18.119", "+05 13 29.96", -714.59, -1036.80),
    "Altair": ("19 50 46.999", "+08 52 05.96", 536.23, 385.29),
    "Fomalhaut": ("22 57 39.046", "-29 37 20.05", 328.95, -164.67),
    "Deneb": ("20 41 25.915", "+45 16 49.22", 2.01, 1.85),
    "Polaris": ("02 31 49.095", "+89 15 50.79", 44.48, -11.85),
    "Groombridge 1830": ("11 52 58.769", "+37 43 07.24", 4003.98, -5813.62),
    "Kapteyn's star": ("05 11 40.58", "-45 01 06.3", 6505.08, -5730.84),
    "Barnard's star": ("17 57 48.498", "+04 41 36.21", -801.55, 10362.39),
}


@pytest.mark.parametrize("name", PLACES)
def test_stars_stand_where_their_motion_has_brought_them(name: str) -> None:
    import erfa
    from astropy.coordinates import Angle

    ra, dec, east, north = PLACES[name]
    a, d = Angle(ra, "hourangle").rad, Angle(dec, "deg").rad
    mas = np.radians(1 / 3_600_000)
    after = erfa.pmsafe(
        a, d, east * mas / np.cos(d), north * mas, 0.5, 0, 2451545.0, 0, 2451545.0, (EPOCH - 2000) * 365.25
    )
    now_ra, now_dec = float(np.degrees(after[0])), float(np.degrees(after[1]))
    field = stars_in_cone(now_ra, now_dec, 1 / 60)
    away = 3600 * separation(now_ra, now_dec, field.ra[:1], field.dec[:1])
    # 0.12" is the step of the file; the rest is for motions that the two editions of the catalogue give differently.
    assert away[0] < 0.5


# The stars brighter than V = 1.8 or so by name, J2000 to a minute of arc, V, MEMORY.
BRIGHTEST = {
    "Sirius": (101.29, -16.72, -1.46),
    "Canopus": (95.99, -52.70, -0.74),
    "Alpha Centauri A": (219.90, -60.83, 0.0),
    "Arcturus": (213.92, 19.18, -0.05),
    "Vega": (279.23, 38.78, 0.03),
    "Capella": (79.17, 46.00, 0.08),
    "Rigel": (78.63, -8.20, 0.13),
    "Procyon": (114.83, 5.22, 0.37),
    "Achernar": (24.43, -57.24, 0.46),
    "Betelgeuse": (88.79, 7.41, 0.5),
    "Hadar": (210.96, -60.37, 0.6),
    "Altair": (297.70, 8.87, 0.77),
    "Acrux": (186.65, -63.10, 0.77),
    "Aldebaran": (68.98, 16.51, 0.86),
    "Antares": (247.35, -26.43, 1.0),
    "Spica": (201.30, -11.16, 0.97),
    "Pollux": (116.33, 28.03, 1.14),
    "Fomalhaut": (344.41, -29.62, 1.16),
    "Deneb": (310.36, 45.28, 1.25),
    "Mimosa": (191.93, -59.69, 1.25),
    "Regulus": (152.09, 11.97, 1.40),
    "Adhara": (104.66, -28.97, 1.50),
    "Castor": (113.65, 31.89, 1.58),
    "Gacrux": (187.79, -57.11, 1.64),
    "Shaula": (263.40, -37.10, 1.62),
    "Bellatrix": (81.28, 6.35, 1.64),
    "Elnath": (81.57, 28.61, 1.65),
    "Miaplacidus": (138.30, -69.72, 1.68),
    "Alnilam": (84.05, -1.20, 1.69),
    "Alnair": (332.06, -46.96, 1.74),
}


@pytest.mark.parametrize("name", BRIGHTEST)
def test_the_thirty_brightest_stars_are_there(name: str) -> None:
    ra, dec, v = BRIGHTEST[name]
    field = stars_in_cone(ra, dec, 2 / 60, limit=4)
    assert len(field) >= 1
    # G is brighter than V by more the redder a star is: 0.1 for white stars, 1.5 mag for red giants; Sirius has
    # saturated every survey, and its G is an estimate.
    assert -1.5 < field.mag[0] - v < 0.4


def test_the_brightest_star_of_the_sky_is_sirius(sky: StarField) -> None:
    assert (sky.ra[0], sky.dec[0], sky.mag[0]) == pytest.approx((101.284, -16.725, -1.11), abs=0.01)


def test_counts_grow_with_magnitude_as_the_galaxy_lets_them(sky: StarField) -> None:
    """A space evenly filled with stars gives 10^(0.6 m); dust and the disc's edge leave 0.4 to 0.6 (MEMORY)."""
    counts = np.array([np.count_nonzero(sky.mag <= limit) for limit in range(2, 11)])
    slopes = np.diff(np.log10(counts))
    assert ((0.4 < slopes) & (slopes < 0.6)).all()
    assert 470_000 < counts[-1] < 490_000


def test_no_part_of_the_sky_is_empty(sky: StarField) -> None:
    """Every cell of 10 deg by 10 deg, down to the 15 square degrees of those at the poles."""
    counts, rows, _ = np.histogram2d(sky.dec, sky.ra, bins=[18, 36], range=[[-90, 90], [0, 360]])
    low, high = np.radians(rows[:-1]), np.radians(rows[1:])
    area = np.degrees(np.radians(10) * (np.sin(high) - np.sin(low))) * 57.29578
    density = counts / area[:, None]
    assert density.min() > 3  # stars per square degree; the mean is 11.7
    assert density.max() < 100


def test_stars_crowd_along_the_milky_way(sky: StarField) -> None:
    from astropy.coordinates import SkyCoord

    latitude = np.abs(SkyCoord(sky.ra, sky.dec, unit="deg").galactic.b.deg)
    band = np.count_nonzero(latitude < 5) / (41_253 * np.sin(np.radians(5)))
    caps = np.count_nonzero(latitude > 60) / (41_253 * (1 - np.sin(np.radians(60))))
    assert 3 < band / caps < 7


def test_colours_tell_red_from_blue() -> None:
    """BP - RP of spectral classes: about 0 for A0, 0.8 for the Sun, above 1.5 for M giants (MEMORY)."""
    blue = stars_in_cone(56.75, 24.12, 0.8, limit=6).colour
    assert np.nanmedian(blue) < 0.1, "the Pleiades are blue"
    betelgeuse, rigel = stars_in_cone(88.79, 7.41, 0.1, 3).colour[0], stars_in_cone(78.63, -8.2, 0.1, 3).colour[0]
    assert betelgeuse > 1.5
    assert abs(rigel) < 0.3


def test_few_stars_lack_a_colour(sky: StarField) -> None:
    assert np.count_nonzero(np.isnan(sky.colour)) == 297
    assert np.nanmin(sky.colour) > -1
    assert 0.8 < np.nanmedian(sky.colour) < 1.3


def test_bright_stars_stand_once(sky: StarField) -> None:
    """Within 1 arcsec of a star brighter than G = 6 there are only companions that the catalogue resolves.

    That those at RA 142.7, 193.3, 233.2, 233.8 and 241.1 are well-known visual doubles is MEMORY; the others were
    not looked up, and stand here so that no further one slips in.
    """
    unit = np.stack(
        [np.cos(np.radians(sky.dec)) * f(np.radians(sky.ra)) for f in (np.cos, np.sin)] + [np.sin(np.radians(sky.dec))],
        axis=-1,
    )
    from scipy.spatial import cKDTree

    pairs = cKDTree(unit).query_pairs(np.radians(1 / 3600), output_type="ndarray")
    bright = pairs[sky.mag[pairs].min(axis=1) < 6]
    found = sorted((round(float(sky.ra[i]), 1), round(float(sky.dec[i]), 1)) for i in bright.min(axis=1))
    assert found == DOUBLES
    assert len(pairs) < 1000  # of 482 180


DOUBLES = [
    (87.0, 6.5),
    (96.4, -48.2),
    (128.0, -53.2),
    (142.7, -40.5),
    (143.1, -40.6),
    (163.9, 0.7),
    (193.3, 21.2),
    (233.2, 31.4),
    (233.8, -41.2),
    (241.1, -11.4),
    (245.9, 61.7),
    (254.9, -69.3),
    (255.1, -48.6),
    (281.1, 61.0),
]


# --- objects ------------------------------------------------------------------------------------------------

OBJECTS = all_objects()


def test_constellations_are_those_of_the_official_boundaries() -> None:
    """COMPUTED with astropy, which has the boundaries of 1930; the objects below lie on one of them."""
    from astropy.coordinates import SkyCoord, get_constellation

    places = SkyCoord([thing.ra for thing in OBJECTS], [thing.dec for thing in OBJECTS], unit="deg")
    theirs = get_constellation(places, short_name=True)
    wrong = {thing.designation for thing, short in zip(OBJECTS, theirs, strict=True) if thing.constellation != short}
    assert wrong == {"NGC 630", "NGC 1641", "NGC 1692", "NGC 6079", "NGC 6832", "NGC 6946", "NGC 7438"}


def test_blue_and_visual_magnitudes_do_not_contradict_each_other() -> None:
    """B - V lies between -0.6 and 2.5, of galaxies above 0 (MEMORY of the bluest and reddest there are)."""
    colour = {t.designation: t.b_mag - t.v_mag for t in OBJECTS if t.b_mag is not None and t.v_mag is not None}
    assert len(colour) > 3_700
    assert {name: value for name, value in colour.items() if not -0.6 <= value <= 2.5} == {}
    galaxies = {thing.designation for thing in OBJECTS if thing.kind == "galaxy"}
    assert {name: colour[name] for name in galaxies & set(colour) if colour[name] < 0} == {}


# J2000 place to about a minute of arc, V, and full size in arcmin, MEMORY; size None where lists differ widely.
KNOWN: dict[str, tuple[float, float, float | None, float | None]] = {
    "M 1": (83.63, 22.01, 8.4, 6),
    "M 8": (270.92, -24.38, 6.0, 90),
    "M 13": (250.42, 36.46, 5.8, 20),
    "M 16": (274.70, -13.81, 6.0, 35),
    "M 27": (299.90, 22.72, 7.4, 8),
    "M 31": (10.68, 41.27, 3.4, 190),
    "M 33": (23.46, 30.66, 5.7, 71),
    "M 42": (83.82, -5.39, 4.0, 85),
    "M 44": (130.10, 19.67, 3.1, 95),
    "M 45": (56.75, 24.12, 1.6, 110),
    "M 51": (202.47, 47.20, 8.4, 11),
    "M 57": (283.40, 33.03, 8.8, 1.4),
    "M 81": (148.89, 69.07, 6.9, 27),
    "M 101": (210.80, 54.35, 7.9, 29),
    "M 104": (190.00, -11.62, 8.0, 8.7),
    "NGC 253": (11.89, -25.29, 7.2, 27),
    "NGC 2237": (98.0, 4.95, None, 80),
    "NGC 5128": (201.37, -43.02, 6.8, 26),
    "NGC 5139": (201.70, -47.48, 3.9, 55),
    "NGC 7000": (314.7, 44.33, None, 120),
    "NGC 7293": (337.41, -20.84, 7.3, 16),
    "IC 1396": (324.75, 57.49, None, 170),
    "ESO 56-115": (80.9, -69.76, 0.4, 645),
}


@pytest.mark.parametrize("name", KNOWN)
def test_well_known_objects_are_where_and_what_they_are_known_to_be(name: str) -> None:
    ra, dec, v, size = KNOWN[name]
    thing = find(name)
    assert isinstance(thing, SkyObject)
    assert separation(ra, dec, thing.ra, thing.dec) * 60 < 3
    assert v is None or (thing.v_mag is not None and abs(thing.v_mag - v) < 0.5)
    assert size is None or (thing.major is not None and 0.7 < thing.major / size < 1.35)


def test_nebulae_have_no_tilt_that_nobody_measured() -> None:
    glow = {"nebula", "HII region", "emission nebula", "reflection nebula", "dark nebula", "supernova remnant"}
    tilted = [t for t in OBJECTS if t.kind in glow and t.position_angle is not None and (t.major or 0) >= 10]
    assert [t.designation for t in tilted] == ["NGC 1945"]


def test_what_shows_in_the_same_place_is_named_there() -> None:
    """Nebulae by the stars that light them: names and places come from different hands (MEMORY of the stars)."""
    lit_by = {"Sh2-308": 6.9, "NGC 1499": 4.1, "Sh2-264": 3.4, "IC 405": 6.1, "NGC 7635": 8.8, "Sh2-27": 2.6}
    for name, mag in lit_by.items():
        thing = find(name)
        assert isinstance(thing, SkyObject)
        assert thing.major is not None
        star = stars_in_cone(thing.ra, thing.dec, max(thing.major / 120, 0.1)).mag
        assert (np.abs(star - mag) < 0.5).any(), name
