"""The quick way against pydantic: what it takes, pydantic takes with the same values; what is refused, both refuse.

The two share nothing but the declarations.
"""

from __future__ import annotations

import copy
import random
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from pydantic import ValidationError

from tests.fuzz_rigs import Maker
from topo.errors import RigFileError
from topo.model import records
from topo.model.declare import Record, declared
from topo.rigfile.build import built
from topo.rigfile.content import content_of
from topo.rigfile.entries import ProfileEntry, RigDocument
from topo.rigfile.problems import Problems
from topo.rigfile.quick import quick
from topo.rigfile.schema import model_of
from topo.rigfile.syntax import parsed

ROOT = Path(__file__).resolve().parents[2]
EXAMPLES = sorted((ROOT / "examples").glob("*/rig.yaml"))
PROFILES = sorted((ROOT / "plugins").glob("*/*.yaml"))
ODD: tuple[Any, ...] = (
    "", " ", "0", "1", "-1", "00", "007", "+5", "1.", ".5", "1.5", "1.50", "1e3", "1E-3", "1_000", " 5", "5 ", "5\n",
    "０", "٣", "inf", "nan", "-0", "-0.0", "0x10", "1,5", "9" * 15, "9" * 16, "9" * 400, "0." + "1" * 15,
    "0." + "1" * 30, "true", "True", "TRUE", "yes", "Y", "y", "on", "oN", "off", "no", "f", "2", "null", "~", "high",
    "High", "high\n", "imaging", "usb", "x", "x" * 64, "x" * 65, "x" * 121, "x" * 401, "a/b", "a/b/c", "a/b\n",
    "a\nb/c", "/", "00fa", "00FA", "00fa\n", "00f", "640x480", "640x480\n", "640X480", "pcie2x1", "pcie6x1", "400",
    "0.0001", "é", "\ud800", "漢" * 64, {}, [], ["a"], [""], [["a"]], {"a": "b"}, {"": "b"}, {"a": {}},
    {"x" * 65: {}}, {"value": "1", "source": "s"}, {"value": "1"}, {"volts": "12"}, {"from": "a", "to": "b"},
    {"length_m": "1"},
)  # fmt: skip


def by_pydantic(record: Any, data: Any) -> Any:
    """The record pydantic makes of the data, or None."""
    try:
        return built(record, model_of(record).model_validate(data))
    except ValidationError:
        return None


def agree(record: Any, data: Any) -> bool:
    """Whether the quick way takes the data; asserts that pydantic then makes the same of it."""
    found = quick(record, data)
    assert found is None or found == by_pydantic(record, data), data
    assert found is None or repr(found) == repr(by_pydantic(record, data)), data  # 1 is not 1.0, nor True
    return found is not None


def content(text: str) -> Any:
    problems = Problems("x")
    return content_of(parsed(text, problems), "x", problems).data


def paths(data: Any, path: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    """Every path to a value in nested data."""
    items = data.items() if isinstance(data, dict) else enumerate(data) if isinstance(data, list) else ()
    for key, value in items:
        yield (*path, key)
        yield from paths(value, (*path, key))


def changed(data: Any, path: tuple[Any, ...], value: Any) -> Any:
    made = copy.deepcopy(data)
    holder = made
    for key in path[:-1]:
        holder = holder[key]
    holder[path[-1]] = value
    return made


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.parent.name)
def test_examples_need_no_pydantic(path: Path) -> None:
    assert agree(RigDocument, content(path.read_text(encoding="utf-8")))


def test_shipped_profiles_need_no_pydantic() -> None:
    assert len(PROFILES) > 90
    for path in PROFILES:
        assert agree(ProfileEntry, content(path.read_text(encoding="utf-8"))), path.name


def test_every_value_of_an_example_in_every_odd_shape() -> None:
    """Each value of a file replaced by some of the odd ones in turn, so that each odd one stands at many places."""
    data = content((ROOT / "examples" / "garden-pier" / "rig.yaml").read_text(encoding="utf-8"))
    taken = refused = 0
    for number, path in enumerate(paths(data)):
        for odd in ODD[number % 5 :: 5]:
            if agree(RigDocument, changed(data, path, odd)):
                taken += 1
            else:
                refused += 1
    assert taken > 100 and refused > 1000


RECORDS = [each for each in vars(records).values() if isinstance(each, type) and issubclass(each, Record)]


@pytest.mark.parametrize("record", [each for each in RECORDS if each is not Record])
def test_every_fact_with_every_odd_value_and_at_its_bounds(record: Any) -> None:
    for each in declared(record):
        bounds = [f"{bound:.10f}".rstrip("0").rstrip(".") for bound in (each.bounds.low, each.bounds.high)
                  if bound is not None]
        for bound in bounds:
            assert agree(record, {each.key: bound}), (each.key, bound)
        beyond = [str(each.bounds.low - 1), str(each.bounds.high + 1)] if bounds else []
        for value in (*ODD, *beyond):
            agree(record, {each.key: value})
        assert not any(quick(record, {each.key: value}) for value in beyond)
        assert quick(record, {each.key + "x": "1"}) is None


def test_made_up_rigs() -> None:
    """What is made from the declarations is right; what of it is not written plainly goes to pydantic."""
    maker = Maker(random.Random(20), ())
    maker.profiles = dict.fromkeys(maker.profiles, ("x",))
    taken = 0
    for _ in range(60):
        try:
            data = content(maker.text())
        except RigFileError:
            continue
        taken += agree(RigDocument, data)
        where = list(paths(data))
        for path in maker.rng.sample(where, min(12, len(where))):
            agree(RigDocument, changed(data, path, maker.rng.choice(ODD)))
    assert taken > 20


def test_what_is_missing_is_no_verdict() -> None:
    assert quick(RigDocument, {"rig": "A"}) is None and quick(RigDocument, "text") is None
