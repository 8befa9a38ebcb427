"""One noun has one name in the whole house, and two things never share one. Read from the source, nothing is run.

What fails here: rename the newer of the two for what sets it apart, or give both one home and import it.
"""

from __future__ import annotations

import ast
from collections import defaultdict
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent / "topo"
FILES = sorted(ROOT.rglob("*.py"))
OWN = ("CHECK", "T")
"""What every check has to call its value (see "Add a check"), and a type that stands for any other."""


def defined(path: Path) -> Iterator[tuple[str, ast.expr | None]]:
    """The public classes and values a file defines at its top, each with its expression (None for a class)."""
    for node in ast.parse(path.read_text(encoding="utf-8")).body:
        found: list[tuple[str, ast.expr | None]] = []
        if isinstance(node, ast.ClassDef):
            found = [(node.name, None)]
        elif isinstance(node, ast.Assign):
            found = [(target.id, node.value) for target in node.targets if isinstance(target, ast.Name)]
        elif isinstance(node, ast.AnnAssign) and isinstance(node.target, ast.Name):
            found = [(node.target.id, node.value)]
        yield from ((name, value) for name, value in found if not name.startswith("_") and name not in OWN)


def imported() -> set[str]:
    """Every name that one file of the house takes from another."""
    return {
        alias.name
        for path in FILES
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.ImportFrom) and (node.module or "").startswith("topo")
        for alias in node.names
    }


def is_number(value: ast.expr | None) -> bool:
    """True for a plain number, with its sign or as a product of numbers."""
    if isinstance(value, ast.BinOp):
        return is_number(value.left) and is_number(value.right)
    return isinstance(value, ast.Constant) and isinstance(value.value, int | float)


def test_one_name_is_one_thing() -> None:
    homes: dict[str, list[tuple[Path, ast.expr | None]]] = defaultdict(list)
    for path in FILES:
        for name, value in defined(path):
            homes[name].append((path, value))
    shared = imported()
    twice = []
    for name, found in sorted(homes.items()):
        if len(found) < 2:
            continue
        # A text or table that stays in its file, a check's own case say, is a word of that file alone.
        numbers = all(is_number(value) for _, value in found)
        same = len({ast.dump(value) for _, value in found if value is not None}) < len(found)
        if name in shared or numbers or same:
            twice.append(f"{name}: " + ", ".join(str(path.relative_to(ROOT)) for path, _ in found))
    assert not twice, "\n".join(["names with two meanings, or things with two homes:", *twice])
