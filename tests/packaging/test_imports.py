"""Imports point one way: YAML -> catalogue -> study -> page -> site, and only the engine knows MkDocs."""

import ast
import subprocess
import sys
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest

# What stands further down may import what stands further up, never the other way, and names on one line do
# not import each other. A new module or folder directly under the package gets its place here.
ORDER: tuple[frozenset[str], ...] = (
    frozenset({"nearest", "processes", "words"}),
    frozenset({"sentences"}),
    frozenset({"quantities"}),
    frozenset({"sky"}),
    frozenset({"catalogue"}),
    frozenset({"rules"}),
    frozenset({"packing"}),
    frozenset({"chapters"}),
    frozenset({"journeys"}),
    frozenset({"desk", "lending"}),
    frozenset({"site"}),
    frozenset({"engine", "cli"}),
    frozenset({"__main__"}),
)
LEVEL = {name: level for level, names in enumerate(ORDER) for name in names}

# The same for the folders and modules directly under the site.
WITHIN_SITE: tuple[frozenset[str], ...] = (
    frozenset({"spool"}),
    frozenset({"packed", "link_facts"}),
    frozenset({"record", "links"}),
    frozenset({"typeset"}),
    frozenset({"lent", "sheets", "previews"}),
    frozenset({"delivery"}),
    frozenset({"sent"}),
    frozenset({"rigs", "shelf", "trips"}),
    frozenset({"skies", "commands", "leaves"}),
    frozenset({"reference", "memory"}),
    frozenset({"book"}),
    frozenset({"missing_page", "offline_files"}),
    frozenset({"export"}),
)
MOST_IN_A_FOLDER = 20

ENGINES = {"mkdocs", "material", "properdocs", "markdown"}
SLOW = {"astropy", "scipy", "erfa"}
LONGEST_MODULE = 400
INPUT_AND_OUTPUT = {
    "os",
    "io",
    "pathlib",
    "yaml",
    "json",
    "jinja2",
    "importlib",
    "subprocess",
    "open",
    "random",
}


@dataclass(frozen=True)
class Import:
    """Who imports what, on which line, and whether as soon as it is imported itself."""

    importer: str
    target: str
    line: int
    at_once: bool

    def __str__(self) -> str:
        return f"{self.importer}:{self.line} imports {self.target}"

    @property
    def root(self) -> str:
        return self.target.partition(".")[0]


@pytest.fixture(scope="module")
def modules(package: Path) -> dict[str, Path]:
    """Dotted name and file of every module of the package."""
    named = {}
    for path in sorted(package.rglob("*.py")):
        parts = path.relative_to(package.parent).with_suffix("").parts
        named[".".join(parts[:-1] if parts[-1] == "__init__" else parts)] = path
    return named


@pytest.fixture(scope="module")
def imports(modules: dict[str, Path]) -> list[Import]:
    return [
        found for name, path in modules.items() for found in imports_of(name, path.read_text("utf-8"), set(modules))
    ]


def imports_of(importer: str, source: str, modules: set[str]) -> Iterator[Import]:
    """Imports of one module, late ones too, save those that only type checkers follow."""
    waiting: list[tuple[ast.AST, bool]] = [(ast.parse(source), True)]
    while waiting:
        node, at_once = waiting.pop()
        if isinstance(node, ast.If) and ast.unparse(node.test).endswith("TYPE_CHECKING"):
            waiting += [(child, at_once) for child in node.orelse]
            continue
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef | ast.Lambda):
            at_once = False
        if isinstance(node, ast.Import):
            for alias in node.names:
                yield Import(importer, alias.name, node.lineno, at_once)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{importer}:{node.lineno} has a relative import"
            assert node.module is not None
            for alias in node.names:
                inner = f"{node.module}.{alias.name}"
                yield Import(importer, inner if inner in modules else node.module, node.lineno, at_once)
        waiting += [(child, at_once) for child in ast.iter_child_nodes(node)]


def place(module: str) -> str:
    """The name directly under the package that a module belongs to ("" for the package itself)."""
    return module.split(".")[1] if "." in module else ""


def test_every_module_has_its_place(modules: dict[str, Path]) -> None:
    assert {place(module) for module in modules} - {""} <= set(LEVEL)


def test_imports_point_one_way(imports: list[Import]) -> None:
    wrong = [
        str(found)
        for found in imports
        if found.root == "rigleaf"
        and (target := place(found.target)) != (own := place(found.importer))
        and target
        and (not own or LEVEL[target] >= LEVEL[own])
    ]
    assert wrong == []


def room(module: str) -> str:
    """The folder or module directly under the site that a module belongs to ("" for what is not in the site)."""
    parts = module.split(".")
    return parts[2] if parts[1:2] == ["site"] and len(parts) > 2 else ""


def test_the_sites_folders_import_one_way(imports: list[Import], modules: dict[str, Path]) -> None:
    level = {name: level for level, names in enumerate(WITHIN_SITE) for name in names}
    assert {room(module) for module in modules} - {""} == set(level)
    wrong = [
        str(found)
        for found in imports
        if (target := room(found.target)) and (own := room(found.importer)) != target and own
        if level[target] >= level[own]
    ]
    assert wrong == []


def test_the_sites_folders_stay_easy_to_look_through(modules: dict[str, Path], package: Path) -> None:
    folders = Counter(path.parent for path in modules.values() if path.is_relative_to(package / "site"))
    assert {str(folder.name): count for folder, count in folders.items() if count > MOST_IN_A_FOLDER} == {}


def test_only_the_engine_knows_mkdocs(imports: list[Import]) -> None:
    users = {found.importer for found in imports if found.root in ENGINES}
    assert {place(user) for user in users} == {"engine"}


def test_no_module_imports_itself_in_a_circle(imports: list[Import], modules: dict[str, Path]) -> None:
    needs: dict[str, set[str]] = {module: set() for module in modules}
    for found in imports:
        if found.target in needs and found.target != found.importer:
            needs[found.importer].add(found.target)
    assert circle_in(needs) == []


def circle_in(needs: dict[str, set[str]]) -> list[str]:
    """One circle in a graph as the names along it, or nothing."""
    finished: set[str] = set()

    def walk(name: str, trail: list[str]) -> list[str]:
        if name in trail:
            return [*trail[trail.index(name) :], name]
        if name in finished:
            return []
        for other in sorted(needs[name]):
            if circle := walk(other, [*trail, name]):
                return circle
        finished.add(name)
        return []

    return next((circle for name in sorted(needs) if (circle := walk(name, []))), [])


def test_a_circle_would_be_found() -> None:
    assert circle_in({"a": {"b"}, "b": {"c"}, "c": {"b"}}) == ["b", "c", "b"]
    assert circle_in({"a": {"b", "c"}, "b": {"c"}, "c": set()}) == []


def test_astropy_is_never_imported_before_it_is_needed(imports: list[Import]) -> None:
    assert [str(found) for found in imports if found.root in SLOW and found.at_once] == []


def test_physics_neither_reads_nor_writes(imports: list[Import]) -> None:
    physics = [found for found in imports if found.importer.endswith(".physics")]
    assert physics
    outside = {"catalogue", "site", "engine", "cli"}
    assert [
        str(found)
        for found in physics
        if found.root in INPUT_AND_OUTPUT or (found.root == "rigleaf" and place(found.target) in outside)
    ] == []


def test_no_module_is_too_long_to_read(project_files: list[Path], project: Path) -> None:
    lengths = {p: len(p.read_text("utf-8").splitlines()) for p in project_files if p.suffix == ".py"}
    assert {str(p.relative_to(project)): n for p, n in lengths.items() if n > LONGEST_MODULE} == {}


def loaded_after(statement: str) -> set[str]:
    """Top-level modules in a fresh interpreter after a statement."""
    script = f"{statement}\nimport sys; print(*{{name.partition('.')[0] for name in sys.modules}})"
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    return set(done.stdout.split())


def test_the_command_starts_without_astropy_or_mkdocs() -> None:
    loaded = loaded_after("import rigleaf.cli")
    assert "rigleaf" in loaded
    assert loaded & (SLOW | ENGINES) == set()


def test_everything_but_the_engine_loads_without_astropy_or_mkdocs(modules: dict[str, Path]) -> None:
    names = sorted(name for name in modules if place(name) not in {"engine", "__main__"})
    assert loaded_after(f"import {', '.join(names)}") & (SLOW | ENGINES) == set()


def test_the_engine_loads_without_astropy(modules: dict[str, Path]) -> None:
    names = sorted(name for name in modules if place(name) == "engine")
    loaded = loaded_after(f"import {', '.join(names)}")
    assert "mkdocs" in loaded
    assert loaded & SLOW == set()
