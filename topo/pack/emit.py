"""Nested mappings of plain values as YAML that the reader reads. Knows nothing of rigs."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from topo.rigfile.quote import scalar


def yaml_text(data: Mapping[str, Any]) -> str:
    """The mapping as YAML text. Texts stand in double quotes unless they are plain words."""
    return "\n".join(_lines(data, 0)) + "\n"


def _lines(data: Mapping[str, Any], indent: int) -> Iterable[str]:
    for name, value in data.items():
        head = f"{' ' * indent}{scalar(name)}:"
        if not isinstance(value, Mapping):
            yield f"{head} {_inline(value)}"
        elif not value:
            yield f"{head} {{}}"
        elif indent and not any(isinstance(inner, Mapping) for inner in value.values()):
            inside = ", ".join(f"{scalar(key)}: {_inline(inner)}" for key, inner in value.items())
            if len(head) + len(inside) < 100:
                yield f"{head} {{{inside}}}"
            else:
                yield head
                yield from _lines(value, indent + 2)
        else:
            yield head
            yield from _lines(value, indent + 2)


def _inline(value: Any) -> str:
    """A text or figure, or a list of them in one line."""
    return f"[{', '.join(map(scalar, value))}]" if isinstance(value, list) else scalar(value)
