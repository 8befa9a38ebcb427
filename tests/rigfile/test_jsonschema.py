"""The JSON Schema: current, sound, and of one mind with the reader."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
import yaml
from jsonschema import Draft202012Validator

import topo.rigfile
from tests.rigfile.test_read import EXAMPLES, HEAD, device
from topo.errors import RigFileError
from topo.rigfile.jsonschema import json_schema
from topo.rigfile.read import read_text

COMMITTED = Path(topo.rigfile.__path__[0]) / "rig.schema.json"
SCHEMA = json_schema()
VALIDATOR = Draft202012Validator(SCHEMA)


def accepts(text: str) -> bool:
    """What an editor says, whose YAML parser makes numbers, booleans and nulls of plain words."""
    loaded: Any = yaml.safe_load(text)
    return VALIDATOR.is_valid(loaded)


def reads(text: str) -> bool:
    try:
        read_text(text, "x")
    except RigFileError:
        return False
    return True


def test_the_committed_copy_is_current() -> None:
    assert json.loads(COMMITTED.read_text(encoding="utf-8")) == SCHEMA, (
        "run: python -m topo.rigfile.jsonschema > topo/rigfile/rig.schema.json"
    )


def test_it_is_a_json_schema_of_2020_12() -> None:
    Draft202012Validator.check_schema(SCHEMA)
    assert SCHEMA["$schema"] == "https://json-schema.org/draft/2020-12/schema"
    assert SCHEMA["title"] and SCHEMA["description"]
    assert "$id" not in json.dumps(SCHEMA)


def test_keys_are_described_for_editors() -> None:
    properties = SCHEMA["$defs"]["DeviceEntry"]["properties"]
    assert all(entry.get("description") for name, entry in properties.items() if name.endswith(("_s", "_ms", "_px")))
    assert SCHEMA["$defs"]["UseEntry"]["properties"]["exposure_s"]["description"] == "exposure of one frame, s"
    assert "from" in SCHEMA["$defs"]["LeadEntry"]["properties"]


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.parent.name)
def test_examples_validate(path: Path) -> None:
    assert accepts(path.read_text(encoding="utf-8"))


GOOD = [
    HEAD,
    "rig: 2024\ncomputer:\n",
    device("{packed: yes, use: {bin: 2, exposure_s: 10}, cable: , note: 7}"),
    device("identity: {vendor_id: 0403, product_id: '6001', serial: 12}"),
    device("profile: 1.10"),
    "rig: A\ncomputer: {ports: {usb3-1: , 2: {controller: 1, usb2_bus: 2}}, controllers: {1: {uplink: 400}}}\n",
    HEAD + "devices:\n  empty:\nhubs:\n",
    HEAD + "power: {supplies: {s: {volts: 13.2}}, leads: {l: {from: s, to: computer, fuse_amps: 5}}}\n",
    HEAD + "profiles: {p: {facts: {width_px: 6248, packed: true, speed: {value: high, source: x}}}}\n",
]
BAD = [
    "rig: A\n",
    "computer: {}\n",
    "- a\n",
    HEAD + "devcies: {}\n",
    device("role: imagin"),
    device("cable: 3"),
    device("cable: {length_m: 1.2 m}"),
    device("use: {bin: 99}"),
    device("use: {bin: 1.5}"),
    device("use: {roi: 12}"),
    device("packed: maybe"),
    device("plug: computer"),
    device("plug: 3"),
    device("{cable: {length_cm: 80}}"),
    device("identity: {vendor_id: '0x403'}"),
    HEAD + "devices: {computer: {}}\n",
    HEAD + "devices: {a/b: {}}\n",
    HEAD + "power: {supplies: {s: {amps: 3}}}\n",
    HEAD + "profile_files: a.yaml\n",
    "rig: A\ncomputer: {controllers: {x: {uplink: fast}}}\n",
]


@pytest.mark.parametrize("text", GOOD)
def test_good_files_validate_and_read(text: str) -> None:
    assert accepts(text)
    assert reads(text)


@pytest.mark.parametrize("text", BAD)
def test_bad_files_do_neither(text: str) -> None:
    assert not accepts(text)
    assert not reads(text)
