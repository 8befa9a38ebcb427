"""Content held against the schema: a record of it, or its problems noted in plain words."""

from __future__ import annotations

from typing import Any, TypeVar

from pydantic import ValidationError

from topo.rigfile.build import built
from topo.rigfile.content import Content
from topo.rigfile.document import KeyPath
from topo.rigfile.problems import Problems
from topo.rigfile.schema import model_of

T = TypeVar("T")


def validated(
    record: type[T], content: Content, problems: Problems, base: KeyPath = (), data: Any = None
) -> T | None:
    """The data as a declared record, or None with its problems noted. `base` is where in the file it stands."""
    declared: Any = record
    model: Any = model_of(declared)
    if content.left_out:
        _check_left_out(model, content, problems, base)
    try:
        made: T = built(record, model.model_validate(content.data if data is None else data))
        return made
    except ValidationError as error:
        from topo.rigfile.words import tell

        if content.places:
            tell(error.errors(include_url=False, include_input=False), model, content, problems, base)
        if not len(problems):  # no file that follows no schema may go on as if nothing were wrong
            place = content.key_at(*base)
            problems.add(place.line, place.column, "this cannot be read as it stands", "compare it with an example")
        return None


def _check_left_out(model: Any, content: Content, problems: Problems, base: KeyPath) -> None:
    """Notes keys with no value that do not exist: the schema never sees them."""
    from topo.rigfile.shape import fields, model_at
    from topo.rigfile.words import tell

    keys: dict[KeyPath, Any] = {}
    unknown = []
    for path in content.left_out:
        below = path[len(base) :]
        if path[: len(base)] != base or not below:
            continue
        above = below[:-1]
        if above not in keys:
            owner = model_at(model, above)
            keys[above] = None if owner is None else fields(owner)
        if keys[above] is not None and below[-1] not in keys[above]:
            unknown.append({"type": "extra_forbidden", "loc": below})
    tell(unknown, model, content, problems, base)
