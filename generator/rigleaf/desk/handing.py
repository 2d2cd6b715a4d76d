"""What `rigleaf bundle` and `rigleaf add` do and say."""

import sys
from collections.abc import Callable
from pathlib import Path
from typing import Literal

from rigleaf.catalogue import files
from rigleaf.catalogue.reading import read_catalogue
from rigleaf.desk.bundle import open_bundle, write_bundle
from rigleaf.desk.drafts import read_or_begin, write_drafts
from rigleaf.desk.errors import DeskError
from rigleaf.desk.taking_in import Clash, Decide, Plan, plan, told

Answer = Callable[[str], str]
"""Puts a question to the person at the terminal and returns what was typed."""


def hand_on(folder: Path, rig: str, target: Path | None, *, with_place: bool = True) -> str:
    """Bundle one rig of the guide in ``folder``; return the bundle, or where it was written.

    Raises:
        CatalogueError: with every fault of the guide.
        DeskError: when ``target`` exists, or lies where a guide would read it as one of its own files.
        KeyError: when there is no such rig.
    """
    catalogue = read_catalogue(folder)
    text = write_bundle(catalogue, rig, with_place=with_place)
    if target is None:
        return text
    if target.exists():
        raise DeskError(f"'{target}' exists already; name another file")
    root = catalogue.root.resolve()
    if target.resolve().is_relative_to(root) and target.suffix.lower() in files.YAML_ENDINGS:
        raise DeskError(f"'{target}' lies in the guide's own folder, which would read it as a rig; write it elsewhere")
    target.write_text(text, encoding="utf-8")
    left = "" if with_place else " Its place was left out."
    return f"The rig '{rig}' with all that it names stands in {target}.{left} Read it before you hand it on.\n"


def take_in(
    folder: Path,
    bundle: Path,
    *,
    match: bool = False,
    rename: bool = False,
    owned: bool = False,
    yes: bool = False,
    dry_run: bool = False,
    answer: Answer | None = None,
) -> str:
    """Take the rig in ``bundle`` into the guide in ``folder``; return what was done.

    Args:
        folder: the guide; it may be an empty folder.
        bundle: a file that `rigleaf bundle` wrote.
        match: where ids clash, let the guide's own part, place or target serve.
        rename: where ids clash, take what the bundle has under another id.
        owned: whether the parts are the club's.
        yes: write without asking first.
        dry_run: only say what would be done.
        answer: asks the person at the terminal; None where there is none.

    Raises:
        CatalogueError: with every fault of the guide or of the bundle.
        DeskError: when ids clash and nobody decides, or the person stops.
        FileNotFoundError: when there is no such folder or file.
    """
    guide = read_or_begin(folder)
    opened = open_bundle(bundle)
    found = plan(guide, opened, _decider(match=match, rename=rename, answer=answer), owned=owned)
    said = _told(found)
    if dry_run or not found.drafts:
        return said + ("\nNothing was written: this was a trial.\n" if found.drafts else "")
    if answer is not None and not yes:
        print(said)
        said = ""
        if not _asked("Write this? [y]es, [n]o: ", ("y", "n"), answer) == "y":
            raise DeskError("nothing was written")
    write_drafts(guide.root, found.drafts)
    return said + f"\nThe guide reads without faults. Judge the rig with: rigleaf figures {found.rig} --dir {folder}\n"


def at_a_terminal() -> Answer | None:
    """Return how to ask the person at the terminal, or None where nobody sits there."""
    return input if sys.stdin.isatty() and sys.stdout.isatty() else None


def _decider(*, match: bool, rename: bool, answer: Answer | None) -> Decide:
    def decide(clash: Clash) -> Literal["match", "rename"] | None:
        if match and clash.sort != "rig":
            return "match"
        if rename:
            return "rename"
        return None if answer is None else _decided(clash, answer)

    return decide


def _decided(clash: Clash, answer: Answer) -> Literal["match", "rename"]:
    print(f"{told(clash)[:1].upper()}{told(clash)[1:]}.")
    yours = "" if clash.sort == "rig" else "[y]ours serves, "
    letters = ("r", "s") if clash.sort == "rig" else ("y", "r", "s")
    given = _asked(f"  {yours}[r]ename theirs to '{clash.other}', [s]top: ", letters, answer)
    if given == "s":
        raise DeskError("stopped; nothing was written")
    return "match" if given == "y" else "rename"


def _asked(question: str, letters: tuple[str, ...], answer: Answer) -> str:
    """Ask until one of the letters is given; the end of the input stops."""
    while True:
        try:
            given = answer(question).strip().casefold()[:1]
        except EOFError:
            raise DeskError("no answer; nothing was written") from None
        if given in letters:
            return given


def _told(found: Plan) -> str:
    """Say what becomes of each entry, what is written, and what the guide assumes otherwise."""
    lines: list[str] = []
    for sort in ("rig", "part", "place", "target"):
        fates = [(taken, fate, new) for taken, fate, new in found.fates if taken.sort == sort]
        new = [id_ for _, fate, id_ in fates if fate == "new"]
        yours = [id_ for _, fate, id_ in fates if fate == "yours"]
        called = [f"{taken.id} as {id_}" for taken, fate, id_ in fates if fate == "renamed"]
        for words, ids in (("new", new), ("new under another id", called), ("yours serve", yours)):
            if ids:
                lines.append(f"{sort + ('s' if len(ids) > 1 else ''):<8}{words}: {', '.join(ids)}")
    if not found.drafts:
        return "\n".join([*lines, "Nothing to do: all of this stands in the guide already.", ""])
    lines.append(f"files   {', '.join(found.drafts)}")
    if found.otherwise:
        lines.append("Figures will differ from the friend's, because the guides assume different things:")
        lines += [f"  {one}" for one in found.otherwise]
    return "\n".join(lines) + "\n"
