"""Content held against what is declared: a record of it, or its problems noted in plain words."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, TypeVar

from topo.model.rig import Place
from topo.rigfile.content import Content
from topo.rigfile.document import KeyPath
from topo.rigfile.problems import Problems
from topo.rigfile.quick import quick

T = TypeVar("T")


def validated(
    record: type[T], content: Content, problems: Problems, base: KeyPath = (), data: Any = None
) -> T | None:
    """The data as a declared record, or None with its problems noted. `base` is where in the file it stands."""
    data = content.data if data is None else data
    if not content.left_out and (made := quick(record, data)) is not None:
        return made
    from topo.rigfile.refused import judged_by_schema

    return judged_by_schema(record, content, problems, base, data)


def entry_of(record: type[T], body: Mapping[str, Any]) -> T:
    """An entry made from options, as if it stood in a file. Raises RigFileError with everything wrong in it."""
    where = "the new part"
    data = _as_text(body)
    content, problems = Content(where, data, {(): Place(where)}), Problems(where)
    made = validated(record, content, problems)
    problems.raise_if_any()
    assert made is not None, "an entry that does not fit what is declared has a problem"
    return made


def _as_text(body: Mapping[str, Any]) -> dict[str, Any]:
    """Figures as the reader of files gives them: text."""
    return {key: _as_text(value) if isinstance(value, Mapping) else str(value) for key, value in body.items()}
