"""Plants small mistakes in the rooms that compute and redact, and says which of them no test of the room notices.

    python tests/bench/mutations.py [--minutes 15] [--each 40] [--seed 1] [--room usb ...] [--notes FILE]

Works on a copy of the checkout; nothing here is changed. Each mutant has one comparison, operator, number, sign or
condition altered. They are drawn at random from all that can be altered, so many of each room, the rooms in turn; the
same seed draws the same ones. What calls its function is run until it fails: tests of its room and of checks, quickest
first (those of `FIRST` before all others), for `OWN_S`; then others of these files and those that start topo as a
process, the examples' golden ones among them, for `OTHER_S`; none that is marked slow. So a mutant may survive here
that the whole suite notices, never the other way round. One whose tests take more than three times their processor time
counts as noticed, one whose tests wait for ever as neither.

`survivors.yaml` beside this script lists survivors with a reason: `same` where nothing computed can differ (not
counted), `harmless` where a difference is of no use to anybody (counted as survivors). The rest wants a test in
`tests/mutations/`. The minutes are of processor time and hold for all of it, with the noting of which tests call what.
"""

from __future__ import annotations

import argparse
import ast
import hashlib
import json
import os
import random
import resource
import shutil
import subprocess
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import yaml

ROOT = Path(__file__).resolve().parents[2]
REASONS = Path(__file__).with_name("survivors.yaml")
COPIED = ("topo", "tests", "plugins", "examples", "pyproject.toml", "README.md", "DEVELOPERS.md")
STUCK = -1000
OWN_S, OTHER_S = 20.0, 8.0
"""For how long the tests of one mutant may run, in processor seconds as they were noted."""

FIRST: dict[str, tuple[str, ...]] = {
    "place": ("tests/mutations/test_small_plans.py", "tests/mutations/test_small_rigs.py",
              "tests/mutations/test_planning_rules.py", "tests/mutations/test_place.py",
              "tests/mutations/test_planning_steps.py", "tests/mutations/test_planning_prices.py",
              "tests/mutations/test_planning_order.py",
              "tests/mutations/test_small_truth.py", "tests/mutations/test_small_work.py"),
}
FIRST_S = 20.0
"""Tests that know most of a room for their time: run first, for so many of these seconds, where they call a mutant. As
one remembers for the other what a command says, they take half of that together."""

TOLD = ("tests/checks/test_cases.py", "tests/mutations", "tests/examples/test_golden.py")
ROOMS: dict[str, tuple[tuple[str, ...], tuple[str, ...]]] = {
    "usb": (("topo/usb",), ("tests/usb", "tests/analysis", *TOLD)),
    "analysis": (("topo/analysis", "topo/flows"), ("tests/analysis", "tests/flows", "tests/serial", *TOLD)),
    "night": (("topo/night",), ("tests/night", *TOLD)),
    "place": (("topo/place",), ("tests/place", *TOLD)),
    "power": (("topo/power",), ("tests/power", *TOLD)),
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
NOT_RUN = ("annotation", "returns", "decorator_list", "type_params")
TYPES = ("Literal", "Callable", "Iterable", "Mapping", "dict", "frozenset", "list", "set", "tuple", "type")
"""Parts of the code that compute nothing: types, and what a decorator is told (how much to remember). Nor does an
assertion: in this house it tells the type checker what holds anyway."""


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
    elif isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.Not | ast.USub):
        yield node.operand
    elif isinstance(node, ast.Constant) and type(node.value) in (int, float):
        others = (node.value + 1, node.value * 2 if node.value else 2)
        yield from (ast.Constant(other) for other in dict.fromkeys(others) if other != node.value)
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


def expressions(node: ast.AST) -> Iterator[ast.expr]:
    """What a person computes with, in the order of the file. No types, and nothing inside an f-string's braces."""
    if isinstance(node, ast.Subscript) and isinstance(node.value, ast.Name) and node.value.id in TYPES:
        return  # a type too
    for field, held in ast.iter_fields(node):
        if field in NOT_RUN or isinstance(node, ast.JoinedStr | ast.Assert):
            continue
        for inner in held if isinstance(held, list) else [held]:
            if isinstance(inner, ast.expr):
                yield inner
            if isinstance(inner, ast.AST):
                yield from expressions(inner)


def mutants(room: str, folder: Path) -> list[Mutant]:
    """Every alteration of a room's code, in the order of the files."""
    paths = [p for name in ROOMS[room][0] for p in (sorted((folder / name).rglob("*.py")) or [folder / name])]
    found: list[Mutant] = []
    for path in paths:
        text = path.read_text(encoding="utf-8")
        lines = text.encode().splitlines(keepends=True)
        for node in expressions(ast.parse(text)):
            start, end = node.lineno - 1, (node.end_lineno or node.lineno) - 1
            head, tail = lines[start][: node.col_offset], lines[end][node.end_col_offset :]
            for new in altered(node):
                changed = (head + f"({ast.unparse(new)})".encode() + tail).decode()
                mutated = b"".join([*lines[:start], changed.encode(), *lines[end + 1 :]]).decode()
                before = " ".join(line.decode().strip() for line in lines[start : end + 1])
                found.append(Mutant(room, path.relative_to(folder).as_posix(), node.lineno, mutated, before,
                                    " ".join(changed.split())))
    return found


class Bench:
    """A copy of the checkout in which mutants are tried one after the other, and the processor time that took."""

    def __init__(self) -> None:
        self.folder = Path(tempfile.mkdtemp(prefix="topo-mutations-"))
        for name in COPIED:
            source = ROOT / name
            if source.is_dir():
                shutil.copytree(source, self.folder / name, ignore=shutil.ignore_patterns("__pycache__"))
            else:
                shutil.copy(source, self.folder / name)
        self.environment = {key: value for key, value in os.environ.items() if key != "PYTHONDONTWRITEBYTECODE"}
        self.environment["PYTHONPATH"] = str(self.folder)
        self.server: subprocess.Popen[str] | None = None
        self.used_s, self._stamp = 0.0, 0

    def noted(self, file: str) -> dict[str, Any] | None:
        """What each test of a file calls; None if one fails on the code as it stands."""
        out, before = self.folder / "noted.json", children_s()
        done = subprocess.run([sys.executable, "tests/bench/calling.py", "note", str(out), file], cwd=self.folder,
                              env=self.environment, capture_output=True, check=False)
        self.used_s += children_s() - before
        return None if done.returncode else json.loads(out.read_text(encoding="utf-8"))

    def run(self, tests: list[str], processor_s: int) -> int:
        """Has `calling.py` run tests: 0 all pass, 1 some fail, below 0 ended by a signal, `STUCK` where they wait."""
        if self.server is None:
            self.server = subprocess.Popen(
                [sys.executable, "tests/bench/calling.py", "serve"], cwd=self.folder, text=True, env=self.environment,
                stdin=subprocess.PIPE, stdout=subprocess.PIPE,
            )
        assert self.server.stdin is not None and self.server.stdout is not None
        asked = {"tests": tests, "processor_s": processor_s, "wall_s": 60 + 30 * processor_s}
        print(json.dumps(asked), file=self.server.stdin, flush=True)
        answer = json.loads(self.server.stdout.readline())
        self.used_s += answer["s"]
        return int(answer["status"])

    def tried(self, mutant: Mutant, calls: Calls) -> str:
        """What the tests that call it make of a mutant: `noticed`, `survives` or `stuck`. The file stays as it was.

        Bytecode is kept, so the file gets a time of its own each time: one of the same size within the same second
        would pass for the one before.
        """
        tests, processor_s = calls.of(mutant)
        if not tests:
            return "survives"
        path = self.folder / mutant.path
        before, was = path.read_text(encoding="utf-8"), path.stat().st_mtime
        path.write_text(mutant.text, encoding="utf-8")
        self._stamp += 1
        os.utime(path, (was + self._stamp, was + self._stamp))
        try:
            status = self.run(tests, processor_s)
        finally:
            path.write_text(before, encoding="utf-8")
            os.utime(path, (was, was))
        return "stuck" if status == STUCK else "noticed" if status else "survives"

    def close(self) -> None:
        if self.server is not None:
            self.server.communicate()
        shutil.rmtree(self.folder, ignore_errors=True)


def children_s() -> float:
    """Processor seconds of all processes that ended."""
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    return used.ru_utime + used.ru_stime


class Calls:
    """Which tests of a room call what, and how long they take, as noted on the code as it stands.

    Each file of tests is noted in a process of its own, so that nothing remembered for another hides a call.
    """

    def __init__(self, files: list[str], noted: dict[str, dict[str, Any]], first: tuple[str, ...] = ()) -> None:
        self.first = first
        self.tests = {name: test for file in files for name, test in (noted[file]["tests"] or {}).items()}

    def of(self, mutant: Mutant) -> tuple[list[str], int]:
        """The tests to run, those that call the mutant's function first; a bound in processor seconds."""
        within = function_at(mutant)
        called = (lambda call: call == within) if within else (lambda call: call.startswith(f"{mutant.path}:"))
        own = {name for name, test in self.tests.items() if any(map(called, test["calls"]))}
        files = {name.split("::")[0] for name in own}
        other = {name for name, test in self.tests.items()
                 if name not in own and (test["all"] or not within or name.split("::")[0] in files)}
        first = [*self.quickest({name for name in own if name.split("::")[0] in self.first}, FIRST_S)]
        left = OWN_S - sum(self.tests[name]["s"] for name in first) / 2
        tests = [*first, *self.quickest(own.difference(first), left), *self.quickest(other, OTHER_S)]
        return tests, int(20 + 3 * sum(self.tests[name]["s"] for name in tests))

    def quickest(self, names: set[str], seconds: float) -> Iterator[str]:
        """The quickest of these tests, as many as take so long together, and one at least."""
        spent = 0.0
        for number, name in enumerate(sorted(names, key=lambda name: (self.tests[name]["s"], name))):
            spent += self.tests[name]["s"]
            if number and spent > seconds:
                return
            yield name


def test_files(room: str, folder: Path) -> list[str]:
    """A room's files of tests, each by its path below the checkout."""
    found = [p for name in ROOMS[room][1] for p in (sorted((folder / name).rglob("test_*.py")) or [folder / name])]
    return [path.relative_to(folder).as_posix() for path in found]


def noted(bench: Bench, rooms: list[str], kept: Path | None) -> dict[str, Calls]:
    """What the tests of each room call; a file of tests that several rooms have is noted once.

    `kept` holds it for the next run, and with it the text it was noted from, as a digest.
    """
    found: dict[str, dict[str, Any]] = {}
    if kept is not None and kept.exists():
        found = json.loads(kept.read_text(encoding="utf-8"))
    files = {room: test_files(room, bench.folder) for room in rooms}
    for file in dict.fromkeys(file for room in rooms for file in files[room]):
        text = hashlib.sha256((bench.folder / file).read_bytes()).hexdigest()
        if found.get(file, {}).get("text") != text or found[file]["tests"] is None:
            found[file] = {"text": text, "tests": bench.noted(file)}
        if found[file]["tests"] is None:
            print(f"{file} fails as it stands; left out", flush=True)
        if kept is not None:
            kept.write_text(json.dumps(found), encoding="utf-8")
    return {room: Calls(files[room], found, FIRST.get(room, ())) for room in rooms}


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


def drawn(folder: Path, rooms: list[str], seed: int, each: int) -> Iterator[Mutant]:
    """Mutants at random, so many of each room, the rooms in turn."""
    pools = {room: mutants(room, folder) for room in rooms}
    for room, pool in pools.items():
        random.Random(f"{seed} {room}").shuffle(pool)
    for _ in range(each):
        for pool in pools.values():
            while pool:
                mutant = pool.pop()
                if is_python(mutant):
                    yield mutant
                    break


def is_python(mutant: Mutant) -> bool:
    try:
        compile(mutant.text, mutant.path, "exec")
    except SyntaxError:
        return False
    return True


def reasons() -> dict[tuple[str, str, str], tuple[str, str]]:
    """Kind and reason of each survivor that is listed, by file and the line before and after."""
    listed = yaml.safe_load(REASONS.read_text(encoding="utf-8")) or []
    for entry in listed:
        text = " ".join((ROOT / entry["file"]).read_text(encoding="utf-8").split())
        if " ".join(entry["was"].split()) not in text:
            print(f"{REASONS.name}: {entry['file']} has no such line any more: {entry['was']}")
    return {(entry["file"], entry["was"], entry["now"]): (entry["kind"], entry["why"]) for entry in listed}


def told(counts: Counter[tuple[str, str]], rooms: list[str]) -> None:
    """Prints how many were noticed, by room and in all."""
    for room in [*rooms, "all"]:
        of = {what: sum(n for (r, w), n in counts.items() if w == what and room in (r, "all"))
              for what in ("noticed", "survives", "harmless", "same", "stuck")}
        total = of["noticed"] + of["survives"] + of["harmless"]
        more = ", ".join(f"{of[what]} {word}" for what, word in (
            ("survives", "without a reason"), ("harmless", "harmless"), ("same", "changed nothing"), ("stuck", "stuck"),
        ) if of[what])
        print(f"{room}: {of['noticed']} of {total} noticed ({100 * of['noticed'] / max(1, total):.0f} %)"
              f"{'; ' if more else ''}{more}")


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--minutes", type=float, default=15)
    parser.add_argument("--each", type=int, default=40, help="mutants of each room")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--notes", type=Path, help="keep which tests call what in this file, for the next run")
    parser.add_argument("--room", action="append", choices=list(ROOMS))
    options = parser.parse_args()
    rooms = options.room or list(ROOMS)
    listed, counts, bench = reasons(), Counter[tuple[str, str]](), Bench()
    try:
        calls = noted(bench, rooms, options.notes)
        for mutant in drawn(bench.folder, rooms, options.seed, options.each):
            if bench.used_s + time.process_time() > 60 * options.minutes:
                print(f"cut short after {options.minutes:g} minutes of processor time")
                break
            what = bench.tried(mutant, calls[mutant.room])
            if what == "survives":
                what, why = listed.get((mutant.path, mutant.before, mutant.after), ("survives", "no reason given"))
                print(f"{what}: {mutant.path}:{mutant.line}: {why}\n  - {mutant.before}\n  + {mutant.after}",
                      flush=True)
            counts[mutant.room, what] += 1
    finally:
        bench.close()
    told(counts, rooms)
    print(f"{bench.used_s + time.process_time():.0f} s of processor time")
    return 0


if __name__ == "__main__":
    sys.exit(main())
