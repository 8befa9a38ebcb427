"""Nested mappings of plain values as YAML that the reader reads. Knows nothing of rigs."""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Mapping
from typing import Any

_BARE = re.compile(r"[a-z][a-z0-9]*([-_][a-z0-9]+)*|[a-z][a-z0-9-]*/[a-z0-9-]+")
_TAKEN = {"true", "false", "yes", "no", "on", "off", "null", "y", "n"}


def yaml_text(data: Mapping[str, Any]) -> str:
    """The mapping as YAML text. Texts stand in double quotes unless they are plain words."""
    return "\n".join(_lines(data, 0)) + "\n"


def _lines(data: Mapping[str, Any], indent: int) -> Iterable[str]:
    for name, value in data.items():
        head = f"{' ' * indent}{_scalar(name)}:"
        if not isinstance(value, Mapping):
            yield f"{head} {_scalar(value)}"
        elif not value:
            yield f"{head} {{}}"
        elif indent and not any(isinstance(inner, Mapping) for inner in value.values()):
            inside = ", ".join(f"{_scalar(key)}: {_scalar(inner)}" for key, inner in value.items())
            if len(head) + len(inside) < 100:
                yield f"{head} {{{inside}}}"
            else:
                yield head
                yield from _lines(value, indent + 2)
        else:
            yield head
            yield from _lines(value, indent + 2)


def _scalar(value: Any) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int | float):
        return repr(int(value) if float(value).is_integer() and abs(value) < 1e15 else value)
    text = str(value)
    return text if _BARE.fullmatch(text) and text not in _TAKEN else json.dumps(text, ensure_ascii=False)
