"""Files of a night as pure functions: size of a FITS file, frames and gigabytes.

Whole numbers in, whole numbers out wherever something is counted. Compression stands outside of this.
"""

from math import floor

BLOCK_BYTES = 2880
RECORDS_PER_BLOCK = 36  # of 80 characters each
HEADER_RECORDS = 72  # keywords that a camera's program usually writes, END counted: common practice, no source


def _blocks(things: int, per_block: int) -> int:
    return -(-things // per_block)


def fits_data_bits(width_px: int, height_px: int, bitpix: int = 16, planes: int = 1) -> int:
    """Bits of the image alone; `bitpix` may be negative as the standard writes floating point."""
    return abs(bitpix) * width_px * height_px * planes


def fits_bytes(
    width_px: int, height_px: int, bitpix: int = 16, planes: int = 1, header_records: int = HEADER_RECORDS
) -> int:
    """Bytes of a FITS file with one image: header and data each fill whole blocks of 2880 bytes.

    `header_records` counts every line of the header, END too.
    """
    data_bytes = fits_data_bits(width_px, height_px, bitpix, planes) // 8
    return BLOCK_BYTES * (_blocks(header_records, RECORDS_PER_BLOCK) + _blocks(data_bytes, BLOCK_BYTES))


def frames_in(time_s: float, sub_s: float, overhead_s: float = 0.0) -> int:
    """Whole frames in a time, each followed by what download, dithering and focusing take."""
    # A quotient such as 0.3 / 0.1 must not lose a frame to rounding.
    return max(0, floor(time_s / (sub_s + overhead_s) + 1e-9))


def gigabytes(frames: int, frame_bytes: int) -> float:
    """Gigabytes (10^9 bytes, as drives are sold) of so many frames."""
    return frames * frame_bytes / 1e9
