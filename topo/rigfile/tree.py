"""YAML text to a tree of nodes with places, from the parser's events. Knows limits, not keys.

The tree is built here and not by PyYAML's composer: events stop a bomb of aliases or ten thousand brackets where they
begin, and scalars stay the text the person wrote.
"""

from __future__ import annotations

from typing import Any

from topo.rigfile.outside import yaml
from topo.rigfile.problems import Problems, shown

NESTING = 32
LOADER: Any = getattr(yaml, "CSafeLoader", yaml.SafeLoader)


class Spanned:
    """What stands somewhere. `start` and `end` are offsets into the text; line and column count from 1."""

    __slots__ = ("column", "end", "line", "start")

    def __init__(self, line: int, column: int, start: int, end: int) -> None:
        self.line, self.column, self.start, self.end = line, column, start, end

    def __repr__(self) -> str:
        told = (f"{name}={getattr(self, name)!r}" for name in (*Spanned.__slots__, *self.__slots__))
        return f"{type(self).__name__}({', '.join(told)})"


class Scalar(Spanned):
    """One value as text."""

    __slots__ = ("style", "text")

    def __init__(self, line: int, column: int, start: int, end: int, text: str, style: str) -> None:
        self.line, self.column, self.start, self.end, self.text, self.style = line, column, start, end, text, style

    @property
    def is_empty(self) -> bool:
        """Left out: nothing written, `~` or `null`, without quotes."""
        return not self.style and self.text in ("", "~", "null", "Null", "NULL")


class Mapping(Spanned):
    """Keys with values, in the order of the file."""

    __slots__ = ("flow", "pairs")

    def __init__(self, line: int, column: int, start: int, end: int, flow: bool) -> None:
        super().__init__(line, column, start, end)
        self.flow = flow
        self.pairs: list[tuple[Scalar, YamlNode]] = []

    def get(self, key: str) -> YamlNode | None:
        """The value of a key, or None."""
        return next((value for name, value in self.pairs if name.text == key), None)


class Sequence(Spanned):
    """A list."""

    __slots__ = ("flow", "items")

    def __init__(self, line: int, column: int, start: int, end: int, flow: bool) -> None:
        super().__init__(line, column, start, end)
        self.flow = flow
        self.items: list[YamlNode] = []


YamlNode = Scalar | Mapping | Sequence


class Stopped(Exception):
    """Reading stopped at a limit; why is noted."""


def compose(text: str, problems: Problems, loader: Any = LOADER, last: list[Any] | None = None) -> YamlNode | None:
    """The one document of a text, None where it is empty. Notes refusals.

    Raises yaml.YAMLError for broken syntax and Stopped where a limit is passed. `last` is given the last scalar event
    that was read, which tells what broke the syntax.
    """
    shift = 1 if text.startswith("\ufeff") else 0
    builder = _Builder(problems, shift)
    parser = loader(text[shift:])
    try:
        while parser.check_event():
            event = parser.get_event()
            if not builder.take(event):
                break
            if last is not None and event.__class__ is yaml.ScalarEvent:
                last[:] = [event]
    finally:
        parser.dispose()
    if builder.open:
        raise Stopped
    return builder.root


class _Builder:
    """Builds the tree event by event on a stack of its own: no recursion, no more depth than the limit."""

    def __init__(self, problems: Problems, shift: int) -> None:
        self.root: YamlNode | None = None
        self.problems = problems
        self.shift = shift
        self.documents = 0
        self.odd_key = False
        self.open: list[Mapping | Sequence] = []
        self.keys: list[YamlNode | None] = []
        self.seen: list[dict[str, Scalar]] = []

    def take(self, event: Any) -> bool:
        """Takes an event; False to stop reading."""
        kind = type(event).__name__
        if kind == "ScalarEvent":
            self._check(event)
            self._put(Scalar(*self._span(event), event.value, _style(event)))
        elif kind in ("MappingStartEvent", "SequenceStartEvent"):
            return self._begin(event, Mapping if kind == "MappingStartEvent" else Sequence)
        elif kind in ("MappingEndEvent", "SequenceEndEvent"):
            self._end(event)
        elif kind == "AliasEvent":
            self._note(event, f"'*{shown(event.anchor)}' refers back to an anchor, which is not used here")
            self._put(Scalar(*self._span(event), "", "*"))
        elif kind == "DocumentStartEvent":
            return self._document(event)
        return True

    def _document(self, event: Any) -> bool:
        self.documents += 1
        if event.version or event.tags:
            self._note(event, "a line that starts with '%' has no meaning here", "delete it")
        if self.documents > 1:
            self._note(event, "a second document begins here, and a file holds one", "delete the line '---'")
        return self.documents == 1

    def _begin(self, event: Any, kind: type[Mapping] | type[Sequence]) -> bool:
        self._check(event)
        if len(self.open) >= NESTING:
            self._note(event, f"more than {NESTING} levels inside each other, which nothing here needs")
            return False
        node = kind(*self._span(event), bool(event.flow_style))
        self._put(node)
        self.open.append(node)
        self.keys.append(None)
        self.seen.append({})
        return True

    def _end(self, event: Any) -> None:
        node = self.open.pop()
        self.keys.pop()
        self.seen.pop()
        node.end = event.end_mark.index + self.shift if node.flow else _last_end(node)

    def _put(self, node: YamlNode) -> None:
        if not self.open:
            self.root = node
            return
        above = self.open[-1]
        if isinstance(above, Sequence):
            above.items.append(node)
        elif self.keys[-1] is None:
            self.keys[-1] = node
            self._check_key(node)
        else:
            key = self.keys[-1]
            self.keys[-1] = None
            if isinstance(key, Scalar):
                above.pairs.append((key, node))

    def _check_key(self, node: YamlNode) -> None:
        if not isinstance(node, Scalar):
            if not self.odd_key:  # one is enough: a bomb of brackets has thousands
                self.problems.add(node.line, node.column, "a key must be one word, not a list or a mapping")
            self.odd_key = True
            return
        if node.style == "*":
            return
        if not node.text:
            self.problems.add(node.line, node.column, "a key is missing before ':'")
        first = self.seen[-1].setdefault(node.text, node)
        if first is not node:
            message = f"'{shown(node.text)}' stands here twice, first on line {first.line}"
            self.problems.add(node.line, node.column, message, "keep one of the two")

    def _check(self, event: Any) -> None:
        if event.anchor is not None:
            self._note(event, f"'&{shown(event.anchor)}' names an anchor, which is not used here", "delete it")
        if event.tag is not None:
            self._note(
                event,
                "a word that starts with '!' is a YAML tag, which is not used here",
                "put quotes around the text if the '!' is part of it",
            )

    def _note(self, event: Any, message: str, hint: str = "") -> None:
        mark = event.start_mark
        self.problems.add(mark.line + 1, mark.column + 1, message, hint)

    def _span(self, event: Any) -> tuple[int, int, int, int]:
        start, end = event.start_mark, event.end_mark
        return start.line + 1, start.column + 1, start.index + self.shift, end.index + self.shift


def _style(event: Any) -> str:
    return "" if event.style in (None, "") and event.implicit[0] else event.style or "'"


def _last_end(node: Mapping | Sequence) -> int:
    if isinstance(node, Sequence):
        return node.items[-1].end if node.items else node.start
    return node.pairs[-1][1].end if node.pairs else node.start
