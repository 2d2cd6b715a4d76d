"""Sentences out of running text."""

import re


def first_sentence(text: str) -> str:
    """Return the first sentence of a text."""
    return parted(text)[0]


def parted(text: str) -> tuple[str, str]:
    """Return the first sentence of a text and the rest of it; paragraphs of the rest are kept."""
    first, *rest = re.split(r"(?<=[.!?])\s+(?=[A-Z])", text.strip(), maxsplit=1)
    return " ".join(first.split()), rest[0] if rest else ""


def plain(text: str) -> str:
    """Return a text with ordinary spaces, so that "480 mm" is found as it is typed."""
    return re.sub(r"[\u00a0\u202f]", " ", text).strip()
