"""Values and keys as YAML text: the one place that knows what needs quotes.

An edit keeps a person's style (`value_text`, `key_text`); a text made here is one that any reader takes the same
(`scalar`, `double_quoted`), and not ours alone, which takes every scalar as text.
"""

from __future__ import annotations

import json
import re
from typing import Any

from topo.rigfile.outside import yaml
from topo.rigfile.problems import Problems
from topo.rigfile.tree import Mapping, Scalar, compose

_WORD = re.compile(r"[A-Za-z][A-Za-z0-9]*([-_.+][A-Za-z0-9]+)*(/[A-Za-z0-9-]+)?")
_NUMBER = re.compile(r"-?(0|[1-9][0-9]{0,14})(\.[0-9]{1,15})?")
_TAKEN = frozenset({"true", "false", "yes", "no", "on", "off", "null", "y", "n"})
"""Words that are more than words in YAML 1.1 (types bool and null)."""


def scalar(value: Any) -> str:
    """A new value: bare where it is a plain word, a plug or a number for any reader, else in double quotes."""
    text = as_text(value)
    bare = _NUMBER.fullmatch(text) or (_WORD.fullmatch(text) and text.lower() not in _TAKEN)
    return text if bare or isinstance(value, bool) else double_quoted(text)


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
        return double_quoted(value)
    return "'" + value.replace("'", "''") + "'"


def key_text(key: str) -> str:
    """A key as YAML, plain where it reads back the same in block and flow style alike."""
    if _key_reads_back(key):
        return key
    return "'" + key.replace("'", "''") + "'" if key.isprintable() else double_quoted(key)


def flow(data: dict[str, Any]) -> str:
    """A mapping in one line: {length_m: 1.2, grade: usb3}."""
    pairs = (
        f"{key_text(key)}: {flow(value) if isinstance(value, dict) else value_text(value, inside_flow=True)}"
        for key, value in data.items()
    )
    return "{" + ", ".join(pairs) + "}"


def double_quoted(value: str) -> str:
    """A double-quoted scalar of printable ASCII only (YAML 1.1 5.7: escapes)."""
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
