"""The schema as a map: which keys may stand at a path, and what each takes. Runs only where there are errors."""

from __future__ import annotations

import types
from collections.abc import Sequence
from typing import Annotated, Any, Literal, Union, get_args, get_origin

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from topo.rigfile.document import KeyPath


def members(annotation: Any) -> tuple[Any, ...]:
    """The types an annotation allows, without None and without bounds."""
    if get_origin(annotation) is Annotated:
        return members(get_args(annotation)[0])
    if get_origin(annotation) in (Union, types.UnionType):
        return tuple(inner for part in get_args(annotation) for inner in members(part) if part is not type(None))
    return (annotation,)


def follow(root: Any, loc: Sequence[str | int]) -> tuple[KeyPath, Any, KeyPath | None]:
    """The keys of a pydantic location without its marks for unions, and the annotation it ends at (None: unknown).

    Third comes the path at which the location took the branch of a union that is a class of the schema, if it did:
    what it says is of interest only where a mapping stands there.
    """
    path: list[str] = []
    branch: KeyPath | None = None
    annotation: Any = root
    steps = iter(loc)
    for step in steps:
        choices = members(annotation)
        if len(choices) > 1:  # a union: this step is the name of a branch
            annotation = next((choice for choice in choices if is_model(choice) and choice.__name__ == step), str)
            branch = tuple(path) if is_model(annotation) else None
            continue
        if step == "[key]":
            break
        path.append(str(step))
        annotation = _below(choices[0] if choices else None, str(step))
    return tuple(path), annotation, branch


def _below(choice: Any, key: str) -> Any:
    if is_model(choice):
        found = fields(choice).get(key)
        return found.annotation if found is not None else None
    if get_origin(choice) is dict:
        return get_args(choice)[1]
    return get_args(choice)[0] if get_origin(choice) is list else None


def is_model(choice: Any) -> bool:
    """True for a class of the schema."""
    return isinstance(choice, type) and issubclass(choice, BaseModel)


def fields(model: Any) -> dict[str, FieldInfo]:
    """The fields of a class of the schema by the keys that people write."""
    return {info.alias or name: info for name, info in model.model_fields.items()}


def model_at(root: Any, path: KeyPath) -> Any:
    """The class of the schema at a path, or None where something else stands there."""
    annotation: Any = root
    for key in path:
        annotation = _below(next(iter(members(annotation)), None), key)
    return next((choice for choice in members(annotation) if is_model(choice)), None)


def words_of(annotation: Any) -> tuple[str, ...]:
    """The words a key may take where it takes one of a list of words."""
    return tuple(word for choice in members(annotation) if get_origin(choice) is Literal for word in get_args(choice))
