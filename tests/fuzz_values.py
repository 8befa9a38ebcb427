"""Puts every shape in the place of every value of a rig file; anything but a report or a RigFileError is a defect.

    python tests/fuzz_values.py [--every N]

The files are the examples and one with every section of the schema. Shapes: text, nothing, lists and mappings, empty,
nested and full, figures that are none or have no end, text of great length. Always in the same order. A RigFileError
must tell at least one problem, and where it stands.
"""

from __future__ import annotations

import argparse
import copy
import json
import sys
import traceback
from collections.abc import Iterator
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parent.parent
if __name__ == "__main__":
    sys.path.insert(0, str(ROOT))

from topo.errors import RigFileError  # noqa: E402
from topo.pipeline import examine_text  # noqa: E402
from topo.rigfile.content import content_of  # noqa: E402
from topo.rigfile.problems import Problems  # noqa: E402
from topo.rigfile.syntax import parsed  # noqa: E402

WHOLE = """
rig: Orchard wall
computer:
  note: every section of the schema
  os: linux
  usbfs_memory_mb: 16
  controllers: {first: {uplink: pcie2x1}}
  ports: {usb3-1: {controller: first, speed: super, usb2_bus: one}, usb2-1: {speed: high}}
hubs:
  rail: {speed: super, ports: 4, powered: true, plug: computer/usb3-1, cable: {length_m: 1, grade: usb3}}
devices:
  big: {role: imaging, profile: made, plug: rail/1, use: {exposure_s: 60, bin: 2, roi: 640x480, mode: still}}
  small: {role: guiding, width_px: 1280, height_px: 960, speed: high, plug: rail/2, guides: mount,
          use: {exposure_s: 2}}
  line: {speed: full, serial_sockets: 1, plug: rail/3, identity: {vendor_id: "0403", product_id: "6001", serial: A1}}
  mount: {role: mount, plug: line/serial-1, serial: {baud: 9600, polls_per_s: 1}, drift_arcsec_per_s: 0.3}
power:
  supplies: {shed: {volts: 13, amps: 10}}
  leads: {main: {from: shed, to: big, length_m: 2, gauge_awg: 18}}
profiles:
  made: {kind: device, role: imaging, summary: s, source: x,
         facts: {width_px: {value: "6000", source: y}, height_px: "4000", speed: super, amps_peak: "2"}}
"""

_NESTED: Any = "end"
for _ in range(40):
    _NESTED = {"a": _NESTED}

SHAPES: tuple[Any, ...] = (
    "word", "", " ", None, [], ["a"], [["a"], {"b": "c"}], {}, {"a": "b"}, {"a": {"b": {"c": "d"}}}, _NESTED,
    {"value": "3", "source": "x"}, {"value": {"a": "b"}}, {"": ""}, "1.10", "-1", "0", "1e400", "nan", "-inf",
    "9" * 400, "0x10", "x" * 70_000, "true", "a/b", "a/b/c", "computer", "\u202e", "1,5", "2m",
)
"""What stands in place of a value. A number of JSON arrives as text, as everything does."""


def files() -> dict[str, str]:
    """The files whose values are replaced, by name."""
    found = {"whole": WHOLE}
    for path in sorted((ROOT / "examples").glob("*/rig.yaml")):
        found[path.parent.name] = path.read_text(encoding="utf-8")
    return found


def data_of(text: str) -> dict[str, Any]:
    """What a file says, as nested mappings, lists and text."""
    problems = Problems("rig.yaml")
    data = content_of(parsed(text, problems), "rig.yaml", problems).data
    assert not len(problems)
    return data


def places(data: Any, path: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    """The path of every value, those of mappings and lists too."""
    pairs = data.items() if isinstance(data, dict) else enumerate(data) if isinstance(data, list) else ()
    for key, value in pairs:
        yield (*path, key)
        yield from places(value, (*path, key))


def replaced(data: Any, path: tuple[Any, ...], shape: Any) -> str:
    """The file with one value replaced; JSON is YAML too."""
    whole = copy.deepcopy(data)
    below = whole
    for key in path[:-1]:
        below = below[key]
    below[path[-1]] = shape
    return json.dumps(whole, ensure_ascii=False, indent=0)


def wrong(text: str) -> str:
    """What is wrong with how a file was taken, or nothing."""
    try:
        examine_text(text)
    except RigFileError as error:
        untold = not error.problems or any(not p.message for p in error.problems)
        return "refused without a word" if untold else ""
    except Exception:
        return traceback.format_exc()
    return ""


def sweep(every: int) -> Iterator[tuple[str, tuple[Any, ...], Any, str]]:
    """Every so many of all replacements: (file, path, shape, what is wrong)."""
    number = 0
    for name, text in files().items():
        data = data_of(text)
        for path in places(data):
            for shape in SHAPES:
                number += 1
                if number % every == 0:
                    yield name, path, shape, wrong(replaced(data, path, shape))


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--every", type=int, default=1)
    count, bad = 0, 0
    for name, path, shape, words in sweep(parser.parse_args().every):
        count += 1
        if words:
            bad += 1
            print(f"{name} {path} {str(shape)[:40]!r}:\n{words}")
    print(f"{count} files, {bad} defects")
    return 1 if bad else 0


if __name__ == "__main__":
    sys.exit(main())
