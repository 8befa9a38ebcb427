"""From the tree to plain mappings of text, with the place of every key and value. Empty values are left out here."""

from __future__ import annotations

import unicodedata
from typing import Any

from topo.later import pattern
from topo.model.rig import COMPUTER, Place
from topo.rigfile.document import KeyPath
from topo.rigfile.problems import Problems, shown
from topo.rigfile.tree import Mapping, Scalar, Sequence, YamlNode

PARTS = 2000
_NAMED = {
    ("hubs",): "hub",
    ("devices",): "device",
    ("profiles",): "profile",
    ("computer", "ports"): "port",
    ("computer", "controllers"): "controller",
    ("power", "supplies"): "supply",
    ("power", "leads"): "lead",
    ("power", "blocks"): "block",
    ("power", "boxes"): "box",
    ("power", "converters"): "converter",
    ("night", "copying"): "copying part",
    ("ports",): "port",
    ("controllers",): "controller",
}
"""Mappings whose keys are names the person makes up, and what is named there. Empty, such an entry says nothing yet."""
RIG_NEEDS = "a rig file needs at least `rig:` and `computer:`"
FREE_TEXT = ("rig", "note", "summary", "source")
_UNSAFE = pattern("[\x00-\x08\x0b-\x1f\x7f-\x9f\u2028\u2029\u202a-\u202e\u2066-\u2069\ud800-\udfff]")


class Content:
    """What a file says, as nested dicts, lists and text, with places of keys and of values.

    `left_out` lists the keys that stand there with no value: they say nothing, but must exist.
    """

    def __init__(
        self, path: str, data: dict[str, Any] | None = None, places: dict[KeyPath, Place] | None = None,
        values: dict[KeyPath, Place] | None = None, left_out: list[KeyPath] | None = None,
    ) -> None:
        self.path = path
        self.data = {} if data is None else data
        self.places = {} if places is None else places
        self.values = {} if values is None else values
        self.left_out = [] if left_out is None else left_out

    def key_at(self, *keys: str) -> Place:
        """The place of a key, or of the nearest one above it, or the top of the file."""
        for end in range(len(keys), 0, -1):
            if keys[:end] in self.places:
                return self.places[keys[:end]]
        return Place(self.path, 1, 1)

    def value_at(self, *keys: str) -> Place:
        """The place of a value, or that of its key where it has none."""
        return self.values.get(keys) or self.key_at(*keys)


def content_of(root: YamlNode | None, path: str, problems: Problems, needs: str = RIG_NEEDS) -> Content:
    """What the tree says. Notes a top that is no mapping, bad names, unsafe characters and too many parts."""
    content = Content(path)
    if root is None or (isinstance(root, Scalar) and root.is_empty):
        problems.add(0, 0, "the file is empty", needs)
    elif isinstance(root, Mapping) and not root.pairs:
        problems.add(root.line, root.column, "there are no keys", needs)
    elif not isinstance(root, Mapping):
        what = "a list" if isinstance(root, Sequence) else "one piece of text"
        problems.add(
            root.line,
            root.column,
            f"the file holds {what}, and keys with values belong there",
            needs,
        )
    else:
        content.data = _Flattener(content, problems).mapping(root, ())
        _count(content, problems)
    return content


def named(path: KeyPath) -> str | None:
    """What the keys directly below a path name (hub, device, port, …), or None where keys are fixed."""
    if len(path) == 4 and path[:2] == ("power", "boxes") and path[3] == "channels":
        return "channel"
    if len(path) > 2 and path[0] == "profiles":
        path = path[2:]
        return _NAMED.get(path) if path[0] in ("ports", "controllers") else None
    return _NAMED.get(path)


class _Flattener:
    def __init__(self, content: Content, problems: Problems) -> None:
        self.content = content
        self.problems = problems

    def mapping(self, node: Mapping, path: KeyPath) -> dict[str, Any]:
        kind = named(path)
        data: dict[str, Any] = {}
        for key, value in node.pairs:
            name = key.text
            here = (*path, name)
            if name in data or here in self.content.places:
                continue
            self.content.places[here] = Place(self.content.path, key.line, key.column)
            self.content.values[here] = Place(self.content.path, value.line, value.column)
            if kind is not None:
                check_name(name, kind, key.line, key.column, self.problems)
            if isinstance(value, Scalar) and value.style == "*":
                continue
            if not (isinstance(value, Scalar) and value.is_empty):
                data[name] = self.value(value, here)
            elif kind is not None or here == (COMPUTER,):
                data[name] = {}
            else:
                self.content.left_out.append(here)
        return data

    def value(self, node: YamlNode, path: KeyPath) -> Any:
        if isinstance(node, Mapping):
            return self.mapping(node, path)
        if isinstance(node, Sequence):
            return [self.item(item, (*path, str(index))) for index, item in enumerate(node.items)]
        self.safe(node, path)
        return node.text

    def item(self, node: YamlNode, path: KeyPath) -> Any:
        place = Place(self.content.path, node.line, node.column)
        self.content.places[path] = self.content.values[path] = place
        if isinstance(node, Scalar) and node.is_empty:
            self.problems.add(node.line, node.column, "this item of the list is empty", "delete it")
        return self.value(node, path)

    def safe(self, node: Scalar, path: KeyPath) -> None:
        if path[-1] in FREE_TEXT:
            bad = None if node.text.isprintable() else _UNSAFE.search(node.text)
            char = bad.group() if bad else None
        else:
            char = next((c for c in node.text if not c.isprintable()), None) if not node.text.isprintable() else None
        if char is not None:
            message = f"`{shown(path[-1])}` holds the character {escaped(char)}, which cannot stand here"
            self.problems.add(node.line, node.column, message, "delete it")


def check_name(name: str, kind: str, line: int, column: int, problems: Problems) -> None:
    """Notes what is wrong with a name a person gave: 1 to 64 printable characters, no '/', no blanks around it."""
    if not name.isprintable():
        char = next(c for c in name if not c.isprintable())
        message = f"the name '{shown(name)}' holds the character {escaped(char)}"
        problems.add(line, column, message, "use letters, digits and '-'")
    elif len(name) > 64:
        problems.add(line, column, f"the name '{shown(name, 30)}' has {len(name)} characters, and 64 is the most")
    elif "/" in name:
        message = f"the name '{shown(name)}' holds a '/', which parts a part from its socket"
        problems.add(line, column, message, f"for instance {shown(name.replace('/', '-'))}")
    elif name != name.strip():
        problems.add(line, column, f"the name '{shown(name)}' begins or ends with a space", "delete the space")
    elif name == COMPUTER and kind in ("hub", "device", "supply", "block", "box", "converter"):
        message = f"a {kind} cannot be called 'computer': that is the computer's own name"
        problems.add(line, column, message, "give it another name")


def escaped(char: str) -> str:
    """One character as an escape, with its category where it is invisible."""
    code = ord(char)
    text = f"\\x{code:02x}" if code < 0x100 else f"\\u{code:04x}" if code < 0x10000 else f"\\U{code:08x}"
    name = unicodedata.name(char, "").lower()
    return f"{text} ({name})" if name else text


def _count(content: Content, problems: Problems) -> None:
    count = 0
    for section in ("hubs", "devices"):
        entries = content.data.get(section)
        for name in entries if isinstance(entries, dict) else ():
            count += 1
            if count == PARTS + 1:
                place = content.key_at(section, name)
                problems.add(place.line, place.column, f"more than {PARTS} parts, counted up to here")
