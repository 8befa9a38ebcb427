"""From checked values to records: facts with their basis, sections as the records they are declared to be."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import is_dataclass
from typing import Any, get_args, get_origin

from topo.model.declare import declared
from topo.model.facts import Fact


def built(record: Any, checked: Any) -> Any:
    """A record from the pydantic object of its class; facts carry the basis `declared`."""
    values: dict[str, Any] = {}
    for each in declared(record):
        if each.inline:
            values[each.name] = built(each.type, checked)
            continue
        value = getattr(checked, each.name)
        if value is not None:
            values[each.name] = Fact(value, "declared") if each.fact else _value(each.type, value)
    return record(**values)


def _value(declared_type: Any, value: Any) -> Any:
    origin = get_origin(declared_type)
    if origin is Mapping:
        below = get_args(declared_type)[1]
        return {name: _value(below, inner) for name, inner in value.items()}
    if origin is tuple:
        return tuple(value)
    if isinstance(value, str | int | float | bool):
        return value
    kinds = (declared_type, *get_args(declared_type))
    return built(next(kind for kind in kinds if isinstance(kind, type) and is_dataclass(kind)), value)
