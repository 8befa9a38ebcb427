"""Holds a plugin to the rules: `python -m topo.plugin.contract PACKAGE` prints each breach and exits 1 if there is one.

The package need not be installed, only importable. The rules stand in `rules_profiles.py`, `rules_checks.py` and
`rules_renderers.py`; this file loads the plugin and asks them in turn. It runs a plugin through the whole house, so it
alone of this room may import rooms above.
"""

from __future__ import annotations

import hashlib
import importlib
import os
import subprocess
import sys
from collections.abc import Iterator, Sequence
from contextlib import redirect_stdout
from typing import TYPE_CHECKING

from topo.analysis.study import Study
from topo.draw.picture import picture
from topo.pipeline import examine
from topo.plugin.candidates import NotLoaded, announced, built_in
from topo.plugin.load import Plugins, harvest, load
from topo.plugin.rules_checks import check_breaches, digest_of_findings
from topo.plugin.rules_profiles import profile_breaches
from topo.plugin.rules_renderers import HOSTILE_RIG, renderer_breaches
from topo.plugin.shelf import Layered
from topo.plugin.spec import HOOKS
from topo.plugin.values import Supplier
from topo.rigfile.profiles import profiles_of
from topo.rigfile.read import read_text
from topo.wiring.resolve import resolve

if TYPE_CHECKING:
    from topo.draw.scene import Scene
    from topo.plugin.accept import Accepted

USAGE = "usage: python -m topo.plugin.contract PACKAGE"
SEEDS = ("1", "2")
"""Hash seeds of the two fresh runs whose results must be the same."""

CONTRACT_TIME_OUT_S = 60.0
"""How long one plugin may take to load, in seconds: longer than in a real run, since the rules also tell of time."""


def breaches(package: str, fresh: bool = True) -> Iterator[str]:
    """Every breach of the rules, in words. `fresh` compares two fresh runs as well, which takes some seconds."""
    candidate = _candidate(package)
    brought = harvest(candidate, HOOKS, CONTRACT_TIME_OUT_S).accepted
    yield from brought.wrong
    if not any((brought.profiles, brought.checks, brought.scanners, brought.renderers, brought.evidence_readers)):
        yield "it supplies nothing"
        return
    plugins = _together(package)
    yield from _clashes(candidate.supplier, plugins)
    again = harvest(candidate, HOOKS, CONTRACT_TIME_OUT_S).accepted
    if _names(again) != _names(brought):
        yield "its hooks return something else, or in another order, when they are asked again"
    for profile in brought.profiles:
        yield from profile_breaches(profile, package)
    for check in brought.checks:
        yield from check_breaches(check, lambda text: _study(text, plugins))
    for renderer in brought.renderers:
        yield from renderer_breaches(renderer, lambda: _scene(plugins))
    if fresh:
        yield from _unstable(package)


def _candidate(package: str) -> NotLoaded:
    """The plugin as it is announced, or else just the package of that name."""
    for known in (*built_in(), *announced()[0]):
        if known.module == package:
            return known
    return NotLoaded(Supplier(package), lambda: importlib.import_module(package), package)


def _together(package: str) -> Plugins:
    """All plugins with this one, whether it is announced or not."""
    candidate = _candidate(package)
    known = any(each.module == package for each in (*built_in(), *announced()[0]))
    return load(more=() if known else (candidate,))


def _clashes(supplier: Supplier, plugins: Plugins) -> Iterator[str]:
    for trouble in plugins.troubles:
        same = (trouble.plugin, trouble.distribution) == (supplier.plugin, supplier.distribution)
        if same and "supplied by" in trouble.what:
            yield trouble.what


def _names(accepted: Accepted) -> list[str]:
    kinds: Sequence[Sequence[object]] = (
        accepted.profiles, accepted.checks, accepted.scanners, accepted.renderers, accepted.evidence_readers
    )
    return [str(getattr(value, "name", "")) for kind in kinds for value in kind]


def _study(text: str, plugins: Plugins) -> Study:
    """A case studied with the profiles of all plugins, this one's too."""
    rigfile = read_text(text, "case.yaml")
    return Study(resolve(rigfile, Layered(profiles_of(rigfile), plugins)))


def _scene(plugins: Plugins) -> Scene:
    """The picture of a rig whose every name is hostile, with findings on it."""
    study = _study(HOSTILE_RIG, plugins)
    return picture(study, examine(study, plugins.checks)[0])


def _unstable(package: str) -> Iterator[str]:
    """Runs the checks and renderers twice in fresh processes with different hash seeds."""
    told = []
    environment = {**os.environ, "PYTHONPATH": os.pathsep.join(sys.path)}
    for seed in SEEDS:
        result = subprocess.run(
            [sys.executable, "-m", "topo.plugin.contract", "--digests", package], capture_output=True, text=True,
            timeout=10 * CONTRACT_TIME_OUT_S, env={**environment, "PYTHONHASHSEED": seed},
        )
        if result.returncode:
            yield f"a fresh run failed: {(result.stderr.strip().splitlines() or ['without a word'])[-1]}"
            return
        told.append(result.stdout.splitlines())
    for first, second in zip(*told, strict=True):
        if first != second:
            what = first.rpartition(" ")[0]
            yield f"{what}: another result in a fresh run (a set iterated, a clock, a random number)"


def _digests(package: str) -> Iterator[str]:
    """One line for each check and renderer: its kind, its name, and a digest of all it gives."""
    brought = harvest(_candidate(package), HOOKS, CONTRACT_TIME_OUT_S).accepted
    plugins = _together(package)
    for check in brought.checks:
        yield f"check {check.name} {digest_of_findings(check, lambda text: _study(text, plugins))}"
    for renderer in brought.renderers:
        try:
            data = bytes(renderer.render(_scene(plugins)))
        except Exception as error:
            data = type(error).__name__.encode()
        yield f"renderer {renderer.name} {hashlib.sha256(data).hexdigest()}"


def main(arguments: Sequence[str]) -> int:
    """Prints every breach. 0: none; 1: some; 2: not asked properly."""
    if len(arguments) == 2 and arguments[0] == "--digests":
        with redirect_stdout(sys.stderr):
            lines = list(_digests(arguments[1]))
        print("\n".join(lines))
        return 0
    if len(arguments) != 1 or arguments[0].startswith("-"):
        print(USAGE, file=sys.stderr)
        return 2
    found = list(dict.fromkeys(breaches(arguments[0])))
    for breach in found:
        print(f"{arguments[0]}: {breach}")
    print(f"{arguments[0]}: {len(found)} breach{'es' * (len(found) != 1)} of the contract", file=sys.stderr)
    return 1 if found else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
