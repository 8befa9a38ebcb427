"""Rules of `topo/place/` that its small rigs do not reach, each with a case of its own."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest

from tests.mutations.small_rigs import SMALL
from tests.place.random_rigs import EXAMINER, every, rig_from
from topo.analysis.study import Study
from topo.frozen import replace
from topo.model.change import AddPart, MovePlug, Proposal
from topo.model.finding import Finding, Fix, Severity, in_order
from topo.model.rig import Place, Rig
from topo.place.bought import bought_hub
from topo.place.consequence import Sums
from topo.place.diff import Difference, compare_plans
from topo.place.first import advised, clash
from topo.place.judge import Judge, gone_or_milder, left_as_notes
from topo.place.renamed import renamed
from topo.place.routes import routes
from topo.place.screen import Screen
from topo.place.search import rewire
from topo.place.settings import highest_limit, offers


def small(name: str, *changed: tuple[str, str]) -> Rig:
    """A small rig, with some of its text changed."""
    text = (SMALL / f"{name}.yaml").read_text(encoding="utf-8")
    for old, new in changed:
        assert old in text, old
        text = text.replace(old, new)
    return rig_from(text)


def judge_of(rig: Rig) -> Judge:
    study = Study(rig)
    return Judge(study, in_order(EXAMINER(study)), EXAMINER)


def test_a_hub_that_is_bought_needs_its_socket() -> None:
    def hub(socket: str) -> Proposal:
        return Proposal((AddPart(replace(bought_hub("new-hub", None), plug=rig_from(
            "rig: r\ncomputer: {ports: {usb2-1: {speed: high}, usb2-2: {speed: high}}}\n"
            f"devices: {{a: {{speed: full, plug: computer/{socket}}}}}\n").device("a").plug)),))

    move = Proposal((MovePlug("b", "computer", "usb2-1"),))
    assert clash(hub("usb2-1"), move) == "need computer/usb2-1" == clash(move, hub("usb2-1"))
    assert clash(hub("usb2-2"), move) == "" == clash(Proposal((AddPart(bought_hub("new-hub", None)),)), move)


BOX = """\
rig: r
computer: {ports: {usb2-1: {speed: high}}}
devices: {strap: {role: dew, interface: none, amps_typical: 1}}
power:
  supplies: {s: {volts: 12, amps: 5}}
  blocks: {block: {}}
  boxes: {box: {channels: {"1": {amps: 2}, "2": {}}}}
  converters: {step: {volts: 5, amps: 3}}
  leads: {a: {from: s, to: box, length_m: 1}, b: {from: box/1, to: strap}}
"""


@pytest.mark.parametrize(("old", "new", "wanted"), [
    ('"1": {amps: 2}', '"1": {amps: 3}',
     ("box", "box, channel 1 (amps 2), channel 2 ()", "box, channel 1 (amps 3), channel 2 ()")),
    ("step: {volts: 5, amps: 3}", "step: {volts: 5, amps: 2}",
     ("step", "converter to 5 V, amps 3", "converter to 5 V, amps 2")),
    ("blocks: {block: {}}", "blocks: {other: {}}", ("block", "block", "not there")),
    ("volts: 12, amps: 5", "volts: 12, amps: 6", ("s", "supply of 12 V, 5 A", "supply of 12 V, 6 A")),
    ("to: strap", "to: strap, fuse_amps: 1",
     ("b", "lead from box/1 to strap", "lead from box/1 to strap, fuse 1 A")),
])
def test_each_thing_of_the_12_v_side_is_told_where_it_differs(old: str, new: str, wanted: tuple[str, str, str]) -> None:
    one, other = (Study(rig_from(text)) for text in (BOX, BOX.replace(old, new)))
    part, before, after = wanted
    assert Difference(part, "changed", before, after) in compare_plans(one.rig, other.rig, (), ()).parts
    assert not compare_plans(one.rig, one.rig, (), ()).parts


@pytest.mark.parametrize(("fix", "stays"), [
    (None, (1, 0)), (Fix("do it"), (1, 0)), (Fix("do it", (Proposal((MovePlug("a", "computer", "usb2-1"),)),)), (0, 0)),
])
def test_what_no_plug_changes_stays_unless_its_check_offers_something(fix: Fix | None, stays: tuple[int, int]) -> None:
    finding = Finding("some-check", "fault", "certain", "x", Place("f", 1, 1), "m", fix=fix)
    for name, wanted in (("some-check", stays), ("other", (0, 0))):
        examiner = SimpleNamespace(one_controller=frozenset(), no_plug=frozenset([name]))
        judge: Any = SimpleNamespace(findings=(finding,), examiner=examiner, kept=None)
        assert Screen(judge).stays == wanted
        assert Screen(judge).least(()) == wanted


def test_a_limit_is_the_highest_that_is_good() -> None:
    """The bound is 25 MB/s, and found to a tenth; where an eighth of the range is near enough, to that."""
    study = Study(small("card"))

    def good(rig: Rig) -> bool:
        limit = rig.device("main").use.limit_mb_per_s
        assert limit is not None
        return limit.value <= 25.0

    assert highest_limit(study, "main", good) == 25.0
    coarse = highest_limit(study, "main", good, 8)
    assert coarse is not None and coarse <= 25.0 < coarse + (45.4 - 17.5) / 8
    assert highest_limit(study, "main", lambda rig: False) is None


def test_a_still_picture_is_offered_no_region_and_no_frame_rate() -> None:
    """Of the picture a limit alone; of the guide camera, whose frames are no pictures, bins and a pause too."""
    judge = judge_of(small("card"))
    found = {(step.part, step.key) for finding in judge.findings for proposal in offers(judge, finding)
             for step in proposal.settings}
    assert ("guide", "bin") in found
    assert found <= {("main", "limit_mb_per_s"), *(("guide", key) for key in ("limit_mb_per_s", "bin", "gap_s"))}


@pytest.mark.parametrize(("most", "untried"), [(2, False), (1, True)])
def test_a_rig_as_large_as_is_searched_is_searched(most: int, untried: bool, monkeypatch: pytest.MonkeyPatch) -> None:
    """Two parts in the one socket there is: nothing helps, and of two devices both are tried together."""
    monkeypatch.setattr("topo.place.first.MOST_SEARCHED", most)
    rig = rig_from("rig: r\ncomputer: {ports: {usb2-1: {speed: high}}}\ndevices:\n"
                   "  a: {role: focuser, speed: full, plug: computer/usb2-1}\n"
                   "  b: {role: focuser, speed: full, plug: computer/usb2-1}\n")
    [finding] = advised(judge_of(rig)).findings
    assert finding.fix is not None and finding.fix.untried is untried


def test_two_parts_that_got_other_names_at_once() -> None:
    """Each is known by what it is, and neither is taken for the other's rival."""
    one = small("fed")
    other = small("fed", ("guide:", "finder:"), ("  mount:", "  pier:"), ("to: mount", "to: pier"))
    assert renamed(one, other) == {"guide": "finder", "mount": "pier"}
    assert renamed(one, small("fed", ("guide:", "finder:"), ("guiding, width_px: 640", "guiding, width_px: 641"))) == {}


@pytest.mark.parametrize(("before", "after", "names"), [
    ("ab", "bc", {"a": "c"}), ("ab", "cd", {}), ("a", "ab", {}), ("ab", "b", {}), ("a", "b", {"a": "b"}),
    ("a", "bc", {}),
])
def test_parts_that_are_alike_have_other_names_where_there_is_no_doubt(
    before: str, after: str, names: dict[str, str],
) -> None:
    """Straps without a plug, one as the other: one of one is known, one of two is not; who stayed is none of them."""
    one, other = (rig_from("rig: r\ncomputer: {ports: {usb2-1: {speed: high}}}\ndevices:\n" + "".join(
        f"  {name}: {{role: dew, interface: none}}\n" for name in straps)) for straps in (before, after))
    assert renamed(one, other) == names


def test_nothing_comes_to_nothing() -> None:
    assert Sums.together(()) == Sums(0, 0.0, 0.0, 0.0, 0.0, 0)
    assert Sums.of(Study(rig_from("rig: r\ncomputer: {ports: {usb2-1: {speed: high}}}\ndevices: {a: {role: dew, "
                                  "interface: none}}\n"))) == Sums.together(())


@pytest.mark.parametrize(("rig", "part", "alike"), [
    ("serial-line", "mount", False), ("serial-line", "guide", True), ("wrong-socket", "focuser", False),
    ("wrong-socket", "main", False), ("fed", "mount", True),
])
def test_ways_of_data_are_no_answer_where_a_serial_line_or_no_line_at_all_is_on_them(
    rig: str, part: str, alike: bool,
) -> None:
    topology = Study(small(rig)).topology
    assert (routes(topology, (part,), lambda _: 1, lambda _: 1) is not None) == alike
    # A mount with a line of its own behind its USB plug has more on it too.
    own = Study(small("fed", ("speed: full, plug", "speed: full, serial: {baud: 9600}, plug"))).topology
    assert routes(own, ("mount",), lambda _: 1, lambda _: 1) is None


def test_the_best_so_far_makes_nothing_slower() -> None:
    """Three cameras on one bus, the third at SuperSpeed behind a hub that alone may move. In the other socket it would
    take its guide camera off the bus of the first, and the picture down to USB 2."""
    rig = rig_from("""\
rig: r
computer:
  controllers: {a: {}, b: {}}
  ports:
    usb3-1: {speed: super, controller: a, usb2_bus: one}
    usb2-1: {speed: high, controller: a, usb2_bus: one}
    usb2-2: {speed: high, controller: b, usb2_bus: two}
hubs: {hub: {speed: super, ports: 3, powered: true, plug: computer/usb3-1}}
devices:
  main: {role: imaging, width_px: 3000, height_px: 2000, speed: super, readout_mb_per_s: 350, frame_memory_mb: 256,
    plug: hub/1, cable: {grade: usb3}, use: {exposure_s: 120}}
  one: {role: guiding, width_px: 1280, height_px: 960, speed: high, readout_mb_per_s: 37, frame_memory_mb: 0,
    fifo_kb: 16, plug: hub/2, use: {exposure_s: 2}}
  two: {role: guiding, width_px: 1281, height_px: 960, speed: high, readout_mb_per_s: 37, frame_memory_mb: 0,
    fifo_kb: 16, plug: computer/usb2-1, use: {exposure_s: 2}}
""")
    pinned = frozenset({"main", "one", "two"})
    answer = rewire(rig, EXAMINER, ("fault", "risk"), 1, pinned)
    assert answer.start.left > (0, 0) and answer.plan is None and answer.best.moves == ()
    moved = rewire(replace(rig, devices=tuple(part for part in rig.devices if part.id != "main")), EXAMINER,
                   ("fault", "risk"), 1, pinned - {"main"})
    assert moved.plan is not None and moved.plan.moves[0][0] == "hub"
    assert every(moved.plan.study) == moved.plan.findings


def test_a_finding_of_which_nothing_is_said_gets_what_was_computed() -> None:
    """The same words as where its check says what could be done."""
    rig = small("behind-the-camera")
    study = Study(rig)
    findings = in_order(EXAMINER(study))
    said = [each.fix and each.fix.text for each in advised(Judge(study, findings, EXAMINER)).findings]
    silent = tuple(replace(finding, fix=None) for finding in findings)
    assert [each.fix and each.fix.text for each in advised(Judge(study, silent, EXAMINER)).findings] == said
    assert str(said[0]).startswith("Plug main into computer/usb3-2.")


@pytest.mark.parametrize(("before", "after", "gone", "eased"), [
    ("fault", (), True, False), ("fault", ("note",), True, True), ("risk", ("note", "note"), True, True),
    ("fault", ("risk",), False, False), ("fault", ("note", "risk"), False, False), ("note", ("note",), False, False),
    ("note", (), True, False), ("risk", ("fault",), False, False),
])
def test_what_is_cleared_is_gone_or_no_more_than_a_note(
    before: Severity, after: tuple[Severity, ...], gone: bool, eased: bool,
) -> None:
    def finding(severity: Severity, part: str = "x") -> Finding:
        return Finding("some-check", severity, "certain", part, Place("f", 1, 1), "m")

    had, found = (finding(before),), (*map(finding, after), finding("fault", "y"))
    assert gone_or_milder(had, found) == (had if gone else ())
    assert left_as_notes(had, found) == (had if eased else ())


@pytest.mark.parametrize(("clear", "fixed"), [(("fault",), 2), (("risk",), 0), (("fault", "risk"), 2), (("note",), 1)])
def test_what_no_plug_changes_is_told_apart(clear: tuple[Severity, ...], fixed: int) -> None:
    """A fuse that guards neither of two wires, a wire that runs hot, which is a note, and grounds that meet in data,
    which plugs may change: of the severities that are to clear."""
    answer = rewire(small("fed"), EXAMINER, clear, 1)
    assert len(answer.fixed) == fixed and {finding.severity for finding in answer.fixed} <= set(clear)
