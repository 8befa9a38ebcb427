"""Frozen values that cost little to declare: what a frozen dataclass with slots is, made when it is first used.

Every run imports some three hundred such classes and uses a part of each. `dataclasses` writes and compiles six methods
for every class as it is imported, which took a third of a whole `topo check`. Here a class costs its slots; a method is
made when somebody calls it first, and only `__init__` is compiled. `dataclasses.fields`, `replace`, `is_dataclass`,
`asdict` and `field`, `copy` and `pickle` know these classes as dataclasses, which `tests/test_frozen.py` holds, and
mypy checks them as such.

Knows nothing of rigs, and stands below every room.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import MISSING, Field, FrozenInstanceError, dataclass, field
from operator import attrgetter, ge, gt, le, lt
from types import MemberDescriptorType
from typing import Any, ClassVar, TypeVar, dataclass_transform, get_origin, overload

T = TypeVar("T")
Method = Callable[..., Any]


@overload
def frozen(cls: type[T], /) -> type[T]: ...
@overload
def frozen(*, slots: bool = True, order: bool = False, kw_only: bool = False) -> Callable[[type[T]], type[T]]: ...
@dataclass_transform(frozen_default=True, field_specifiers=(field,))
def frozen(cls: type[T] | None = None, /, *, slots: bool = True, order: bool = False, kw_only: bool = False) -> Any:
    """Makes a class a frozen dataclass: equal by its fields, hashable, told by its fields, never changed.

    `slots=False` is for classes with a `cached_property`, `order` compares as tuples of fields do, `kw_only` takes
    fields by name alone. Of what `field` takes, `default`, `default_factory`, `compare`, `repr`, `metadata` are known.
    """
    if cls is not None:
        return _frozen(cls, slots, order, kw_only)
    return lambda cls: _frozen(cls, slots, order, kw_only)


class _Later:
    """Something of a class that is made when it is first asked for, and from then on stands in the class by itself."""

    def __init__(self, make: Callable[[Any], Any]) -> None:
        self.make = make

    def __set_name__(self, owner: type, name: str) -> None:
        self.owner, self.name = owner, name

    def __get__(self, instance: object, owner: type) -> Any:
        made = self.make(self.owner)
        setattr(self.owner, self.name, made)
        return made.__get__(instance, owner) if callable(made) else made


def _frozen(cls: type, slots: bool, order: bool, kw_only: bool) -> type:
    """The class made anew, as slots are named before a class is made."""
    held = dict(vars(cls))
    hints = {name: hint for name, hint in cls.__annotations__.items() if not _of_the_class(hint)}
    said = {name: held[name] for name in hints if name in held}
    for name in ("__dict__", "__weakref__", *(said if slots else ())):
        held.pop(name, None)
    if slots:
        above = {name for base in cls.__mro__[1:-1] for name in vars(base).get("__slots__", ())}
        held["__slots__"] = tuple(name for name in hints if name not in above)
        held |= {"__getstate__": _state, "__setstate__": _with_state}
    held["__dataclass_fields__"] = _Later(lambda made: _fields(made, hints, said, kw_only))
    held["__match_args__"] = _Later(lambda made: tuple(f.name for f in _told(made) if not f.kw_only))
    methods = {"__init__": _Later(_init), "__eq__": _Later(_equal), "__repr__": _repr, "__hash__": _Later(_hash)}
    if order:
        methods |= {f"__{compare.__name__}__": _Later(_ordered(compare)) for compare in (lt, le, gt, ge)}
    if held.get("__hash__") is None:  # None is what Python writes beside an `__eq__`
        held.pop("__hash__", None)
    made = type(cls)(cls.__name__, cls.__bases__, {**methods, **held, "__setattr__": _refused, "__delattr__": _refused})
    made.__qualname__ = cls.__qualname__
    return made


def _of_the_class(hint: Any) -> bool:
    if isinstance(hint, str):
        return hint.startswith(("ClassVar", "typing.ClassVar"))
    return hint is ClassVar or get_origin(hint) is ClassVar


def _fields(cls: type, hints: dict[str, Any], said: dict[str, Any], kw_only: bool) -> dict[str, Field[Any]]:
    """Fields as `dataclasses` describes them, those of bases first; taken from a bare dataclass of the same fields."""
    found: dict[str, Field[Any]] = {}
    for base in cls.__mro__[-1:0:-1]:
        found |= getattr(base, "__dataclass_fields__", {})
    bare: Any = type(cls.__name__, (), {
        **said, "__annotations__": hints, "__module__": cls.__module__, "__doc__": cls.__doc__ or cls.__name__,
    })
    dataclass(init=False, repr=False, eq=False, match_args=False, kw_only=kw_only)(bare)
    return {**found, **bare.__dataclass_fields__}


def _told(cls: Any) -> tuple[Field[Any], ...]:
    """Fields in the order in which they are given: those by name alone last."""
    fields = cls.__dataclass_fields__.values()
    return (*(f for f in fields if not f.kw_only), *(f for f in fields if f.kw_only))


def _init(cls: Any) -> Method:
    """`__init__`, compiled: it runs far too often to look fields up."""
    known: dict[str, Any] = {"_unsaid": MISSING}
    arguments, lines = ["self"], []
    for f in _told(cls):
        name, default = f.name, f.default
        if f.kw_only and "*" not in arguments:
            arguments.append("*")
        if f.default_factory is not MISSING:
            known[f"_make_{name}"], default = f.default_factory, MISSING
            lines.append(f"if {name} is _unsaid: {name} = _make_{name}()")
        known[f"_{name}"] = default
        needed = default is MISSING and f.default_factory is MISSING
        arguments.append(name if needed else f"{name}=_{name}")
        slot = getattr(cls, name, None)
        if isinstance(slot, MemberDescriptorType):
            known[f"_set_{name}"] = slot.__set__
            lines.append(f"_set_{name}(self, {name})")
        else:
            lines.append(f"_set(self, {name!r}, {name})")
    if hasattr(cls, "__post_init__"):
        lines.append("self.__post_init__()")
    known["_set"] = object.__setattr__
    exec("\n    ".join([f"def __init__({', '.join(arguments)}):", *(lines or ["pass"])]), known)
    return _named(cls, known["__init__"])


def _values(cls: Any) -> Callable[[Any], tuple[Any, ...]]:
    """A function that gives the fields of a value that count for comparing it, as a tuple."""
    names = [f.name for f in cls.__dataclass_fields__.values() if f.compare]
    if not names:
        return lambda value: ()
    get: Callable[[Any], Any] = attrgetter(*names)
    return get if len(names) > 1 else lambda value: (get(value),)


def _equal(cls: Any) -> Method:
    values = _values(cls)

    def __eq__(self: Any, other: Any) -> Any:
        return values(self) == values(other) if other.__class__ is self.__class__ else NotImplemented

    return _named(cls, __eq__)


def _hash(cls: Any) -> Method:
    values = _values(cls)

    def __hash__(self: Any) -> int:
        return hash(values(self))

    return _named(cls, __hash__)


def _ordered(compare: Callable[[Any, Any], Any]) -> Callable[[Any], Method]:
    def make(cls: Any) -> Method:
        values = _values(cls)

        def ordered(self: Any, other: Any) -> Any:
            return compare(values(self), values(other)) if other.__class__ is self.__class__ else NotImplemented

        return _named(cls, ordered, f"__{compare.__name__}__")

    return make


def _named(cls: type, method: Method, name: str = "") -> Method:
    """The method under the name that tracebacks show."""
    method.__name__ = name or method.__name__
    method.__qualname__ = f"{cls.__qualname__}.{method.__name__}"
    method.__module__ = cls.__module__
    return method


def _repr(self: Any) -> str:
    told = (f"{f.name}={getattr(self, f.name)!r}" for f in self.__dataclass_fields__.values() if f.repr)
    return f"{self.__class__.__qualname__}({', '.join(told)})"


def _refused(self: Any, name: str, value: Any = MISSING) -> None:
    raise FrozenInstanceError(f"cannot {'delete' if value is MISSING else 'assign to'} field {name!r}")


def _state(self: Any) -> list[Any]:
    return [getattr(self, name) for name in self.__dataclass_fields__]


def _with_state(self: Any, state: list[Any]) -> None:
    for name, value in zip(self.__dataclass_fields__, state, strict=True):
        object.__setattr__(self, name, value)
