"""Values and keys as YAML text, in quotes only where YAML needs them."""

from __future__ import annotations

import json
from typing import Any

import yaml

from topo.rigfile.problems import Problems
from topo.rigfile.tree import Mapping, Scalar, compose


def as_text(value: Any) -> str:
    """A value as the text a person would write: true and false, numbers without needless digits."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, float):
        short = f"{value:.10g}"
        return short if float(short) == value else repr(value)
    return str(value)


def value_text(value: str, style: str = "", inside_flow: bool = False) -> str:
    """A value as YAML: in the quotes it had (`style`), else plain where it reads back the same, else quoted."""
    if style not in ("'", '"') and _reads_back(value, inside_flow):
        return value
    if style == '"' or not value.isprintable():
        return _double(value)
    return "'" + value.replace("'", "''") + "'"


def key_text(key: str) -> str:
    """A key as YAML, plain where it reads back the same in block and flow style alike."""
    if _key_reads_back(key):
        return key
    return "'" + key.replace("'", "''") + "'" if key.isprintable() else _double(key)


def flow(data: dict[str, Any]) -> str:
    """A mapping in one line: {length_m: 1.2, grade: usb3}."""
    pairs = (
        f"{key_text(key)}: {flow(value) if isinstance(value, dict) else value_text(value, inside_flow=True)}"
        for key, value in data.items()
    )
    return "{" + ", ".join(pairs) + "}"


def _double(value: str) -> str:
    # JSON strings are YAML double-quoted ones, except that JSON writes characters past U+FFFF as two halves.
    return '"' + "".join(json.dumps(c)[1:-1] if ord(c) < 0x10000 else f"\\U{ord(c):08x}" for c in value) + '"'


def _reads_back(value: str, inside_flow: bool) -> bool:
    if not value.isprintable() or not value:
        return False
    root = _read(f"{{k: {value}, m: n}}" if inside_flow else f"k: {value}\nm: n")
    if not isinstance(root, Mapping) or [key.text for key, _ in root.pairs] != ["k", "m"]:
        return False
    node = root.pairs[0][1]
    return isinstance(node, Scalar) and not node.style and node.text == value and not node.is_empty


def _key_reads_back(key: str) -> bool:
    if not key.isprintable() or not key:
        return False
    for text in (f"{key}: v\nm: n", f"{{{key}: v, m: n}}"):
        root = _read(text)
        if not isinstance(root, Mapping) or [(k.text, k.style) for k, _ in root.pairs] != [(key, ""), ("m", "")]:
            return False
    return True


def _read(text: str) -> Any:
    problems = Problems("")
    try:
        root = compose(text, problems)
    except yaml.YAMLError:
        return None
    return None if len(problems) else root
