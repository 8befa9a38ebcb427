"""The JSON Schema of rig files, for editors that complete and check while typing. Made by `schema.py`.

The tool reads every scalar as text; an editor's YAML parser makes numbers, booleans and nulls of some. The schema
accepts what such a parser gives for each key. `rig.schema.json` is its committed copy:

    python -m topo.rigfile.jsonschema > topo/rigfile/rig.schema.json
"""

from __future__ import annotations

import json
from typing import Any

from topo.model.rig import COMPUTER
from topo.rigfile.entries import RigDocument
from topo.rigfile.schema import model_of

TITLE = "Rig file of topo"
DESCRIPTION = "An imaging rig: what is plugged into what, with which cable, and what each device does tonight."
_NAME = r"^[^/\s](?:[^/]*[^/\s])?$"
_YES_NO = r"^([Yy]es|YES|[Nn]o|NO|[Oo]n|ON|[Oo]ff|OFF)$"


_ENTRIES = ("properties", "$defs")
_LISTS = ("anyOf", "oneOf", "allOf")


def json_schema() -> dict[str, Any]:
    """The schema as JSON Schema 2020-12, the same on every call."""
    made = _accepting(model_of(RigDocument).model_json_schema(by_alias=True))
    made["properties"]["computer"] = _or_null(made["properties"]["computer"])
    for section in ("hubs", "devices"):
        for choice in made["properties"][section]["anyOf"]:
            if "propertyNames" in choice:
                choice["propertyNames"] |= {"pattern": _NAME, "not": {"const": COMPUTER}}
    head = {"$schema": "https://json-schema.org/draft/2020-12/schema", "title": TITLE, "description": DESCRIPTION}
    return {**head, **{key: value for key, value in made.items() if key not in head}}


def _accepting(node: dict[str, Any]) -> dict[str, Any]:
    """A schema with each simple type widened to what parsers make of the same text, and without empty words."""
    made: dict[str, Any] = {}
    for key, value in node.items():
        if key == "title" or (key == "default" and not value):
            continue
        if key in _ENTRIES:
            made[key] = {name: _accepting(inner) for name, inner in value.items()}
        elif key in _LISTS:
            made[key] = [_accepting(inner) for inner in value]
        elif key in ("items", "additionalProperties") and isinstance(value, dict):
            made[key] = _accepting(value)
        else:
            made[key] = value
    for name in made.get("properties", ()):
        if name not in node.get("required", ()):
            made["properties"][name] = _or_null(made["properties"][name])
    if isinstance(made.get("additionalProperties"), dict):
        made["additionalProperties"] = _or_null(made["additionalProperties"])
    return _widened(made)


def _widened(made: dict[str, Any]) -> dict[str, Any]:
    if made.get("type") == "boolean":
        rest = {key: value for key, value in made.items() if key != "type"}
        return {"anyOf": [{"type": "boolean"}, {"type": "string", "pattern": _YES_NO}], **rest}
    if made.get("type") == "string" and "enum" not in made and "const" not in made:
        pattern = made.get("pattern", "")
        if not pattern:
            made["type"] = ["string", "number", "boolean"]  # a name or note such as 7, 1.10 or yes
        elif "a-fA-F" in pattern or "pcie" in pattern:
            made["type"] = ["string", "number"]  # 0403 is a number to a parser, and so is a figure in MB/s
    return made


def _or_null(schema: dict[str, Any]) -> dict[str, Any]:
    """The schema or nothing: a key with no value counts as left out."""
    choices = schema.get("anyOf")
    if choices is not None and {"type": "null"} in choices:
        return schema
    outer: dict[str, Any] = {key: schema[key] for key in ("description", "default") if key in schema}
    inner: dict[str, Any] = {key: value for key, value in schema.items() if key not in outer}
    if choices is not None and set(inner) == {"anyOf"}:
        return {"anyOf": [*choices, {"type": "null"}], **outer}
    return {"anyOf": [inner, {"type": "null"}], **outer}


if __name__ == "__main__":
    print(json.dumps(json_schema(), indent=2, ensure_ascii=False))
