"""Imports obey the floors, and each outside library comes in by its own door. Read from the source, nothing is run."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import networkx
import pytest

from tests.unused_names import idle

ROOT = Path(__file__).resolve().parent.parent / "topo"

FLOORS = (
    ("__main__",),
    ("cli",),
    ("pipeline", "builtin"),
    ("plugin",),
    ("pack",),
    ("evidence",),
    ("checks", "report", "draw", "place", "live"),
    ("chase",),
    ("compare",),
    ("analysis",),
    ("night",),
    ("flows",),
    ("power",),
    ("usb",),
    ("serial",),
    ("wiring",),
    ("rigfile",),
    ("disk",),
    ("words",),
    ("model",),
    ("progress",),
    ("errors",),
    ("frozen", "later"),
    ("shapes",),
)
"""Top down. A room imports only rooms below its own floor (and itself)."""

DOORS = {
    "yaml": ("rigfile",),
    "pydantic": ("rigfile",),
    "networkx": ("wiring",),
    "usb": ("live",),
    "serial": ("live",),
    "libusb_package": ("live",),
    "graphviz": ("draw",),
    "pygraphviz": ("draw",),
    "click": ("cli",),
    "pluggy": ("plugin",),
    "rich": ("report", "cli"),
    "astropy": ("evidence",),
    "matplotlib": ("draw",),
}
"""Outside libraries and the rooms that may import them."""


def room_of(path: Path) -> str:
    """The room a file belongs to: its folder below topo/, or its own name for files at the top."""
    parts = path.relative_to(ROOT).with_suffix("").parts
    return parts[0]


@cache
def imports_of(path: Path) -> tuple[tuple[str, int, bool], ...]:
    """Every module a file imports, its line, and whether only type checkers see it."""
    return tuple(_imports_of(path))


def _imports_of(path: Path) -> Iterator[tuple[str, int, bool]]:
    tree = ast.parse(path.read_text(encoding="utf-8"))
    typing_only = {
        inner
        for node in ast.walk(tree)
        if isinstance(node, ast.If) and "TYPE_CHECKING" in ast.unparse(node.test)
        for inner in ast.walk(node)
    }
    for node in ast.walk(tree):
        names = []
        if isinstance(node, ast.Import):
            names = [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom) and node.module and not node.level:
            names = [node.module]
        for name in names:
            yield name, node.lineno, node in typing_only


def floor(room: str) -> int:
    """The floor of a room, 0 at the top."""
    return next(index for index, rooms in enumerate(FLOORS) if room in rooms)


FILES = sorted(path for path in ROOT.rglob("*.py") if path != ROOT / "__init__.py")


@pytest.mark.parametrize("path", FILES, ids=lambda path: str(path.relative_to(ROOT)))
def test_imports_go_down(path: Path) -> None:
    here = room_of(path)
    # A plugin module needs the hook marker, and the contract runs a plugin through the whole house.
    contract = path.relative_to(ROOT).as_posix() == "plugin/contract.py"
    for name, line, typing_only in imports_of(path):
        if not name.startswith("topo.") or typing_only or contract:
            continue
        there = name.split(".")[1]
        assert here == there or floor(here) < floor(there), f"{path}:{line} imports {name}, which is not below {here}"


@pytest.mark.parametrize("path", FILES, ids=lambda path: str(path.relative_to(ROOT)))
def test_libraries_come_in_by_their_door(path: Path) -> None:
    for name, line, typing_only in imports_of(path):
        door = DOORS.get(name.split(".")[0])
        if door is not None and not typing_only:
            assert room_of(path) in door, f"{path}:{line} imports {name}, whose door is {door}"


def modules_of(path: Path) -> set[str]:
    """Modules of the house that a file imports anywhere in it, what only type checkers see included."""
    found = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module:
            found |= {node.module, *(f"{node.module}.{alias.name}" for alias in node.names)}
    return found & MODULES


def name_of(path: Path) -> str:
    """The module's name of a file."""
    return ".".join(("topo", *path.relative_to(ROOT).with_suffix("").parts)).removesuffix(".__init__")


MODULES = {name_of(path) for path in ROOT.rglob("*.py")} - {"topo"}


def test_nothing_goes_in_circles() -> None:
    # Imports for type checkers count: two files whose nouns need each other are one thought in two places.
    graph: networkx.DiGraph[str] = networkx.DiGraph()
    for path in FILES:
        graph.add_edges_from((name_of(path), module) for module in modules_of(path) if module != name_of(path))
    circles = [sorted(group) for group in networkx.strongly_connected_components(graph) if len(group) > 1]
    assert not circles, f"modules that import each other: {sorted(circles)}"


def test_only_the_shell_knows_the_journey() -> None:
    for path in FILES:
        if "topo.pipeline" in modules_of(path):
            shell = room_of(path) == "cli" or path.relative_to(ROOT).as_posix() == "plugin/contract.py"
            assert shell, f"{path} imports topo.pipeline; give it values, or let the pipeline call it"


def test_nothing_is_there_for_tests_alone() -> None:
    """What no part of the house uses goes; a formula that only a test needs stands beside the test."""
    assert not idle()


def test_files_stay_readable() -> None:
    sizes = sorted(len(path.read_text(encoding="utf-8").splitlines()) for path in FILES)
    assert sizes[-1] <= 400
    assert sizes[len(sizes) // 2] <= 150


MOST_LINES = 45
"""Lines of a function at most, from the first behind its docstring to its last."""


def test_functions_stay_readable() -> None:
    for path in FILES:
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
                body = node.body[1:] if ast.get_docstring(node) is not None else node.body
                lines = (node.end_lineno or 0) - body[0].lineno + 1 if body else 0
                assert lines <= MOST_LINES, f"{path}:{node.lineno}: {node.name} has {lines} lines"
