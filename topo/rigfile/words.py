"""What pydantic found, told in the words of the person who wrote the file. No word of pydantic's gets out."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from topo.rigfile.content import Content, named
from topo.rigfile.document import KeyPath
from topo.rigfile.keys import unknown_key
from topo.rigfile.meant import meant_by
from topo.rigfile.problems import Problems, nearest, shown
from topo.rigfile.shape import fields, follow, is_model, members, model_at, words_of
from topo.rigfile.shorthand import cable_meant, plug_meant
from topo.rigfile.units import rewritten, unit_of

_FORMS = {
    "plug": ("PART/SOCKET", "for instance computer/usb3-1"),
    "roi": ("WIDTHxHEIGHT in pixels", "for instance 1280x960"),
    "vendor_id": ("four hexadecimal digits", "for instance 0a5c"),
    "product_id": ("four hexadecimal digits", "for instance 0a5c"),
    "uplink": ("a PCIe link, or a figure in MB/s from 0.001 to 999999", "for instance pcie2x1, or 400"),
}
_EXAMPLES = {
    "rig": "write `rig: A NAME`",
    "computer": "write `computer: {profile: NAME}`; `topo profiles computer` lists them",
    "volts": "for instance 12.8 or 13.2",
    "from": "the supply or part the lead comes from",
    "to": "the part the lead goes to",
}


def tell(errors: list[Any], root: Any, content: Content, problems: Problems, base: KeyPath = ()) -> None:
    """Notes every error that validating `root` gave, with its place. `base` is where in the file `root` stands."""
    for error in errors:
        path, annotation, branch = follow(root, error["loc"])
        value = value_at(content.data, (*base, *path))
        if branch is not None and not isinstance(value_at(content.data, (*base, *branch)), dict):
            continue  # a plain value was meant
        of_union = len(error["loc"]) > len(path)  # its last step names a branch
        if of_union and branch is None and isinstance(value, dict) and error["type"] == "string_type":
            continue  # a value with its source was meant, and what is wrong with that is told by the other branch
        _tell_one(error, root, path, annotation, value, _Place(content, problems, base))


class _Place:
    """Where problems of one part of the file go."""

    def __init__(self, content: Content, problems: Problems, base: KeyPath) -> None:
        self.content, self.problems, self.base = content, problems, base

    def at_key(self, path: KeyPath, message: str, hint: str | Callable[[], str] = "") -> None:
        place = self.content.key_at(*self.base, *path)
        self.problems.add(place.line, place.column, message, hint)

    def if_new(self, path: KeyPath, message: str, hint: str) -> None:
        place = self.content.value_at(*self.base, *path)
        if not self.problems.at(place.line, place.column):
            self.at_key(path, message, hint)

    def at_value(self, path: KeyPath, message: str, hint: str | Callable[[], str] = "") -> None:
        place = self.content.value_at(*self.base, *path)
        self.problems.add(place.line, place.column, message, hint)


def _tell_one(error: Any, root: Any, path: KeyPath, annotation: Any, value: Any, place: _Place) -> None:
    kind = error["type"]
    key = path[-1] if path else ""
    if error["loc"] and error["loc"][-1] == "[key]":
        if not key or named((*place.base, *path[:-1])):
            return  # told when the name was read
        place.at_key(path, f"'{shown(key)}' is no name", "1 to 64 characters")
    elif kind == "missing" and (*place.base, *path) in place.content.places:
        place.if_new(path, f"`{key}` is left empty, and it is needed", _EXAMPLES.get(key, ""))
    elif kind == "missing":
        owner = f"'{shown(path[-2])}' lacks `{key}`" if len(path) > 1 else f"`{key}` is missing"
        place.at_key(path[:-1], owner, _EXAMPLES.get(key, ""))
    elif kind == "extra_forbidden":
        model = model_at(root, path[:-1])
        place.at_key(path, f"there is no key '{shown(key)}' here", lambda: unknown_key(key, value, model))
    elif isinstance(value, dict | list) or kind in ("model_type", "dict_type", "list_type"):
        _wrong_kind(path, annotation, value, place)
    else:
        _scalar(error, path, annotation, str(value), place)


def _wrong_kind(path: KeyPath, annotation: Any, value: Any, place: _Place) -> None:
    key = shown(path[-1]) if path else "the file"
    got = "a mapping" if isinstance(value, dict) else "a list" if isinstance(value, list) else f"'{shown(str(value))}'"
    model = next((choice for choice in members(annotation) if is_model(choice)), None)
    origin = next((getattr(choice, "__origin__", None) for choice in members(annotation)), None)
    if model is not None:
        keys = ", ".join(list(fields(model))[:4])
        short = cable_meant(value) if {"length_m", "grade"} <= set(fields(model)) else ""
        if not short and "profile" in fields(model) and got[:1] == "'":
            short = f"write `{key}: {{profile: {got[1:-1]}}}`"
        place.at_value(path, f"`{key}` takes keys of its own, not {got}", short or f"such as {keys}")
    elif origin is dict:
        place.at_value(path, f"`{key}` takes names with something below each, not {got}")
    elif origin is list:
        place.at_value(path, f"`{key}` takes a list, not {got}", "write one item a line, each after '- '")
    else:
        place.at_value(path, f"`{key}` takes one value, not {got}")


def _scalar(error: Any, path: KeyPath, annotation: Any, value: str, place: _Place) -> None:
    kind, key, context = error["type"], path[-1], error.get("ctx", {})
    got = f"'{shown(value)}'"
    if kind.startswith(("float", "int", "finite")):
        _number(kind, path, key, value, place)
    elif kind.startswith("bool"):
        place.at_value(path, f"`{key}` is yes or no, not {got}", "write true or false")
    elif kind == "literal_error":
        words = words_of(annotation)
        place.at_value(path, f"`{key}` cannot be {got}", lambda: _one_of(key, value, words))
    elif kind in ("greater_than_equal", "less_than_equal"):
        bound = f"at least {context['ge']:.10g}" if "ge" in context else f"at most {context['le']:.10g}"
        place.at_value(path, f"`{key}` must be {bound}, and is {shown(value)}", _in_unit(key))
    elif kind == "string_too_long":
        place.at_value(path, f"`{key}` has {len(value)} characters, and {context['max_length']} is the most")
    elif kind == "string_too_short":
        place.at_value(path, f"`{key}` is empty", "leave the key out where nothing is known")
    elif kind == "string_pattern_mismatch":
        form, example = _FORMS.get(key, ("another form of text", ""))
        place.at_value(path, f"`{key}` takes {form}, not {got}", _as_meant(key, value) or example)
    else:
        place.at_value(path, f"`{key}` cannot be {got}")


def _number(kind: str, path: KeyPath, key: str, value: str, place: _Place) -> None:
    unit = unit_of(key)
    what = "a whole number" if kind.startswith("int") else "a number"
    of = "" if not unit else f": {unit}" if unit.startswith("a ") else f" of {unit}"
    meant = rewritten(key, value)
    if meant is not None and not (kind.startswith("int") and "." in meant) and meant != value:
        hint = f"write `{key}: {meant}`"
    elif "," in value:
        hint = "the decimal sign is a point, and thousands have no sign"
    else:
        hint = "leave the key out where you don't know it"
    place.at_value(path, f"`{key}` takes {what}{of}, not '{shown(value)}'", hint)


def _in_unit(key: str) -> str:
    unit = unit_of(key)
    return f"it is in {unit}" if unit and not unit.startswith("a ") else ""


def _one_of(key: str, value: str, words: tuple[str, ...]) -> str:
    if meant := meant_by(key, value):
        return meant
    near = nearest(value, words)
    listed = "one of " + ", ".join(words)
    return f"{near}; {listed}" if near else listed


def _as_meant(key: str, value: str) -> str:
    if key == "plug":
        return plug_meant(value)
    digits = value.lower().removeprefix("0x")
    if key.endswith("_id") and 0 < len(digits) <= 4 and all(c in "0123456789abcdef" for c in digits):
        return f"write `{key}: '{digits.zfill(4)}'`"
    parts = value.lower().replace("×", "x").replace("*", "x").replace(" ", "").split("x")
    if key == "roi" and len(parts) == 2 and all(part.isascii() and part.isdigit() for part in parts):
        return f"write `roi: {'x'.join(parts)}`"
    return ""


def value_at(data: Any, path: KeyPath) -> Any:
    """What stands at a path of the content, or None."""
    for key in path:
        if isinstance(data, dict):
            data = data.get(key)
        elif isinstance(data, list) and key.isdigit() and int(key) < len(data):
            data = data[int(key)]
        else:
            return None
    return data
