"""The pydantic classes of rig files and profiles, made from the declarations: `entries.py`, `topo/model/records.py`.

Values arrive as text (the reader keeps scalars as they were written) and become numbers only here.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import is_dataclass
from functools import cache
from types import UnionType
from typing import Annotated, Any, Optional, Union, get_args, get_origin

from pydantic import BaseModel, ConfigDict, Field, create_model

from topo.model.declare import Bounds, Record, declared
from topo.rigfile.entries import MADE_UP, TEXT


class Strict(BaseModel):
    """Base of every class: unknown keys are refused and values are frozen."""

    # Built at first use: one build of the whole document is quicker than one for each class as it is defined.
    model_config = ConfigDict(extra="forbid", frozen=True, defer_build=True)


@cache
def model_of(record: Any) -> type[Strict]:
    """The pydantic class of a declared record; those of its sections are made with it."""
    name = record.__name__.replace("Facts", "Entry") if issubclass(record, Record) else record.__name__
    return create_model(name, __base__=Strict, __doc__=record.__doc__, **dict(_fields(record)))


def _fields(record: type) -> Iterator[tuple[str, Any]]:
    """The annotation of each key, with its default, words and bounds."""
    for each in declared(record):
        if each.inline:
            yield from _fields(each.type)
            continue
        inner = _type(each.type, each.bounds)
        origin = get_origin(inner)
        default: dict[str, Any] = {"default": each.default}
        if each.needed:
            default = {}
        elif origin in (dict, list) and not each.optional:
            default = {"default_factory": origin}
        more = _bounds(each.bounds) if origin not in (dict, list) else {}
        alias = each.key if each.key != each.name else None
        info = Field(**default, **more, description=each.words or None, alias=alias)
        yield each.name, (Optional[inner] if each.optional else inner, info)  # noqa: UP045 - made at run time


def _type(declared_type: Any, bounds: Bounds) -> Any:
    """What pydantic takes for a declared type."""
    origin, inner = get_origin(declared_type), get_args(declared_type)
    if is_dataclass(declared_type) and isinstance(declared_type, type):
        return model_of(declared_type)
    if origin is Mapping:
        return dict[_bounded(MADE_UP), _type(inner[1], TEXT)]  # type: ignore[misc]
    if origin is tuple:
        return list[_bounded(bounds)]  # type: ignore[misc]
    if origin is UnionType:
        return Union[tuple(_bounded(bounds) if part is str else _type(part, bounds) for part in inner)]  # noqa: UP007
    return declared_type


def _bounded(bounds: Bounds) -> Any:
    return Annotated[str, Field(**_bounds(bounds))]


def _bounds(bounds: Bounds) -> dict[str, Any]:
    """Bounds in pydantic's words; a number is a finite one."""
    said = {"ge": bounds.low, "le": bounds.high, "min_length": bounds.shortest, "max_length": bounds.longest,
            "pattern": bounds.pattern, "allow_inf_nan": None if bounds.low is None else False}
    return {name: value for name, value in said.items() if value is not None}
