"""Plants small mistakes in the rooms that compute and redact, and says which of them no test of the room notices.

    python tests/bench/mutations.py [--minutes 15] [--seed 1] [--room usb ...] [--jobs 2] [--notes FILE]

Works on a copy of the checkout; nothing here is changed. Each mutant has one comparison, operator, number or condition
altered, drawn at random (the same seed draws the same ones, rooms in turn), and the tests of its room that call its
function run until one fails. A mutant whose tests take more than three times their processor time counts as noticed,
one whose tests wait for ever as neither. Survivors are listed with their line before and after: each wants a test, or a
reason why it changes nothing. The minutes hold for all of it, with the noting of which tests call what.
"""

from __future__ import annotations

import argparse
import ast
import copy
import json
import os
import random
import resource
import shutil
import signal
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[2]
STUCK = -1000
COPIED = ("topo", "tests", "plugins", "examples", "pyproject.toml", "README.md", "DEVELOPERS.md")

ROOMS: dict[str, tuple[tuple[str, ...], tuple[str, ...]]] = {
    "usb": (("topo/usb",), ("tests/usb", "tests/analysis", "tests/mutations")),
    "analysis": (("topo/analysis", "topo/flows"), ("tests/analysis", "tests/flows", "tests/mutations")),
    "night": (("topo/night",), ("tests/night", "tests/mutations")),
    "place": (("topo/place",), ("tests/place", "tests/mutations")),
    "power": (("topo/power",), ("tests/power", "tests/checks/test_cases.py", "tests/mutations")),
    "redact": (("topo/pack/redact.py", "topo/pack/scan.py", "topo/pack/names.py"), ("tests/pack", "tests/mutations")),
}
"""Rooms with the code that is altered and the tests that should notice."""

COMPARES: dict[type[ast.cmpop], type[ast.cmpop]] = {
    ast.Lt: ast.LtE, ast.LtE: ast.Lt, ast.Gt: ast.GtE, ast.GtE: ast.Gt, ast.Eq: ast.NotEq, ast.NotEq: ast.Eq,
    ast.In: ast.NotIn, ast.NotIn: ast.In, ast.Is: ast.IsNot, ast.IsNot: ast.Is,
}
OPERATORS: dict[type[ast.operator], type[ast.operator]] = {
    ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult, ast.FloorDiv: ast.Mult, ast.Mod: ast.Mult,
}
NAMES = {"min": "max", "max": "min", "any": "all", "all": "any", "ceil": "floor", "floor": "ceil"}


@dataclass(frozen=True)
class Mutant:
    """One alteration: the file, its text with it, and the line before and after."""

    room: str
    path: str
    line: int
    text: str
    before: str
    after: str


def altered(node: ast.AST) -> Iterator[ast.AST]:
    """The node with one thing in it altered, in each way there is."""
    if isinstance(node, ast.Compare) and type(node.ops[0]) in COMPARES:
        yield ast.Compare(node.left, [COMPARES[type(node.ops[0])](), *node.ops[1:]], node.comparators)
    elif isinstance(node, ast.BinOp) and type(node.op) in OPERATORS:
        yield ast.BinOp(node.left, OPERATORS[type(node.op)](), node.right)
    elif isinstance(node, ast.BoolOp):
        yield ast.BoolOp(ast.Or() if isinstance(node.op, ast.And) else ast.And(), node.values)
        yield from node.values
    elif isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.Not):
        yield node.operand
    elif isinstance(node, ast.Constant) and type(node.value) in (int, float):
        yield ast.Constant(node.value + 1)
        yield ast.Constant(node.value * 2 if node.value else 2)
    elif isinstance(node, ast.Constant) and isinstance(node.value, bool):
        yield ast.Constant(not node.value)
    elif isinstance(node, ast.Name) and node.id in NAMES:
        yield ast.Name(NAMES[node.id], node.ctx)
    elif isinstance(node, ast.Attribute) and node.attr in NAMES:
        yield ast.Attribute(node.value, NAMES[node.attr], node.ctx)
    elif isinstance(node, ast.IfExp):
        yield node.body
        yield node.orelse
    elif isinstance(node, ast.Tuple) and len(node.elts) > 2 and isinstance(node.ctx, ast.Load):
        for number in range(len(node.elts)):
            yield ast.Tuple(node.elts[:number] + node.elts[number + 1 :], node.ctx)


def sites(tree: ast.AST) -> Iterator[tuple[ast.AST, str, int | None]]:
    """Where an expression stands that a person computes with: parent, field, position in a list. No annotations."""
    for parent in ast.walk(tree):
        for field, held in ast.iter_fields(parent):
            if field in ("annotation", "returns", "decorator_list", "slice") or isinstance(parent, ast.Subscript):
                continue
            if isinstance(held, ast.expr):
                yield parent, field, None
            elif isinstance(held, list):
                yield from ((parent, field, n) for n, each in enumerate(held) if isinstance(each, ast.expr))


def mutants(room: str) -> list[Mutant]:
    """Every alteration of a room's code, in the order of the files."""
    paths = [p for name in ROOMS[room][0] for p in (sorted((ROOT / name).rglob("*.py")) or [ROOT / name])]
    found: list[Mutant] = []
    for path in paths:
        text = path.read_text(encoding="utf-8")
        lines, tree = text.splitlines(), ast.parse(text)
        for parent, field, number in sites(tree):
            held = getattr(parent, field)
            node = held if number is None else held[number]
            for new in altered(node):
                if node.end_lineno != node.lineno:
                    continue
                line = lines[node.lineno - 1].encode()
                changed = line[: node.col_offset] + f"({ast.unparse(copy.deepcopy(new))})".encode()
                whole = (changed + line[node.end_col_offset :]).decode()
                try:
                    mutated = "\n".join([*lines[: node.lineno - 1], whole, *lines[node.lineno :]]) + "\n"
                    compile(mutated, str(path), "exec")
                except SyntaxError:
                    continue
                found.append(Mutant(room, path.relative_to(ROOT).as_posix(), node.lineno, mutated,
                                    lines[node.lineno - 1].strip(), whole.strip()))
    return found


class Bench:
    """A copy of the checkout in which mutants are tried one after the other."""

    def __init__(self) -> None:
        self.folder = Path(tempfile.mkdtemp(prefix="topo-mutations-"))
        for name in COPIED:
            source = ROOT / name
            if source.is_dir():
                shutil.copytree(source, self.folder / name, ignore=shutil.ignore_patterns("__pycache__"))
            else:
                shutil.copy(source, self.folder / name)

    def ran(self, what: str, file: Path, tests: list[str], processor_s: int) -> int:
        """Runs tests with `calling.py`, with a bound on processor time: a busy machine makes no test slow.

        The status: 0 all pass, 1 some fail, below 0 ended by a signal (the processor's bound is one). `STUCK` where
        it waits for ever.
        """
        def bounds() -> None:
            resource.setrlimit(resource.RLIMIT_CPU, (processor_s, processor_s))
            resource.setrlimit(resource.RLIMIT_DATA, (4 << 30, 4 << 30))

        command = [sys.executable, "-B", "tests/bench/calling.py", what, str(file), *tests]
        with subprocess.Popen(command, cwd=self.folder, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
                              preexec_fn=bounds, start_new_session=True,
                              env={**os.environ, "PYTHONPATH": str(self.folder)}) as run:
            try:
                return run.wait(60 + 30 * processor_s)
            except subprocess.TimeoutExpired:
                os.killpg(run.pid, signal.SIGKILL)
                return STUCK

    def tried(self, mutant: Mutant, calls: Calls) -> str:
        """What the tests that call it make of a mutant: `noticed`, `survives` or `stuck`. The file stays as it was."""
        first, files, processor_s = calls.of(mutant)
        if not files:
            return "survives"
        path, order = self.folder / mutant.path, self.folder / "order.json"
        before = path.read_text(encoding="utf-8")
        path.write_text(mutant.text, encoding="utf-8")
        order.write_text(json.dumps(first), encoding="utf-8")
        try:
            status = self.ran("run", order, files, processor_s)
        finally:
            path.write_text(before, encoding="utf-8")
        return "stuck" if status == STUCK else "noticed" if status else "survives"


class Calls:
    """Which tests of a room call what, and how long they take, as noted on the code as it stands.

    Each file of tests is noted in a process of its own, so that nothing remembered for another hides a call.
    """

    def __init__(self, room: str, noted: dict[str, dict[str, Any] | None]) -> None:
        files = test_files(room)
        self.broken = [file for file in files if noted[file] is None]
        self.tests: dict[str, Any] = {name: test for file in files for name, test in (noted[file] or {}).items()}

    def of(self, mutant: Mutant) -> tuple[list[str], list[str], int]:
        """The tests that call the mutant's function, quickest first; their files; a bound in processor seconds."""
        within = function_at(mutant)
        own = {name: t["s"] for name, t in self.tests.items() if within is None or within in t["calls"]}
        other = {name: t["s"] for name, t in self.tests.items() if t["all"] and name not in own}
        first = [*sorted(own, key=lambda name: own[name]), *sorted(other, key=lambda name: other[name])]
        files = list(dict.fromkeys(name.split("::")[0] for name in first))
        whole = sum(t["s"] for name, t in self.tests.items() if name.split("::")[0] in files)
        return first, files, int(20 + 3 * whole)


def test_files(room: str) -> list[str]:
    """A room's files of tests, each by its path below the checkout."""
    found = [p for name in ROOMS[room][1] for p in (sorted((ROOT / name).rglob("test_*.py")) or [ROOT / name])]
    return [path.relative_to(ROOT).as_posix() for path in found]


def noted(benches: list[Bench], rooms: list[str], kept: Path | None) -> dict[str, Calls]:
    """What the tests of each room call; a file of tests that several rooms have is noted once, and `kept` holds it."""
    files = list(dict.fromkeys(file for room in rooms for file in test_files(room)))
    found: dict[str, dict[str, Any] | None] = {}
    if kept is not None and kept.exists():
        found = json.loads(kept.read_text(encoding="utf-8"))
    left, taking = iter([file for file in files if file not in found]), threading.Lock()

    def work(bench: Bench) -> None:
        while True:
            with taking:
                file = next(left, None)
            if file is None:
                return
            out = bench.folder / "noted.json"
            failed = bench.ran("note", out, [file], 3600)
            found[file] = None if failed else json.loads(out.read_text(encoding="utf-8"))
            if kept is not None:
                with taking:
                    kept.write_text(json.dumps(found), encoding="utf-8")

    with ThreadPoolExecutor(len(benches)) as threads:
        list(threads.map(work, benches))
    return {room: Calls(room, found) for room in rooms}


def function_at(mutant: Mutant) -> str | None:
    """The innermost function with the mutant's line in its body, `path:qualified name`; None in none."""
    found = None

    def look(node: ast.AST, within: str) -> None:
        nonlocal found
        for inner in ast.iter_child_nodes(node):
            name = within
            if isinstance(inner, ast.FunctionDef | ast.ClassDef):
                name = f"{within}{inner.name}"
                if isinstance(inner, ast.FunctionDef):
                    if inner.body[0].lineno <= mutant.line <= (inner.end_lineno or 0):
                        found = f"{mutant.path}:{name}"
                    name += ".<locals>"
                name += "."
            look(inner, name)

    look(ast.parse(mutant.text), "")
    return found


def drawn(rooms: list[str], seed: int) -> Iterator[Mutant]:
    """Mutants at random, the rooms in turn."""
    pools = {room: mutants(room) for room in rooms}
    for room, pool in pools.items():
        random.Random(f"{seed} {room}").shuffle(pool)
    while any(pools.values()):
        for pool in pools.values():
            if pool:
                yield pool.pop()


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--minutes", type=float, default=15)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--jobs", type=int, default=2)
    parser.add_argument("--notes", type=Path, help="keep which tests call what in this file, for the next run")
    parser.add_argument("--room", action="append", choices=list(ROOMS))
    options = parser.parse_args()
    end = time.monotonic() + 60 * options.minutes
    benches = [Bench() for _ in range(options.jobs)]
    rooms = options.room or list(ROOMS)
    calls = noted(benches, rooms, options.notes)
    for file in sorted({file for each in calls.values() for file in each.broken}):
        print(f"{file} fails as it stands; left out", flush=True)
    killed: dict[str, int] = dict.fromkeys(rooms, 0)
    survivors: list[Mutant] = []
    pool, taking = drawn(rooms, options.seed), threading.Lock()

    def work(bench: Bench) -> None:
        while time.monotonic() < end:
            with taking:
                mutant = next(pool, None)
            if mutant is None:
                return
            what = bench.tried(mutant, calls[mutant.room])
            if what == "noticed":
                killed[mutant.room] += 1
            elif what == "survives":
                survivors.append(mutant)
            if what != "noticed":
                print(f"{what}: {mutant.path}:{mutant.line}\n  - {mutant.before}\n  + {mutant.after}", flush=True)

    with ThreadPoolExecutor(options.jobs) as threads:
        list(threads.map(work, benches))
    for bench in benches:
        shutil.rmtree(bench.folder, ignore_errors=True)
    for room in rooms:
        left = sum(mutant.room == room for mutant in survivors)
        print(f"{room}: {killed[room]} of {killed[room] + left} noticed")
    total = sum(killed.values()) + len(survivors)
    print(f"all: {sum(killed.values())} of {total} noticed ({100 * sum(killed.values()) / max(1, total):.0f} %)")
    return 0


if __name__ == "__main__":
    sys.exit(main())
