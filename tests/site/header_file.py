"""Reads the header file of a built site as hosts do that know its form, apart from the code that wrote it."""

from fnmatch import fnmatchcase
from pathlib import Path


def headers_for(site: Path, path: str) -> dict[str, str]:
    """Return the headers that ``_headers`` gives to the answer for a path such as "/rigs/heron.html"."""
    found: dict[str, str] = {}
    counts = False
    for line in (site / "_headers").read_text("ascii").splitlines():
        if not line.startswith(" "):
            counts = fnmatchcase(path, line)
        elif counts:
            name, _, value = line.strip().partition(": ")
            found[name] = value
    return found
