"""Checks every link and anchor of a built site, its style sheets and drawings too: MkDocs does not look into HTML."""

import os
import sys
from collections.abc import Iterator, Mapping, MutableMapping
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

from rigleaf.site.link_facts import NO_ANCHOR, Facts, facts_of, has_facts, is_anchored

_ANCHORS_AT_HAND = 1024
"""Pages whose anchors are held unpacked while links to them are judged."""


@dataclass(frozen=True, slots=True, order=True)
class LinkProblem:
    """One link that leads nowhere, or one that a page must not hold."""

    page: str
    link: str
    problem: str

    def __str__(self) -> str:
        return f"{self.page}: the link '{self.link}' {self.problem}"


Mark = tuple[int, int, int]
"""Of a file: when it was written, how large it is, and its number on the disk."""


def check_site(site: Path) -> list[LinkProblem]:
    """Return every broken link or anchor, doubled id, refused scheme and request to another host in ``site``."""
    return LinkChecker().check(site, files_in(site))


class LinkChecker:
    """Checks a site again and again: reads what was written since, and judges the links that this may have changed."""

    def __init__(self, facts: MutableMapping[str, bytes] | None = None) -> None:
        """Begin with nothing known.

        Args:
            facts: takes what matters of each file, packed; in memory where nobody says.
        """
        self._marks: Mapping[str, Mark] = {}
        self.facts: MutableMapping[str, bytes] = {} if facts is None else facts
        self._problems: dict[str, tuple[LinkProblem, ...]] = {}
        """By file; of most there are none."""

    def check(
        self, site: Path, marks: Mapping[str, Mark], known: Mapping[str, bytes] | None = None
    ) -> list[LinkProblem]:
        """Return what ``check_site`` would.

        Args:
            site: the site's folder; the same at every call.
            marks: its files as they are now.
            known: by file, its facts packed, where somebody has read them already as it is now.
        """
        before, known = self._marks, known or {}
        gone = before.keys() - marks.keys()
        for name in gone:
            self.facts.pop(name, None)
            self._problems.pop(name, None)
        changed = {name for name, mark in marks.items() if before.get(name) != mark and has_facts(name)}
        touched = gone | (marks.keys() - before.keys())
        for name in changed:
            old, new = self.facts.get(name), known.get(name) or _read(name, site)
            self.facts[name] = new
            if old is None or Facts.unpacked(old).anchors != Facts.unpacked(new).anchors:
                touched.add(name)
        judge = _Judge(self.facts, marks)
        # Where no file has come, gone or other anchors than before, the links of the others lead where they led.
        for name in self.facts if touched else changed:
            facts = Facts.unpacked(self.facts[name])
            if name in changed or any(target in touched for _, target, _ in facts.asked):
                found = tuple(judge.problems(name, facts))
                if found:
                    self._problems[name] = found
                else:
                    self._problems.pop(name, None)
        self._marks = marks
        return sorted({problem for found in self._problems.values() for problem in found})


class _Judge:
    """Judges links by the whole site."""

    def __init__(self, facts: Mapping[str, bytes], marks: Mapping[str, Mark]) -> None:
        self._facts, self._marks = facts, marks
        self._anchors = lru_cache(_ANCHORS_AT_HAND)(lambda name: Facts.unpacked(facts[name]).anchors)

    def problems(self, name: str, facts: Facts) -> Iterator[LinkProblem]:
        for link, problem in facts.wrong:
            yield LinkProblem(name, link, problem)
        for link, target, fragment in facts.asked:
            if target not in self._marks:
                yield LinkProblem(name, link, "leads nowhere")
            elif fragment and target in self._facts and not is_anchored(fragment, self._anchors(target)):
                yield LinkProblem(name, link, NO_ANCHOR)


def _read(name: str, site: Path) -> bytes:
    facts = facts_of(name, (site / name).read_bytes())
    assert facts is not None  # noqa: S101 - it has been asked whether it is looked into
    return facts.packed()


def files_in(site: Path) -> dict[str, Mark]:
    """Return all files of a site by their paths, each with a mark that changes when it is written again."""
    found: dict[str, Mark] = {}
    folders = [("", str(site))]
    while folders:
        prefix, folder = folders.pop()
        with os.scandir(folder) as entries:
            for entry in entries:
                if entry.is_dir(follow_symlinks=False):
                    folders.append((f"{prefix}{entry.name}/", entry.path))
                elif entry.is_file():
                    found[prefix + entry.name] = mark_of(entry.stat())
    return found


def mark_of(state: os.stat_result) -> Mark:
    """Return the mark of a file of which this is known. Windows does not always tell the number."""
    return state.st_mtime_ns, state.st_size, 0 if sys.platform == "win32" else state.st_ino
