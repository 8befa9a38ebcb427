"""Values taken apart and made anew: what is right comes back equal and shares nothing, what is wrong is told."""

from __future__ import annotations

import dataclasses
import enum
import math
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from tests.live.recordings.make import MACHINES
from tests.live.tools import build, recording
from topo.live.heartbeat import pulse
from topo.live.sysfs import scan
from topo.model.change import AddPart, MovePlug, Proposal, SetCable, SetLead, SetSupply, SetUse, SwapPlugs
from topo.model.check import Case, Check
from topo.model.facts import Figure, Range3
from topo.model.finding import Finding, Fix
from topo.model.profile import Profile
from topo.model.rig import Place, Rig
from topo.model.sighting import Pulse, Scan
from topo.pipeline import plugins, study_file
from topo.plugin.anew import MOST_LETTERS, MOST_OF_A_KIND, Unlike, anew

ROOT = Path(__file__).resolve().parents[2]
RIGS = sorted((ROOT / "examples").glob("*/rig.yaml"))


def finding(**changed: Any) -> Finding:
    figures = (Figure("a", 1.5, "s", "assumed"), Figure("b", Range3(0.0, 1.0, math.inf), "s", "profile"),
               Figure("c", 3, "", "declared"), Figure("d", "text", "", "measured"), Figure("e", None, "s", "assumed"))
    fix = Fix("Do it.", (Proposal((MovePlug("a", "b", "1"),)),), after=figures)
    made = Finding("made-check", "note", "certain", "part", Place("rig.yaml", 3, 5), "It is so.", figures, "a look",
                   fix, ("other",), "somebody")
    return dataclasses.replace(made, **changed)


def offering(change: Any) -> Fix:
    """A fix that offers one change."""
    return Fix("Do it.", (Proposal((change,)),))


def inside(value: Any) -> Iterator[Any]:
    """Everything a value is made of, that is no plain scalar."""
    if dataclasses.is_dataclass(value):
        yield value
        for field in dataclasses.fields(value):
            yield from inside(getattr(value, field.name))
    elif isinstance(value, tuple):
        for item in value:
            yield from inside(item)


@pytest.mark.parametrize("rig", RIGS, ids=lambda path: path.parent.name)
def test_a_rig_and_its_changes_come_back_equal(rig: Path) -> None:
    whole = study_file(rig).rig
    again = anew(Rig, whole)
    assert again == whole and repr(again) == repr(whole)
    assert not {id(each) for each in inside(whole)} & {id(each) for each in inside(again)}
    for change in (AddPart(whole.devices[0]), SetUse("a", "bin", 2), SetUse("a", "gap_s", 0.5), SwapPlugs("a", "b"),
                   SetLead("l", "fuse_amps", 5.0), SetSupply("s", "amps", 10.0),
                   SetCable("a", whole.devices[0].cable)):
        made = anew(Finding, finding(fix=offering(change))).fix
        assert made is not None and made.offers[0].steps == (change,) and repr(made.offers[0].steps[0]) == repr(change)


@pytest.mark.parametrize("name", sorted(MACHINES))
def test_scans_and_pulses_come_back_equal(name: str, tmp_path: Path) -> None:
    tree = str(build(recording(name), tmp_path))
    found, beat = scan(tree), pulse(tree)
    assert anew(Scan, found) == found and repr(anew(Scan, found)) == repr(found)
    assert anew(Pulse, beat) == beat


def test_profiles_and_checks_that_ship_come_back_equal() -> None:
    known = plugins()
    for name in known.profile_names():
        profile = known.profile(name)
        assert repr(anew(Profile, profile)) == repr(profile)
    for check in known.checks:
        assert check.summary  # asked for, a check whose file was not read yet is there
        assert anew(Check, check) == check
    assert repr(anew(Finding, finding())) == repr(finding())


class Text(str):
    """A text that lies about itself."""

    def __str__(self) -> str:
        raise RuntimeError

    def __eq__(self, other: object) -> bool:
        return True

    __hash__ = str.__hash__


class Whole(int):
    def __int__(self) -> int:
        raise RuntimeError

    def __index__(self) -> int:
        raise RuntimeError


class Number(float):
    def __float__(self) -> float:
        raise RuntimeError

    def __round__(self, digits: Any = None) -> Any:
        raise RuntimeError


class Items(tuple[Any, ...]):
    def __iter__(self) -> Iterator[Any]:
        raise RuntimeError

    def __len__(self) -> int:
        return 0


def test_subclasses_become_what_they_are_made_of() -> None:
    figures = Items((Figure(Text("n"), Number(1.5), Text("s"), Text("assumed")),))  # type: ignore[arg-type]
    made = anew(Finding, finding(message=Text("It is so."), figures=figures, place=Place(Text("f"), Whole(3), 4)))
    assert made == finding(figures=(Figure("n", 1.5, "s", "assumed"),), place=Place("f", 3, 4))
    scalars = [made.message, made.figures[0].name, made.figures[0].value, made.figures[0].basis, made.place.line]
    assert [type(each) for each in scalars] == [str, str, float, str, int] and type(made.figures) is tuple


class Sub(Finding):
    pass


def hollow() -> Finding:
    """A finding whose place was never set."""
    made = object.__new__(Finding)
    for field in dataclasses.fields(Finding):
        if field.name != "place":
            object.__setattr__(made, field.name, getattr(finding(), field.name))
    return made


WRONG: dict[str, tuple[Any, str]] = {
    "subclass of a record": (Sub("n", "note", "certain", "p", Place(), "m"), "is a value of type Sub, not a Finding"),
    "place missing": (hollow(), "its place is missing"),
    "place without a line": (finding(place=Place("f", None)), "its place.line is nothing, not a whole number"),
    "text as line": (finding(place=Place("f", "3")), "its place.line is a value of type str, not a whole number"),
    "true as line": (finding(place=Place("f", True)), "its place.line is a value of type bool"),
    "ten to the 400": (finding(figures=(Figure("a", 10**400, "s", "assumed"),)), "figures[0].value is a number that"),
    "not a number": (finding(figures=(Figure("a", Range3(0.0, math.nan, 1.0), "s", "assumed"),)), "likely is nan"),
    "below nothing": (finding(figures=(Figure("a", -math.inf, "s", "assumed"),)), "its figures[0].value is -inf"),
    "unending drift": (finding(fix=offering(SetUse("a", "gap_s", math.inf))), "steps[0].value is inf"),
    "a change that is none": (finding(fix=Fix("d", ("move it",))), "its fix.offers[0] is a value of type str"),
    "a change of wrong type": (finding(fix=offering(SetUse("a", "bin", [2]))), "steps[0].value is a value of"),
    "a plan that is none": (finding(fix=Fix("d", plan="perhaps")), "its fix.plan is a value of type str"),
    "half a character": (finding(message="\ud800"), "its message holds half a character"),
    "endless text": (finding(message="x" * (MOST_LETTERS + 1)), "its message has 1000001 characters"),
    "endless others": (finding(others=("x",) * (MOST_OF_A_KIND + 1)), "its others has 1000001 items"),
}


@pytest.mark.parametrize("name", WRONG)
def test_what_is_wrong_is_told_with_its_place(name: str) -> None:
    value, words = WRONG[name]
    with pytest.raises(Unlike) as caught:
        anew(Finding, value)
    assert words in str(caught.value)


SHAPES: tuple[Any, ...] = (None, True, 0, -1, 10**400, 1.5, math.nan, math.inf, "", "text", "\ud800", b"x", (), ("a",),
                           [], {}, {1}, object(), object, print, Place(), Place(None, "x"), lambda: 1, Text("x"),
                           Whole(3), Number(2), Items(("a",)), range(3), enum.Enum, Ellipsis)

SAMPLES: dict[Any, Any] = {
    Finding: finding(), Check: Check("n", "s", "e", ("note",), print, (Case("c", "rig", 0),)),
    Scan: Scan("", "linux", None, "s"), Pulse: Pulse(()),
}


def exact(value: Any) -> bool:
    """True where a value is made of exact types of ours alone (and of what can be called)."""
    if dataclasses.is_dataclass(value) and type(value).__module__.startswith("topo."):
        return all(exact(getattr(value, field.name)) for field in dataclasses.fields(value))
    if type(value) is tuple:
        return all(map(exact, value))
    return type(value) in (str, int, float, bool, bytes, type(None)) or callable(value)


@pytest.mark.parametrize("kind", SAMPLES, ids=lambda kind: kind.__name__)
def test_any_shape_in_any_field_is_refused_or_comes_out_exact(kind: Any) -> None:
    refused = taken = 0
    for field in dataclasses.fields(kind):
        for shape in SHAPES:
            value = dataclasses.replace(SAMPLES[kind], **{field.name: shape})
            try:
                made = anew(kind, value)
            except Unlike as error:
                refused += 1
                assert str(error).startswith(f"its {field.name}")
            else:
                taken += 1
                assert exact(made), (field.name, shape)
    assert refused > 10 * len(dataclasses.fields(kind)) and taken
    for shape in SHAPES:
        with pytest.raises(Unlike):
            anew(kind, shape)
