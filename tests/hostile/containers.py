"""Several files in one text, so that a whole guide can be one input: each begins with a line of its own, "==> name"."""

import re
from collections.abc import Mapping

Files = dict[str, bytes]

_HEAD = re.compile(rb"^==> ([a-z0-9-]+(?:/[a-z0-9-]+)?\.(?:yml|csv))\n", re.MULTILINE)
MOST_FILES = 40


def together(files: Mapping[str, bytes]) -> bytes:
    """Return files as one input."""
    return b"".join(b"==> %s\n%s\n" % (name.encode(), content.removesuffix(b"\n")) for name, content in files.items())


def apart(data: bytes) -> Files:
    """Return the files of an input; of two with the same name the later one. What stands before the first is none."""
    found = list(_HEAD.finditer(data))[:MOST_FILES]
    ends = [one.start() for one in found[1:]] + [len(data)]
    return {one[1].decode(): data[one.end() : end] for one, end in zip(found, ends, strict=False)}
