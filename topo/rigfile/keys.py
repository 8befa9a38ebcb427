"""Help for a key that does not exist: another unit, another place, or the nearest name."""

from __future__ import annotations

from typing import Any

from topo.rigfile.meant import meant_by_key
from topo.rigfile.problems import nearest, shown
from topo.rigfile.shape import fields, is_model, members
from topo.rigfile.units import rewritten, same_quantity, unit_of


def unknown_key(key: str, value: Any, model: Any) -> str:
    """What a person may have meant by a key that the class `model` of the schema does not have."""
    name, colon, rest = key.partition(":")
    if colon and name and rest:
        return f"a space is missing: `{shown(name)}: {shown(rest)}`"
    if model is None:
        return ""
    if value is None and key.isdigit():
        return "write the decimal sign as a point: 1.5"  # `{exposure_s: 1,5}` is a key 5 to YAML
    known = fields(model)
    if other := meant_by_key(key, known):
        return other
    meant = same_quantity(key, known)
    if meant is not None:
        return _other_unit(meant[0], value, meant[1])
    below = _below(key, model)
    if below:
        return below
    near = nearest(key, known)
    return near or "keys here are " + ", ".join(list(known)[:12]) + (", …" if len(known) > 12 else "")


def _other_unit(key: str, value: Any, unit: str) -> str:
    number = rewritten(key, value, unit) if isinstance(value, str) else None
    bare = isinstance(value, str) and not unit and value.replace(".", "", 1).isdigit()
    if number is not None and not bare:
        return f"write `{key}: {number}`, in {unit_of(key)}"
    return f"the key is `{key}`, in {unit_of(key)}"


def _below(key: str, model: Any) -> str:
    """Where the key would be right: one level down (`exposure_s` under `use:`)."""
    for name, info in fields(model).items():
        for choice in members(info.annotation):
            if not is_model(choice):
                continue
            inner = fields(choice)
            if key in inner or same_quantity(key, inner) is not None:
                right = key if key in inner else (same_quantity(key, inner) or ("", ""))[0]
                return f"`{shown(right)}` goes under `{name}:`"
    return ""
