"""The smallest change to the text of a rig file that says something new: comments, quotes and blank lines stay.

Every edit is read again and must say what the file said before plus the one change; otherwise nothing comes out.
Writing to disk is `topo.rigfile.write`.
"""

from __future__ import annotations

import copy
import re
from collections.abc import Mapping as AnyMapping
from typing import Any

from topo.errors import CommandError, RigFileError
from topo.rigfile.content import content_of
from topo.rigfile.document import KeyPath, RigFile
from topo.rigfile.problems import Problems, shown
from topo.rigfile.quote import as_text, flow, key_text, value_text
from topo.rigfile.read import read_text
from topo.rigfile.tree import Mapping, Scalar, YamlNode, compose
from topo.rigfile.write import write

__all__ = ["add_part", "set_scalar", "write"]

Value = str | int | float | bool


def set_scalar(rigfile: RigFile, keys: KeyPath, new_value: Value) -> str:
    """The text with one value replaced, or the key put in at the end of its mapping where it is not there yet.

    Mappings that are missing on the way are made. Raises CommandError where a list or one value stands on the way,
    or where the file would no longer be a rig file.
    """
    text, top = rigfile.text, _top(rigfile)
    if not keys:
        raise CommandError("no key is named to change")
    node: YamlNode = top
    key: Scalar | None = None
    done = 0
    while done < len(keys) and isinstance(node, Mapping):
        pair = next(((name, value) for name, value in node.pairs if name.text == keys[done]), None)
        if pair is None:
            changed = _inserted(text, node, keys[done], _nest(keys[done + 1 :], new_value))
            return _verified(rigfile, changed, keys, as_text(new_value))
        key, node = pair
        done += 1
    if key is None or not isinstance(node, Scalar) or (done < len(keys) and not node.is_empty):
        raise CommandError(f"{_dotted(keys)} cannot be set: {_dotted(keys[:done])} {_what(node)}")
    written = _nest(keys[done:], new_value)
    inside_flow = _in_flow(top, keys[:done])
    value = flow(written) if isinstance(written, dict) else value_text(written, node.style, inside_flow)
    return _verified(rigfile, _replaced(text, key, node, value), keys, as_text(new_value))


def add_part(rigfile: RigFile, section: str, name: str, body: AnyMapping[str, Any]) -> str:
    """The text with one part more at the end of `devices` or `hubs`, indented as the others; the section is made.

    `body` maps keys to values or to mappings of values (`cable`, `use`). Raises CommandError where the name is taken
    or the file would no longer be a rig file.
    """
    if section not in ("devices", "hubs"):
        raise CommandError(f"parts stand under devices or hubs, not under {shown(section)}")
    if name in rigfile.document.hubs or name in rigfile.document.devices:
        raise CommandError(f"there is a part called '{shown(name)}' already")
    text, top = rigfile.text, _top(rigfile)
    said = _said(body)
    pair = next(((key, value) for key, value in top.pairs if key.text == section), None)
    if pair is None:
        changed = _inserted(text, top, section, {name: said}, _step(top), 2)
    elif isinstance(pair[1], Mapping):
        changed = _inserted(text, pair[1], name, said, _step(top), 1)
    elif top.flow:
        changed = _replaced(text, pair[0], _scalar(pair[1], section), flow({name: said}))
    else:  # the section is there and empty
        key = pair[0]
        lines = _block({name: said}, " " * (key.column - 1 + _step(top)), _step(top), 1)
        at = _line_end(text, max(key.end, _scalar(pair[1], section).end))
        changed = _spliced(text, at, lines, False)
    return _verified(rigfile, changed, (section, name), said)


def _top(rigfile: RigFile) -> Mapping:
    root = compose(rigfile.text, Problems(rigfile.path))
    if not isinstance(root, Mapping):
        raise CommandError("the file holds no keys to change")
    return root


def _said(body: AnyMapping[str, Any]) -> dict[str, Any]:
    """A body as the reader will see it: text and mappings of text, without what is None."""
    return {
        key: _said(value) if isinstance(value, AnyMapping) else as_text(value)
        for key, value in body.items()
        if value is not None
    }


def _nest(keys: KeyPath, value: Value) -> Any:
    nested: Any = as_text(value)
    for key in reversed(keys):
        nested = {key: nested}
    return nested


def _scalar(node: YamlNode, where: str) -> Scalar:
    if not isinstance(node, Scalar):
        raise CommandError(f"{shown(where)} {_what(node)}")
    return node


def _what(node: YamlNode) -> str:
    return "is a mapping" if isinstance(node, Mapping) else "is one value" if isinstance(node, Scalar) else "is a list"


def _dotted(keys: KeyPath) -> str:
    return " / ".join(shown(key) for key in keys)


def _in_flow(node: YamlNode, keys: KeyPath) -> bool:
    for key in keys:
        if not isinstance(node, Mapping) or node.flow:
            break
        node = node.get(key) or node
    return isinstance(node, Mapping) and node.flow


def _replaced(text: str, key: Scalar, node: Scalar, value: str) -> str:
    end = _trimmed(text, node)
    if node.start < end:
        return text[: node.start] + value + text[end:]
    at = node.start
    colon = text.find(":", key.end, at + 1)
    if colon >= 0:  # an empty value: right behind its colon, before any comment
        return f"{text[: colon + 1]} {value}{text[colon + 1 :]}"
    return f"{text[: key.end]}: {value}{text[key.end :]}"


def _inserted(text: str, mapping: Mapping, key: str, value: Any, step: int = 2, levels: int = 0) -> str:
    """The text with a pair more at the end of a mapping, its first `levels` written over lines, `step` blanks each."""
    if mapping.flow:
        return _inserted_in_flow(text, mapping, f"{key_text(key)}: {_inline(value)}")
    indent = " " * (mapping.column - 1)
    lines = _block({key: value}, indent, step, levels)
    last = mapping.pairs[-1]
    at = _line_end(text, max(last[0].end, _trimmed(text, last[1])))
    return _spliced(text, at, lines, levels > 0 and _airy(text, mapping))


def _inserted_in_flow(text: str, mapping: Mapping, pair: str) -> str:
    if not mapping.pairs:
        return f"{text[: mapping.start + 1]}{pair}{text[mapping.start + 1 :]}"
    key, value = mapping.pairs[-1]
    at = max(key.end, _trimmed(text, value))
    colon = re.match(r"\s*:", text[at : mapping.end]) if value.end == value.start else None
    at += colon.end() if colon else 0
    comma = re.match(r"\s*,", text[at : mapping.end])
    if comma:
        return f"{text[: at + comma.end()]} {pair}{text[at + comma.end() :]}"
    return f"{text[:at]}, {pair}{text[at:]}"


def _inline(value: Any, inside_flow: bool = True) -> str:
    return flow(value) if isinstance(value, dict) else value_text(value, "", inside_flow)


def _block(data: dict[str, Any], indent: str, step: int, levels: int) -> list[str]:
    """Lines of block style for so many levels; what is deeper (a cable, a use) stands in one line, as people write."""
    lines = []
    for key, value in data.items():
        if levels and isinstance(value, dict) and value:
            lines.append(f"{indent}{key_text(key)}:")
            lines += _block(value, indent + " " * step, step, levels - 1)
        else:
            lines.append(f"{indent}{key_text(key)}: {_inline(value, False)}")
    return lines


def _step(top: Mapping) -> int:
    """How many blanks a level is in this file: that of the first mapping inside another; two where there is none."""
    for _, value in top.pairs:
        if isinstance(value, Mapping) and not value.flow and value.column > top.column:
            return value.column - top.column
    return 2


def _airy(text: str, mapping: Mapping) -> bool:
    """True where the file leaves an empty line between the pairs of a mapping."""
    if len(mapping.pairs) < 2:
        return False
    (_, before), (key, _) = mapping.pairs[-2:]
    return re.search(r"(\r\n|\r(?!\n)|\n)[ \t]*[\r\n]", text[_trimmed(text, before) : key.start]) is not None


def _trimmed(text: str, node: YamlNode) -> int:
    """Where a node's own text ends. The parser counts the line breaks behind a block scalar to it; they are not."""
    end = node.end
    if isinstance(node, Mapping) and not node.flow and node.pairs:
        end = max(node.pairs[-1][0].end, _trimmed(text, node.pairs[-1][1]))
    elif not isinstance(node, Mapping | Scalar) and not node.flow and node.items:
        end = _trimmed(text, node.items[-1])
    return node.start + len(text[node.start : end].rstrip())


def _line_end(text: str, index: int) -> int:
    found = re.compile("[\r\n]").search(text, index)
    return found.start() if found else len(text)


def _spliced(text: str, at: int, lines: list[str], airy: bool) -> str:
    found = re.search("\r\n|\r|\n", text)
    new_line = found.group() if found else "\n"
    return text[:at] + new_line * (2 if airy else 1) + new_line.join(lines) + text[at:]


def _verified(rigfile: RigFile, changed: str, keys: KeyPath, value: Any) -> str:
    """The changed text, once it is read again and says what the file said plus the change."""
    try:
        again = read_text(changed, rigfile.path)
    except RigFileError as error:
        first = error.problems[0]
        raise CommandError(f"the change is not made, the rig file would be wrong: {first.message}") from None
    wanted = copy.deepcopy(_data(rigfile))
    below = wanted
    for key in keys[:-1]:
        below = below.setdefault(key, {})
    below[keys[-1]] = value
    if _data(again) != wanted:
        raise CommandError("the change is not made: this place of the file cannot be changed without touching more")
    return changed


def _data(rigfile: RigFile) -> dict[str, Any]:
    problems = Problems(rigfile.path)
    return content_of(compose(rigfile.text, problems), rigfile.path, problems).data
