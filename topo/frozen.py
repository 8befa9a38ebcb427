"""Frozen values that cost little to declare: what a frozen dataclass with slots is, made when it is first used.

Every run imports some three hundred such classes and uses a part of each. `dataclasses` writes and compiles six methods
for every class as it is imported, which took a third of a whole `topo check`. Here a class costs its slots; a method is
made when somebody calls it first, from code that all classes of a shape share: most of it stands in `topo/shapes.py`,
where Python compiles it once for all, the rest is compiled as it is asked for.
`dataclasses.fields`, `replace`, `is_dataclass`, `asdict` and `field`, `copy` and `pickle` know these classes as
dataclasses, which `tests/test_frozen.py` holds, and mypy checks them as such.

Knows nothing of rigs, and stands below every room.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import MISSING, Field, FrozenInstanceError, dataclass, field
from functools import cache
from types import CodeType, FunctionType, MemberDescriptorType
from typing import TYPE_CHECKING, Any, ClassVar, TypeVar, dataclass_transform, get_origin, overload

if TYPE_CHECKING:
    from dataclasses import replace as replace
else:
    def replace(value: Any, /, **changes: Any) -> Any:
        """`dataclasses.replace` for frozen classes, three times as fast: planning makes thousands of changed rigs."""
        return value.__replace__(**changes)

T = TypeVar("T")
_OF_THE_CLASS = ("ClassVar", "typing.ClassVar")
_ORDER = {"__lt__": "<", "__le__": "<=", "__gt__": ">", "__ge__": ">="}


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
    """A method of classes that is made for each when it is first asked for, and from then on stands in that class by
    itself."""

    def __init__(self, name: str, make: Callable[[Any], Any]) -> None:
        self.name, self.make = name, make

    def __get__(self, instance: object, owner: type) -> Any:
        for cls in owner.__mro__:
            if vars(cls).get(self.name) is self:
                setattr(cls, self.name, made := self.make(cls))
                return made.__get__(instance, owner) if callable(made) else made
        return getattr(owner if instance is None else instance, self.name)  # another thread has just made it


def _frozen(cls: type, slots: bool, order: bool, kw_only: bool) -> type:
    """The class made anew, as slots are named before a class is made."""
    held = {**_METHODS, **(_ORDERED if order else {}), **vars(cls), "__setattr__": _refused, "__delattr__": _refused}
    held.pop("__dict__", None)
    held.pop("__weakref__", None)
    if held["__hash__"] is None:  # None is what Python writes beside an `__eq__`
        held["__hash__"] = _METHODS["__hash__"]
    hints = _hints(cls)
    said = {name: held.pop(name) for name in hints if name in held}
    above = cls.__mro__[-2:0:-1]
    if slots:
        taken = {name for base in above for name in vars(base).get("__slots__", ())}
        held["__slots__"] = tuple(name for name in hints if name not in taken) if taken else tuple(hints)
        held["__getstate__"], held["__setstate__"] = _state, _with_state
    else:
        defaults = {name: one.default if isinstance(one, Field) else one for name, one in said.items()}
        held |= {name: one for name, one in defaults.items() if one is not MISSING}
    fields: dict[str, tuple[Any, bool]] = {}
    for base in above:
        fields |= vars(base).get("__said__", {})
    for name in hints:
        fields[name] = said.get(name, MISSING), kw_only
    held["__said__"] = fields
    held["__match_args__"] = tuple(name for name, (_, by_name) in fields.items() if not by_name)
    made = type(cls)(cls.__name__, cls.__bases__, held)
    made.__qualname__ = cls.__qualname__
    return made


def _hints(cls: type) -> dict[str, Any]:
    """What a class itself says of its fields."""
    return {name: hint for name, hint in cls.__annotations__.items()
            if not (hint.startswith(_OF_THE_CLASS) if hint.__class__ is str else _of_the_class(hint))}


def _of_the_class(hint: Any) -> bool:
    return hint is ClassVar or get_origin(hint) is ClassVar


def _fields(cls: Any) -> dict[str, Field[Any]]:
    """Fields as `dataclasses` describes them, those of bases first; taken from a bare dataclass of the same fields."""
    hints = _hints(cls)
    said = {name: cls.__said__[name][0] for name in hints if cls.__said__[name][0] is not MISSING}
    kw_only = any(cls.__said__[name][1] for name in hints)
    found: dict[str, Field[Any]] = {}
    for base in cls.__mro__[-1:0:-1]:
        found |= getattr(base, "__dataclass_fields__", {})
    bare: Any = type(cls.__name__, (), {
        **said, "__annotations__": hints, "__module__": cls.__module__, "__doc__": cls.__doc__ or cls.__name__,
    })
    dataclass(init=False, repr=False, eq=False, match_args=False, kw_only=kw_only)(bare)
    return {**found, **bare.__dataclass_fields__}


def _init(cls: Any) -> FunctionType:
    by_place = [name for name, (_, kw_only) in cls.__said__.items() if not kw_only]
    by_name = [name for name, (_, kw_only) in cls.__said__.items() if kw_only]
    names = (*by_place, *by_name)
    said = {name: one if isinstance(one, Field) else field(default=one) for name, (one, _) in cls.__said__.items()}
    made = [number for number, name in enumerate(names) if said[name].default_factory is not MISSING]
    defaults = {name: said[name].default for number, name in enumerate(names)
                if number in made or said[name].default is not MISSING}
    last = [name for name in by_place if name in defaults]
    if last != by_place[len(by_place) - len(last):]:
        raise TypeError(f"{cls.__qualname__}: a field without a default follows one with a default")
    code = _shared("init", len(names), *made, "self.__post_init__()" if hasattr(cls, "__post_init__") else "pass")
    method = _method(cls, code.replace(co_argcount=1 + len(by_place), co_kwonlyargcount=len(by_name)), names, {
        "unsaid": MISSING, **{f"make_{number}": said[names[number]].default_factory for number in made},
        **{f"set_{number}": _setter(cls, name) for number, name in enumerate(names)},
    })
    method.__defaults__ = tuple(defaults[name] for name in last)
    method.__kwdefaults__ = {name: defaults[name] for name in by_name if name in defaults}
    return method


def _replaced(cls: Any) -> FunctionType:
    """A copy with other values of some fields, past `__init__`, which would find every field by its name."""
    names = list(cls.__said__)
    code = _shared("replace", len(names), "made.__post_init__()" if hasattr(cls, "__post_init__") else "pass")
    method = _method(cls, code, names, {
        "unsaid": MISSING, "new": object.__new__,
        **{f"set_{number}": _setter(cls, name) for number, name in enumerate(names)},
    })
    method.__kwdefaults__ = dict.fromkeys(names, MISSING)
    return method


def _setter(cls: Any, name: str) -> Callable[[Any, Any], None]:
    """What sets a field of a new value: its slot, past the class's own refusal."""
    slot = getattr(cls, name, None)
    if isinstance(slot, MemberDescriptorType):
        return slot.__set__
    return lambda value, held: object.__setattr__(value, name, held)


def _hash(cls: Any) -> FunctionType:
    names = _compared(cls)
    return _method(cls, _shared("hash", len(names)), names)


def _by(name: str, sign: str) -> Callable[..., Any]:
    """A comparison of two values of one class as tuples of their fields."""
    def make(cls: Any) -> FunctionType:
        names = _compared(cls)
        return _method(cls, _shared(name.strip("_"), len(names), sign), names)

    return _when_called(name, make)


def _when_called(name: str, make: Callable[[Any], FunctionType]) -> Callable[..., Any]:
    """A method that is made for each class when it is first called. Not when it is looked up: what is raised while
    Python looks for a hash or a comparison, Ctrl-C too, is taken for a class that has none."""
    def first(value: Any, *others: Any) -> Any:
        for cls in type(value).__mro__:
            if vars(cls).get(name) is first:
                setattr(cls, name, made := make(cls))
                return made(value, *others)
        return getattr(value, name)(*others)  # another thread has just made it

    return first


def _compared(cls: Any) -> list[str]:
    """The fields that count for comparing values."""
    return [name for name, (said, _) in cls.__said__.items() if not isinstance(said, Field) or said.compare]


def _method(cls: Any, code: CodeType, names: Iterable[str], known: dict[str, Any] | None = None) -> FunctionType:
    """A method from its code, in which a0, a1 and so on stand for the names; `known` are other names of the code."""
    put = {f"a{number}": name for number, name in enumerate(names)}
    method = FunctionType(code.replace(
        co_names=tuple(put.get(name, name) for name in code.co_names),
        co_varnames=tuple(put.get(name, name) for name in code.co_varnames),
    ), known or {}, code.co_name)
    method.__qualname__, method.__module__ = f"{cls.__qualname__}.{code.co_name}", cls.__module__
    return method


@cache
def _shared(method: str, count: int, *more: Any) -> CodeType:
    """The code of a method of classes with so many fields. Compiling takes longer than all else about a class."""
    from topo import shapes

    held: dict[str, Any] = vars(shapes)
    if (method, *more) not in USUAL_METHODS or count not in USUAL_COUNTS:
        exec(written(method, count, *more), {}, held := {})
    code: CodeType = held[f"__{method}_{count}__"].__code__
    return code.replace(co_name=f"__{method}__", co_qualname=f"__{method}__")


MOST_USUAL = 24
USUAL_COUNTS = (*range(1, MOST_USUAL + 1), 41)
"""Fields of the classes whose usual methods stand in `shapes.py`; every run needs the last, that of devices' facts."""

USUAL_METHODS: tuple[tuple[Any, ...], ...] = (("init", "pass"), ("replace", "pass"), ("hash",), ("eq", "=="))
"""Methods that stand there, each with what else sets its code apart."""


def written(method: str, count: int, *more: Any) -> str:
    """A method as Python, in which a0, a1 and so on stand for its fields. `more` as the methods above give it."""
    places = range(count)
    head = f"def __{method}_{count}__(self"
    mine, others = (f"({''.join(f'{whose}.a{n}, ' for n in places)})" for whose in ("self", "other"))
    if method == "hash":
        return f"{head}): return hash({mine})"
    if method == "replace":
        sets = [f"set_{n}(made, self.a{n} if a{n} is unsaid else a{n})" for n in places]
        names = f", /, *, {', '.join(f'a{n}' for n in places)}" if count else ", /"
        return f"{head}{names}): made = new(self.__class__); {'; '.join([*sets, *more, 'return made'])}"
    if method == "init":
        made = [f"a{n} = make_{n}() if a{n} is unsaid else a{n}" for n in more[:-1]]
        sets = [f"set_{n}(self, a{n})" for n in places]
        return f"{head}{''.join(f', a{n}' for n in places)}): {'; '.join([*made, *sets, more[-1]])}"
    same = "other.__class__ is self.__class__"
    return f"{head}, other): return {mine} {more[0]} {others} if {same} else NotImplemented"


def usual_shapes() -> str:
    """All of `shapes.py`."""
    made = (written(method, count, *more) for method, *more in USUAL_METHODS for count in USUAL_COUNTS)
    return "\n\n".join((SHAPES_HEAD, *made, ""))


SHAPES_HEAD = '''"""Methods of frozen classes by the number of their fields, to which `topo/frozen.py` gives names.

They stand here so that Python compiles them once and not in every run. `python -m topo.frozen` writes them.
"""
# ruff: noqa
# mypy: ignore-errors'''


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


_METHODS = {
    "__dataclass_fields__": _Later("__dataclass_fields__", _fields), "__init__": _Later("__init__", _init),
    "__hash__": _when_called("__hash__", _hash), "__eq__": _by("__eq__", "=="), "__repr__": _repr,
    "__replace__": _Later("__replace__", _replaced),
}
_ORDERED = {name: _by(name, sign) for name, sign in _ORDER.items()}


if __name__ == "__main__":
    print(usual_shapes(), end="")
