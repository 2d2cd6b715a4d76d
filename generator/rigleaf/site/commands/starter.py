"""Writes a small guide to begin with, whose comments teach; the files stand in ``starter_guide``."""

from importlib.resources import files
from pathlib import Path

from rigleaf.catalogue.files import SCHEMA
from rigleaf.site.commands.writing import refuse_unless_empty, write, write_schemas

STARTER = str(files("rigleaf.site") / "starter_guide")
"""Folder of the guide as it is written."""

_HIDDEN = "dot-"
"""How names begin here that begin with a dot in the guide: no tool takes them for this project's own."""


def begin_guide(target: Path) -> str:
    """Write the guide into ``target`` and return what to do next.

    Raises:
        FileExistsError: when there is something in the way.
    """
    write_starter(target)
    return f"A small guide stands in {target}. Look at its README.md and rigs/, then run: cd {target} && mkdocs serve\n"


def write_starter(target: Path) -> None:
    """Write the guide into ``target``, which is made if need be, and the schemas for editors beside its YAML.

    Raises:
        FileExistsError: when there is something in the way; what stands there is never touched.
    """
    refuse_unless_empty(target)
    root = Path(STARTER)
    # Written anew rather than copied: the installed files may be write-protected.
    for path in sorted(root.rglob("*")):
        if path.is_file():
            steps = (f".{name.removeprefix(_HIDDEN)}" if name.startswith(_HIDDEN) else name
                     for name in path.relative_to(root).parts)  # fmt: skip
            write(target.joinpath(*steps), path.read_bytes())
    write_schemas(target / "rigs" / SCHEMA)
