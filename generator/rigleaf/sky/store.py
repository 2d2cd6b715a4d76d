"""A small store of computed arrays on disk. Nothing depends on it: without it everything is computed anew.

A file begins with the digest of the rest: one line that names the arrays and their shapes, and the numbers one after
the other. A damaged one is known as such before anything of it is read.
"""

import hashlib
import json
import math
import os
import tempfile
from collections.abc import Mapping
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

Arrays = dict[str, NDArray[np.float64]]

ENDING = ".numbers"
_DIGEST = hashlib.sha256().digest_size
_FORM = np.dtype("<f8")


def file_for(folder: Path, name: str, *key: object) -> Path:
    """Return the file that holds what is computed from ``key`` and from nothing else."""
    digest = hashlib.sha256("\n".join(map(repr, key)).encode()).hexdigest()[:24]
    return folder / f"{name}-{digest}{ENDING}"


def read(path: Path, shapes: Mapping[str, tuple[int, ...]]) -> Arrays | None:
    """Return the arrays in a file, or None when it is missing, damaged or holds anything else than was asked for."""
    try:
        data = path.read_bytes()
    except OSError:
        return None
    if hashlib.sha256(memoryview(data)[_DIGEST:]).digest() != data[:_DIGEST]:
        return None
    head, _, numbers = data[_DIGEST:].partition(b"\n")
    if head != _head(shapes) or len(numbers) != _FORM.itemsize * sum(map(math.prod, shapes.values())):
        return None
    found: Arrays = {}
    start = 0
    for name, shape in sorted(shapes.items()):
        array = np.frombuffer(numbers, _FORM, math.prod(shape), start).astype(np.float64)  # one that may be written to
        found[name] = array.reshape(shape)
        start += array.nbytes
    return found if all(np.isfinite(array).all() for array in found.values()) else None


def write(path: Path, arrays: Arrays) -> None:
    """Write the arrays at once or not at all; where the folder cannot be written to, nothing is stored."""
    head = _head({name: array.shape for name, array in arrays.items()})
    body = b"".join((head, b"\n", *(array.astype(_FORM).tobytes() for _, array in sorted(arrays.items()))))
    draft = None
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        handle, draft = tempfile.mkstemp(dir=path.parent, prefix=".draft-", suffix=ENDING)
        with os.fdopen(handle, "wb") as file:
            file.write(hashlib.sha256(body).digest() + body)
        Path(draft).replace(path)
    except OSError:
        if draft is not None:
            Path(draft).unlink(missing_ok=True)


def _head(shapes: Mapping[str, tuple[int, ...]]) -> bytes:
    return json.dumps({name: [int(side) for side in shape] for name, shape in sorted(shapes.items())}).encode("ascii")
