"""A small store of computed arrays on disk. Nothing depends on it: without it everything is computed anew."""

import hashlib
import os
import tempfile
import zipfile
from collections.abc import Mapping
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

Arrays = dict[str, NDArray[np.float64]]


def file_for(folder: Path, name: str, *key: object) -> Path:
    """Return the file that holds what is computed from ``key`` and from nothing else."""
    digest = hashlib.sha256("\n".join(map(repr, key)).encode()).hexdigest()[:24]
    return folder / f"{name}-{digest}.npz"


def read(path: Path, shapes: Mapping[str, tuple[int, ...]]) -> Arrays | None:
    """Return the arrays in a file, or None when it is missing, damaged or holds anything else than was asked for."""
    try:
        with path.open("rb") as file, np.load(file, allow_pickle=False) as stored:
            found = {name: np.asarray(stored[name], dtype=np.float64) for name in shapes}
    except (OSError, ValueError, KeyError, EOFError, zipfile.BadZipFile):
        return None
    sound = all(found[name].shape == shape and np.isfinite(found[name]).all() for name, shape in shapes.items())
    return found if sound else None


def write(path: Path, arrays: Arrays) -> None:
    """Write the arrays at once or not at all; where the folder cannot be written to, nothing is stored."""
    draft = None
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        handle, draft = tempfile.mkstemp(dir=path.parent, prefix=".draft-", suffix=".npz")
        with os.fdopen(handle, "wb") as file:
            np.savez(file, allow_pickle=False, **arrays)
        Path(draft).replace(path)
    except OSError:
        if draft is not None:
            Path(draft).unlink(missing_ok=True)
