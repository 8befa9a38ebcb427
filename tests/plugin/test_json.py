"""What the look-up commands print as JSON follows the schemas beside them."""

from __future__ import annotations

import json
from pathlib import Path

import jsonschema
import pytest

import topo.cli
from topo.cli.main import status_of

ROOM = Path(next(iter(topo.cli.__path__)))
COMMANDS = (
    ("profiles", ["profiles"]), ("profiles", ["profiles", "camera-guide-1mp"]), ("profiles", ["profiles", "computer"]),
    ("plugins", ["plugins"]), ("explain", ["explain"]), ("explain", ["explain", "frame-lost"]),
    ("profiles-new", ["profiles", "new", "camera-new", "--no-questions", "--set", "width_px=5"]),
)


@pytest.mark.parametrize(("schema", "command"), COMMANDS, ids=lambda value: " ".join(value))
def test_json_follows_its_schema(schema: str, command: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    assert status_of([*command, "--json"]) == 0
    out, _ = capsys.readouterr()
    jsonschema.validate(json.loads(out), json.loads((ROOM / f"{schema}.schema.json").read_text()))
