"""Runs generated rig files through the main job; anything but a report that holds, or a TopoError, is a defect.

    python tests/fuzz_check.py --count 100000 --seed 1

Two files in three are rigs that the schema takes (see fuzz_rigs), one is such a rig with things done to it: its lines
mixed up, its words replaced, its plugs swapped. Of every rig that can be examined: no check fails; every allocation is
max-min fair by its certificate, at all three ends; JSON holds no figure without end; lines fit their width and hold
nothing invisible; for one in ten the JSON follows its schema, and for one in a hundred the pictures can be drawn. The
same seed gives the same files.
"""

from __future__ import annotations

import argparse
import json
import math
import random
import sys
import time
import traceback
import unicodedata
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parent.parent
if __name__ == "__main__":
    sys.path.insert(0, str(ROOT))

from tests.flows.certificate import violations  # noqa: E402
from tests.fuzz_rigfile import mutated  # noqa: E402
from tests.fuzz_rigs import Maker, as_text  # noqa: E402
from topo.analysis.levels import demand_of  # noqa: E402
from topo.analysis.study import Study  # noqa: E402
from topo.errors import RigFileError, TopoError  # noqa: E402
from topo.flows.allocate import allocate  # noqa: E402
from topo.model.facts import Range3  # noqa: E402
from topo.model.profile import Profile  # noqa: E402
from topo.pipeline import examine_text, plugins  # noqa: E402
from topo.report.asjson import report_json  # noqa: E402
from topo.report.compose import Report  # noqa: E402
from topo.report.lines import text_of  # noqa: E402
from topo.report.text import report_lines  # noqa: E402
from topo.words.cells import cells  # noqa: E402


@dataclass
class Outcome:
    """What a run came to: counts, and each defect with the file that showed it."""

    examined: int = 0
    refused: int = 0
    findings: Counter[str] = field(default_factory=Counter)
    allocations: int = 0
    slowest_ms: float = 0.0
    slowest: str = ""
    defects: list[tuple[str, str]] = field(default_factory=list)
    kinds: Counter[str] = field(default_factory=Counter)

    def defect(self, text: str, words: str) -> None:
        """Counts a defect by its last line."""
        self.kinds[words.strip().splitlines()[-1][:110]] += 1
        self.defects.append((text, words))


def run(count: int, seed: int, progress: bool = False) -> Outcome:
    """Examines `count` generated files."""
    rng = random.Random(seed)
    make = Maker(rng, profiles())
    outcome, told = Outcome(), 0
    for number in range(count):
        text = make.text() if rng.random() < 2 / 3 else changed(rng, make)
        examine_one(text, number, rng, outcome)
        if progress and outcome.defects[told:]:
            print(f"{number}: {outcome.defects[-1][1].strip().splitlines()[-1]}", file=sys.stderr)
            told = len(outcome.defects)
        if progress and number % 1000 == 999:
            print(f"{number + 1}: {outcome.examined} examined, {len(outcome.defects)} defects", file=sys.stderr)
    return outcome


def profiles() -> Iterator[Profile]:
    """All profiles there are."""
    known = plugins()
    for name in known.profile_names():
        if (profile := known.profile(name)) is not None:
            yield profile


def changed(rng: random.Random, make: Maker) -> str:
    """A rig with things done to it: values swapped between its parts, or its text torn."""
    rig = make.rig()
    how = rng.randrange(3)
    if how == 0:
        return mutated(rng, as_text(rig).encode()).decode("utf-8", "replace")
    parts = [part for section in ("hubs", "devices") for part in rig.get(section, {}).values()]
    for _ in range(rng.choice((1, 2, 4)) if len(parts) > 1 else 0):
        one, other = rng.sample(parts, 2)
        keys = ("plug", "cable") if how == 1 else tuple(one)
        key = rng.choice(keys) if keys else "plug"
        one[key], other[key] = other.get(key), one.get(key)
    for part in parts:
        for key in [key for key, value in part.items() if value is None]:
            del part[key]
    return as_text(rig)


def examine_one(text: str, number: int, rng: random.Random, outcome: Outcome) -> None:
    """Examines one file and holds what comes out against every rule there is; the number decides on the costly ones."""
    width, encoding = rng.choice((40, 60, 80, 80, 120, 200)), rng.choice(("utf-8", "utf-8", "ascii", "latin-1"))
    start = time.perf_counter()
    try:
        report = examine_text(text)
        lines = [text_of(line) for line in report_lines(report, width, encoding)]
        body = report_json(report)
        taken = 1e3 * (time.perf_counter() - start)
        outcome.examined += 1
        outcome.findings.update({finding.name: 1 for finding in report.findings})
        wrong = [*wrong_lines(lines, width, encoding), *wrong_json(body), *wrong_report(report, outcome)]
        if number % 10 == 0:
            wrong += wrong_schema(body)
        if number % 100 == 0:
            wrong += wrong_pictures(report)
        for words in wrong:
            outcome.defect(text, words)
    except TopoError as error:
        outcome.refused += 1
        taken = 1e3 * (time.perf_counter() - start)
        told = [str(problem) for problem in error.problems] if isinstance(error, RigFileError) else [str(error)]
        if not told or any(not words.isprintable() for words in told):
            outcome.defect(text, f"an odd error: {error!r}")
    except Exception:
        outcome.defect(text, traceback.format_exc())
        return
    if taken > outcome.slowest_ms:
        outcome.slowest_ms, outcome.slowest = taken, text


def wrong_lines(lines: list[str], width: int, encoding: str) -> Iterator[str]:
    """Lines too wide, or with something invisible, or that the encoding cannot say."""
    for line in lines:
        if cells(line) > width:
            yield f"a line of {cells(line)} cells in {width}: {line!r}"
        elif any(char != " " and unicodedata.category(char)[0] in "CZ" for char in line):
            yield f"a line with something invisible: {line!r}"
        elif line.encode(encoding, "replace").decode(encoding) != line:
            yield f"a line that {encoding} cannot say: {line!r}"


def wrong_json(body: dict[str, Any]) -> Iterator[str]:
    """What JSON cannot say, and ranges that do not ascend."""
    try:
        json.dumps(body, allow_nan=False)
    except ValueError as error:
        yield f"JSON: {error}"
    for path, value in _walk(body, ""):
        if isinstance(value, list) and len(value) == 3 and all(isinstance(n, int | float) for n in value):
            if not value[0] <= value[1] <= value[2]:
                yield f"{path}: a range that does not ascend: {value}"
        elif isinstance(value, int | float) and value < 0 and not path.endswith(("celsius", ".value °C")):
            yield f"{path}: a figure below nothing: {value}"


def _walk(value: Any, path: str) -> Iterator[tuple[str, Any]]:
    yield path, value
    if isinstance(value, dict):
        path += f" '{value['name']}'" if "name" in value else ""
        degrees = " °C" if value.get("unit") == "°C" else ""
        for key, inner in value.items():
            yield from _walk(inner, f"{path}.{key}{degrees}")
    elif isinstance(value, list):
        for inner in value:
            yield from _walk(inner, path)


def wrong_report(report: Report, outcome: Outcome) -> Iterator[str]:
    """Checks that failed, allocations without a certificate, outcomes that contradict each other."""
    yield from report.troubles
    yield from wrong_shares(report.study, outcome)
    for link in report.study.links:
        most = math.inf if link.kind == "serial-line" else 1.0  # polls that pass what a line carries are told as such
        if not 0 <= link.load_average <= most or not 0 <= link.load_peak <= most:
            yield f"link {link.id!r}: loads {link.load_average!r}, {link.load_peak!r}"
    for device in report.study.devices:
        yield from _slower_together(device.id, device.alone_s, device.together_s)
        if device.chance is not None and not 0 <= device.chance <= 1:
            yield f"device {device.id!r}: chance {device.chance!r}"


def _slower_together(name: str, alone: Range3 | None, together: Range3 | None) -> Iterator[str]:
    if alone and together and any(b < a * (1 - 1e-9) for a, b in zip(alone, together, strict=True)):
        yield f"device {name!r} is quicker together than alone: {together} < {alone}"


def wrong_shares(study: Study, outcome: Outcome | None = None) -> Iterator[str]:
    """What keeps the shares of all flows, of the bursts alone and of the steady flows alone from being max-min fair."""
    flows = study.traffic.flows
    sets = {flows, tuple(f for f in flows if f.is_burst), tuple(f for f in flows if not f.is_burst)}
    for level in study.levels:
        for chosen in sorted(sets, key=len):
            demands = tuple(demand_of(flow) for flow in chosen)
            for words in violations(demands, level.capacities, allocate(demands, level.capacities)):
                yield f"{level.name}: {words}"
            if outcome is not None:
                outcome.allocations += 1


def wrong_schema(body: dict[str, Any]) -> Iterator[str]:
    """Where the JSON does not follow the schema that is published."""
    for error in _validator().iter_errors(body):
        yield f"schema: {error.json_path}: {error.message}"


def _validator(kept: list[Any] = []) -> Any:  # noqa: B006 - made once
    if not kept:
        import jsonschema

        schema = json.loads((ROOT / "topo" / "report" / "check.schema.json").read_text(encoding="utf-8"))
        kept.append(jsonschema.validators.validator_for(schema)(schema))
    return kept[0]


def wrong_pictures(report: Report) -> Iterator[str]:
    """What is wrong with the tree and the picture of a rig: raising, or something invisible in them."""
    from topo.draw.layout import place
    from topo.draw.paint import painted
    from topo.draw.picture import picture
    from topo.draw.shapes import sheet_svg
    from topo.draw.tree import tree_lines

    scene = picture(report.study, report.findings, 900)
    svg = sheet_svg(painted(place(scene)), "picture")
    if any(unicodedata.category(char) in ("Cf", "Cc") and char != "\n" for char in svg):
        yield "the picture holds something invisible"
    for line in tree_lines(scene, 80, ascii_only=True):
        if any(unicodedata.category(char) in ("Cf", "Cc") for span in line for char in span.text):
            yield f"the tree holds something invisible: {line!r}"


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--count", type=int, default=100_000, help="how many files")
    parser.add_argument("--seed", type=int, default=1, help="which files")
    parser.add_argument("--show", type=int, default=8, help="how many kinds of defect to show a file of")
    chosen = parser.parse_args()
    start = time.perf_counter()
    outcome = run(chosen.count, chosen.seed, progress=True)
    seconds = time.perf_counter() - start
    print(f"{chosen.count} files in {seconds:.0f} s: {outcome.examined} examined, {outcome.refused} refused;")
    print(f"{outcome.allocations} allocations held against their certificate;")
    print(f"slowest {outcome.slowest_ms:.0f} ms, {len(outcome.defects)} defects")
    for name, times in sorted(outcome.findings.items()):
        print(f"{times:8} rigs with {name}")
    for kind, times in outcome.kinds.most_common(20):
        print(f"{times:8} {kind}")
    told: set[str] = set()
    for text, words in sorted(outcome.defects, key=lambda defect: len(defect[0])):
        kind = words.strip().splitlines()[-1][:60]
        if kind not in told and len(told) < chosen.show:
            told.add(kind)
            print(f"\n{text}\n{words}")
    return 1 if outcome.defects else 0


if __name__ == "__main__":
    sys.exit(main())
