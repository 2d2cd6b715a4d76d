"""Sizes of files against the FITS standard and files that another program wrote.

Each test names its source and says whether it was READ, COMPUTED with another library, or is from MEMORY.
"""

from pathlib import Path

import numpy as np
import pytest
from astropy.io import fits

from rigleaf.chapters.guiding_and_exposure import files


def written(folder: Path, shape: tuple[int, ...], kind: str, more_records: int = 0) -> tuple[int, int]:
    """Write an empty image and return its size on the disk and its header's lines, END counted."""
    image = fits.PrimaryHDU(np.zeros(shape, dtype=kind))
    for number in range(more_records):
        image.header[f"NOTE{number}"] = number
    path = folder / "image.fits"
    image.writeto(path)
    return path.stat().st_size, len(image.header) + 1


def test_bits_of_the_example_in_the_standard() -> None:
    """FITS standard 3.0 (IAU FITS Working Group, 2008), eq. 4.1 and Table 4.7, READ.

    "Nbits = |BITPIX| x (NAXIS1 x NAXIS2 ...)": 16 bits, 250 by 300, are 1 200 000.
    """
    assert files.fits_data_bits(250, 300, 16) == 1_200_000
    assert files.fits_data_bits(250, 300, -32) == 2_400_000


def test_size_of_the_example_in_the_standard(tmp_path: Path) -> None:
    """Same, sec. 3.3.1, READ: "Each 2880-byte header block contains 36 keyword records"; 155 520 bytes in all.

    COMPUTED by writing the file with astropy.io.fits and measuring it.
    """
    assert files.fits_bytes(250, 300, 16, header_records=8) == 155_520
    assert written(tmp_path, (300, 250), "int16")[0] == 155_520


def test_size_of_a_camera_frame(tmp_path: Path) -> None:
    """COMPUTED with astropy.io.fits: 6248 by 4176 pixels of 16 bits are 52 191 360 bytes behind two header blocks."""
    size, records = written(tmp_path, (4176, 6248), "int16", more_records=40)
    assert size == 52_191_360
    assert files.fits_bytes(6248, 4176, header_records=records) == size
    assert files.fits_bytes(6248, 4176) == size


@pytest.mark.parametrize(("shape", "kind", "bitpix"), [
    ((720, 2), "int16", 16), ((721, 2), "int16", 16), ((3, 101, 97), "float32", -32), ((11, 13), "uint8", 8),
    ((40, 51), "float64", -64),
])  # fmt: skip
@pytest.mark.parametrize("more_records", [0, 28, 29, 30, 31, 100])
def test_blocks_are_those_of_written_files(
    tmp_path: Path, shape: tuple[int, ...], kind: str, bitpix: int, more_records: int
) -> None:
    """COMPUTED with astropy.io.fits: files written and measured on both sides of a full block."""
    size, records = written(tmp_path, shape, kind, more_records)
    planes = shape[0] if len(shape) == 3 else 1
    assert files.fits_bytes(shape[-1], shape[-2], bitpix, planes, records) == size


def test_gigabytes_of_a_night() -> None:
    """Arithmetic: 92 frames of 52 191 360 bytes are 4.8016 GB of 10^9 bytes (4.472 GiB must NOT come out)."""
    volume = files.gigabytes(92, 52_191_360)
    assert volume == pytest.approx(4.8016, abs=1e-4)
    assert volume != pytest.approx(4.472, abs=0.01)


def test_common_practice_of_frames_in_an_hour() -> None:
    """Common practice, no source: an hour holds 11 frames of five minutes with 15 s between them."""
    assert files.frames_in(3600, 300, 15) == 11
    assert files.frames_in(3600, 300) == 12
