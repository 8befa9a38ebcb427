"""A frozen class behaves as `dataclass(frozen=True)` does, which is the oracle here, and the house uses no other."""

from __future__ import annotations

import ast
import copy
import dataclasses
import inspect
import operator
import pickle
import subprocess
import sys
import threading
from collections.abc import Callable
from dataclasses import FrozenInstanceError, dataclass, field
from functools import cached_property, partial
from pathlib import Path
from typing import Any, ClassVar, Generic, TypeVar, get_type_hints

import pytest
from hypothesis import given
from hypothesis import strategies as st

from topo.frozen import MOST_USUAL, _shared, frozen, replace, usual_shapes, written

ROOT = Path(__file__).resolve().parent.parent
T = TypeVar("T")
NAMES = ("a", "b", "c", "d", "e")


def outcome(act: Callable[[], Any]) -> Any:
    """What comes of an act: its result or the type of what it raised."""
    try:
        return act()
    except Exception as error:
        return type(error)


@dataclass(frozen=True)
class Said:
    """One field as a class says it."""

    kind: str
    default: Any
    compare: bool
    shown: bool

    def in_class(self) -> Any:
        """What stands behind the equals sign."""
        if self.kind == "plain":
            return self.default
        if self.kind == "made":
            return field(default_factory=lambda: [self.default], compare=self.compare, repr=self.shown)
        more = {"default": self.default} if self.kind == "field" else {}
        return field(compare=self.compare, repr=self.shown, metadata={"said": self.default}, **more)


values = st.one_of(st.integers(-3, 3), st.sampled_from(["", "x", None, 0.5, (1, "y")]))
said = st.lists(st.builds(
    Said, st.sampled_from(["needed", "bare", "plain", "field", "made"]), values, st.booleans(), st.booleans(),
), max_size=5)


def as_class(name: str, fields: list[tuple[str, Said]], bases: tuple[type, ...] = ()) -> type:
    """A class with these fields, not yet decorated. Its annotations are text, as in a module of the house."""
    body = {name: one.in_class() for name, one in fields if one.kind != "bare"}
    hints = {name: "object" for name, _ in fields}
    return type(name, bases, {"__annotations__": hints, "__module__": __name__, **body})


def in_line(fields: list[Said]) -> list[tuple[str, Said]]:
    """Named, those that have to be given first."""
    return list(zip(NAMES, sorted(fields, key=lambda one: one.kind not in ("needed", "bare")), strict=False))


@given(said, said, st.booleans(), st.booleans(), st.booleans(), st.data())
def test_as_a_frozen_dataclass(
    below: list[Said], above: list[Said], slots: bool, order: bool, kw_only: bool, data: st.DataObject
) -> None:
    own, inherited = in_line(above), [(f"base_{name}", one) for name, one in in_line(below)]
    kw_only = kw_only or bool(inherited)
    ours = frozen(slots=slots, order=order, kw_only=kw_only)(
        as_class("Value", own, (frozen(slots=slots)(as_class("Base", inherited)),)))
    theirs = dataclass(frozen=True, slots=slots, order=order, kw_only=kw_only)(
        as_class("Value", own, (dataclass(frozen=True, slots=slots)(as_class("Base", inherited)),)))

    def told(cls: Any) -> Any:
        fields = dataclasses.fields(cls)
        return [(f.name, f.default, f.compare, f.repr, f.kw_only, f.type, dict(f.metadata)) for f in fields]

    assert repr(told(ours)) == repr(told(theirs))
    assert ours.__match_args__ == theirs.__match_args__  # type: ignore[attr-defined]
    assert inspect.signature(ours).parameters.keys() == inspect.signature(theirs).parameters.keys()

    names = [name for name, _ in (*inherited, *own)]
    for name in () if slots else names:
        assert repr(getattr(ours, name, "none")) == repr(getattr(theirs, name, "none"))
    by_name = st.dictionaries(st.sampled_from(names), values) if names else st.just({})
    some, others, count = data.draw(by_name), data.draw(by_name), data.draw(st.integers(0, 6))
    assert repr(outcome(lambda: ours(*range(count), other=1))) == repr(outcome(lambda: theirs(*range(count), other=1)))
    mine, one = outcome(lambda: ours(*range(count), **some)), outcome(lambda: theirs(*range(count), **some))
    assert repr(mine) == repr(one)
    if not isinstance(mine, type):
        alike(mine, one, outcome(lambda: ours(**others)), outcome(lambda: theirs(**others)), others)
        assert hasattr(mine, "__dict__") is (not slots)


def alike(mine: Any, one: Any, mine_too: Any, one_too: Any, changes: dict[str, Any]) -> None:
    """Holds a value of ours against a dataclass's, beside another of each."""
    assert repr(dataclasses.asdict(mine)) == repr(dataclasses.asdict(one))
    assert outcome(lambda: hash(mine)) == outcome(lambda: hash(one))
    assert (mine == mine_too, mine == one, mine != mine_too) == (one == one_too, False, one != one_too)
    for compare in (operator.lt, operator.le, operator.gt, operator.ge):
        assert outcome(partial(compare, mine, mine_too)) == outcome(partial(compare, one, one_too))
    for more in ({}, {"other": 1}):
        changed = outcome(lambda: dataclasses.replace(one, **changes, **more))  # noqa: B023
        assert repr(outcome(lambda: dataclasses.replace(mine, **changes, **more))) == repr(changed)  # noqa: B023
        assert repr(outcome(lambda: replace(mine, **changes, **more))) == repr(changed)  # noqa: B023
    assert mine == copy.copy(mine)
    assert repr(copy.deepcopy(mine)) == repr(mine)
    for name in ("a", "base_a", "other"):
        assert outcome(partial(setattr, mine, name, 1)) is FrozenInstanceError
        assert outcome(partial(delattr, mine, name)) is FrozenInstanceError


@frozen(order=True)
class Point:
    """A value with all that classes of the house have."""

    x: int
    y: float = 0.0
    seen: tuple[str, ...] = field(default=(), compare=False)
    kind: ClassVar[str] = "point"

    def __post_init__(self) -> None:
        if self.x < 0:
            raise ValueError("below nothing")

    @property
    def far(self) -> bool:
        """Whether it is far."""
        return self.x > 10


@frozen(slots=False)
class Worked:
    """A value that remembers what it worked out."""

    items: tuple[int, ...] = ()

    @cached_property
    def total(self) -> int:
        """Their sum."""
        return sum(self.items)


@frozen
class Held(Generic[T]):
    """A value of any type."""

    what: T


@frozen
class Ours:
    """A value with its own idea of being equal."""

    name: str

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Ours)

    def __repr__(self) -> str:
        return "ours"


def test_what_a_class_of_the_house_has() -> None:
    point = Point(1, 2.0, ("here",))
    assert (Point.kind, point.far, Point.__slots__) == ("point", False, ("x", "y", "seen"))  # type: ignore[attr-defined]
    assert point == Point(1, 2.0) and hash(point) == hash(Point(1, 2.0)) and Point(1) < point
    assert repr(point) == "Point(x=1, y=2.0, seen=('here',))"
    for change in (replace, dataclasses.replace):
        with pytest.raises(ValueError, match="below nothing"):
            change(point, x=-1)
    with pytest.raises(TypeError, match=r"Point\.__init__\(\) missing 1 required positional argument: 'x'"):
        Point()  # type: ignore[call-arg]
    assert get_type_hints(Point)["seen"] == tuple[str, ...]
    match point:
        case Point(x, y):
            assert (x, y) == (1, 2.0)
    worked = Worked((1, 2))
    assert (worked.total, vars(worked)["total"], worked == Worked((1, 2))) == (3, 3, True)
    assert Held[int](3) == Held(3) and Held.__parameters__ == (T,)  # type: ignore[attr-defined]
    assert Ours("a") == Ours("b") and hash(Ours("a")) != hash(Ours("b")) and repr(Ours("a")) == "ours"
    assert dataclasses.is_dataclass(Point) and Point.__doc__ == "A value with all that classes of the house have."


@pytest.mark.parametrize("value", [Point(1, 2.0, ("here",)), Worked((1, 2)), Held("x")])
def test_copies_and_pickles(value: object) -> None:
    for protocol in range(pickle.HIGHEST_PROTOCOL + 1):
        assert repr(pickle.loads(pickle.dumps(value, protocol))) == repr(value)


def test_first_use_in_many_threads() -> None:
    made = frozen(as_class("Value", [("a", Said("bare", 0, True, True))]))
    gate, found = threading.Barrier(8), []

    def use() -> None:
        gate.wait()
        found.append((hash(made(1)), made(1) == made(1), repr(made(1))))

    threads = [threading.Thread(target=use) for _ in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(found) == 8 and set(found) == {(hash((1,)), True, "Value(a=1)")}


def test_usual_shapes_are_what_would_be_compiled() -> None:
    # `python -m topo.frozen > topo/shapes.py` writes them anew.
    assert (ROOT / "topo" / "shapes.py").read_text(encoding="utf-8") == usual_shapes()


def test_a_shape_that_is_there_is_not_compiled(monkeypatch: pytest.MonkeyPatch) -> None:
    compiled: list[int] = []
    monkeypatch.setattr("topo.frozen.written", lambda method, count, *more: (
        compiled.append(count), written(method, count, *more))[1])
    _shared.cache_clear()
    fields = {count: [Said("needed", None, True, True)] * count for count in (3, MOST_USUAL, MOST_USUAL + 1)}
    for count, said in fields.items():
        made = frozen(as_class("Value", [(f"f{number}", each) for number, each in enumerate(said)]))
        value = made(*range(count))
        assert replace(value, f0=0) == value and hash(value) == hash(tuple(range(count)))
    assert compiled == [MOST_USUAL + 1] * 4


def test_the_house_has_no_other() -> None:
    for path in sorted([*(ROOT / "topo").rglob("*.py"), *(ROOT / "plugins").rglob("*.py")]):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.ClassDef):
                for decorator in map(ast.unparse, node.decorator_list):
                    assert "frozen=True" not in decorator, f"{path}:{node.lineno}: write @frozen (topo/frozen.py)"
            elif isinstance(node, ast.ImportFrom) and node.module == "dataclasses" and path.name != "frozen.py":
                names = [alias.name for alias in node.names]
                assert "replace" not in names, f"{path}:{node.lineno}: take replace from topo.frozen"


def test_types_are_checked_as_those_of_a_dataclass(tmp_path: Path) -> None:
    wrong = tmp_path / "wrong.py"
    wrong.write_text(
        "from topo.frozen import replace\nfrom topo.model.facts import Fact\nfact = Fact(1, 'declared')\n"
        "Fact(1)\nFact(1, 'guessed')\nfact.value = 2\nreplace(fact, worth=2)\nfact.worth\n")
    command = [sys.executable, "-m", "mypy", "--strict", str(wrong)]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)
    assert [line for line in range(1, 9) if f"wrong.py:{line}: error" in done.stdout] == [4, 5, 6, 7, 8]



@pytest.mark.parametrize("act", [
    hash, lambda value: value == copy.copy(value), lambda value: value <= copy.copy(value),
])  # fmt: skip
def test_ctrl_c_while_a_method_is_made_is_ctrl_c(act: Callable[[Any], Any], monkeypatch: pytest.MonkeyPatch) -> None:
    """Python takes whatever is raised while it looks up a hash or a comparison for a class that has none."""
    @frozen(order=True)
    class Fresh:
        number: int

    def interrupted(*_: object) -> None:
        raise KeyboardInterrupt

    one = Fresh(1)
    with monkeypatch.context() as patched, pytest.raises(KeyboardInterrupt):
        patched.setattr("topo.frozen._shared", interrupted)
        act(one)
    act(one)  # and is made all the same when it is asked for again
