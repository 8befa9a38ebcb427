"""What the commands that plan say of a small rig, run in this process, and that as lines. No tests here."""

from __future__ import annotations

import importlib
import json
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any

from click.testing import CliRunner

SMALL = Path(__file__).with_name("small")
NAMES = tuple(sorted(path.stem for path in SMALL.glob("*.yaml")))


@cache
def said(command: str, name: str, *options: str) -> dict[str, Any]:
    """What a command prints of a small rig with `--json`, as an object."""
    run = importlib.import_module(f"topo.cli.{command}").command
    done = CliRunner().invoke(run, [str(SMALL / f"{name}.yaml"), *options, "--json"])
    assert done.exit_code in (0, 1), (command, name, options, done.output, done.exception)
    found: dict[str, Any] = json.loads(done.stdout)
    return found


def short(finding: dict[str, Any]) -> str:
    """A finding in three words."""
    return f"{finding['severity']} {finding['name']} {finding['part']}"


COMMANDS = ("check", "rewire", "place", "planb", "diff")


def lines(name: str, command: str) -> Iterator[str]:
    """What a command makes of a small rig, one line for each fix, plan, option, failure, step or difference. What is
    empty is left out; of findings what planning takes from them, as their words are held elsewhere."""
    if command == "check":
        for finding in said("check", name)["findings"]:
            yield f"check {short(finding)}: {_line(finding['fix'])}"
    elif command == "rewire":
        for options in (("--moves", "2"), ("--moves", "1", "--faults"), ("--moves", "1", "--pin", _pinned(name))):
            yield from _of_rewire(name, options)
    elif command == "place":
        for options in (("camera-guide-1mp",), ("camera-apsc-26mp", "--role", "imaging", "--cable-m", "1.5", "--near",
                                                _pinned(name)), ("hub-usb3-4port-powered",)):
            yield from _of_place(name, options)
    elif command == "planb":
        told = said("planb", name)
        for failure in told["failures"]:
            yield f"planb {_line({**failure, 'brings': list(map(short, failure['brings']))})}"
        yield from (f"planb starts {_line(step)}" for step in told["start"])
    else:
        other = SMALL / f"{NAMES[NAMES.index(name) - 1]}.yaml"
        yield from (f"diff {_line(part)}" for part in said("diff", name, str(other))["parts"])


def _pinned(name: str) -> str:
    """The first part with a plug that a finding names, else the first that has one."""
    plugged = [step["part"] for step in said("planb", name)["start"] if step["waits_for"]]
    found = [finding["part"] for finding in said("check", name)["findings"] if finding["part"] in plugged]
    return str((found or plugged)[0])


def _of_rewire(name: str, options: tuple[str, ...]) -> Iterator[str]:
    told, head = said("rewire", name, *options), " ".join(("rewire", *options))
    for plan in told["plans"]:
        found = {key: list(map(short, plan[key])) for key in ("clears", "eased", "leaves", "brings")}
        yield f"{head}: {_line({**plan, **found})}"
    yield f"{head}: stuck {_line(list(map(short, told['stuck'])))}, studied {_line(told['plans_studied'])}"
    yield from (f"{head}: {why}" for why in (*told["why"], told["proof"]))


def _of_place(name: str, options: tuple[str, ...]) -> Iterator[str]:
    told, head = said("place", name, *options), f"place {options[0]}"
    for option in told["options"]:
        yield f"{head}: {_line({**option, 'findings': list(map(short, option['findings']))})}"
    yield from (f"{head}: not {each['plug']}: {each['reason']}" for each in told["ruled_out"])


def _line(value: Any) -> str:
    return json.dumps(_full(value), ensure_ascii=False)


def _full(value: Any) -> Any:
    """A value without what is empty in it."""
    if isinstance(value, dict):
        return {key: _full(each) for key, each in value.items() if each not in (None, "", [], {}, False)}
    return [_full(each) for each in value] if isinstance(value, list) else value
