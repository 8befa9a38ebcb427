"""Lists what only tests call: `python tests/unused_names.py`, and a test that there is none.

What it names should be used by the house, or go (a check of arithmetic may keep it, beside the test).
"""

from __future__ import annotations

import ast
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
HOUSE = sorted((ROOT / "topo").rglob("*.py"))
FILES = [*HOUSE, *sorted((ROOT / "plugins").rglob("*.py"))]

CALLED_BY_OTHERS = {
    "list_commands", "get_command", "format_commands", "format_usage",  # click calls them
    "CHECK",  # found by the name of its module
    "sheet_in",  # draws the pictures that README and examples show (tests/examples)
}
A_ROW_OF_A_STANDARD = {"bytes_left"}
"""Fields of a printed table, kept whole to be held against it."""
WRITTEN_WHOLE = {"place_before", "devnum_before", "count_before"}
"""Fields of records that go into JSON as they are."""


def defined(tree: ast.Module) -> Iterator[str]:
    """Functions, methods and classes anywhere, fields of records, and the values at the top."""
    for node in ast.walk(tree):
        if isinstance(node, ast.FunctionDef | ast.ClassDef):
            yield node.name
        if isinstance(node, ast.ClassDef):
            fields = (each.target for each in node.body if isinstance(each, ast.AnnAssign))
            yield from (target.id for target in fields if isinstance(target, ast.Name))
    for node in tree.body:
        single = [node.target] if isinstance(node, ast.AnnAssign) else []
        targets = node.targets if isinstance(node, ast.Assign) else single
        yield from (target.id for target in targets if isinstance(target, ast.Name))


def named(tree: ast.Module) -> Iterator[str]:
    """Every use of a name: read, called, an attribute, or a text that is one (`getattr`, `__all__`)."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Name) and isinstance(node.ctx, ast.Load):
            yield node.id
        elif isinstance(node, ast.Attribute):
            yield node.attr
        elif isinstance(node, ast.Constant) and isinstance(node.value, str) and node.value.isidentifier():
            yield node.value


def idle() -> list[str]:
    """Names of the house that nothing of the house or of a plugin that ships uses, each with its file."""
    kept = CALLED_BY_OTHERS | A_ROW_OF_A_STANDARD | WRITTEN_WHOLE
    trees = {path: ast.parse(path.read_text(encoding="utf-8")) for path in FILES}
    uses = Counter(name for tree in trees.values() for name in named(tree))
    return [
        f"{path.relative_to(ROOT)}: {name}"
        for path in HOUSE for name in defined(trees[path])
        if not uses[name] and not name.startswith("__") and name not in kept
    ]


if __name__ == "__main__":
    print("\n".join(idle()))
