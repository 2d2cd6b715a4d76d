"""The private list is for a print alone: no page can reach it."""

import ast
from pathlib import Path


def importers(package: Path, module: str) -> set[str]:
    """Return the files that import a module, late imports counted."""
    found = set()
    for path in package.rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            names = [node.module] if isinstance(node, ast.ImportFrom) else []
            names += [alias.name for alias in node.names] if isinstance(node, ast.Import) else []
            if module in names:
                found.add(path.relative_to(package).as_posix())
    return found


def test_only_the_print_reads_what_is_private(package: Path) -> None:
    assert importers(package, "rigleaf.journeys.private") == {"site/trips/customs.py"}
    assert importers(package, "rigleaf.site.trips.customs") == {"cli.py"}
