"""Rules of `topo/place/` that its small rigs do not reach, each with a case of its own."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest

from tests.mutations.small_rigs import SMALL
from tests.place.brute import brute
from tests.place.random_rigs import EXAMINER, every, rig_from
from topo.analysis.study import Study
from topo.frozen import replace
from topo.model.change import AddPart, Change, MovePlug, Proposal, SetCable, SetSerial, SetUse
from topo.model.finding import Finding, Fix, Severity, in_order
from topo.model.records import CableFacts
from topo.model.rig import Place, Rig
from topo.place.candidates import Candidate
from topo.place.consequence import Sums, fresh_of, gone_findings, impossible, new_findings
from topo.place.diff import Difference, compare_plans
from topo.place.examiner import Examiner
from topo.place.first import advised, clash
from topo.place.frontier import _Search, frontier
from topo.place.judge import Judge, gone_or_milder, left_as_notes
from topo.place.options import _why
from topo.place.remembered import Remembered
from topo.place.renamed import renamed
from topo.place.routes import routes
from topo.place.screen import Screen
from topo.place.search import rewire
from topo.place.settings import _between, _gaps, bounds, highest_limit, offers
from topo.place.spares import Spare, packed, spare_of
from topo.place.ways import _is_free
from topo.place.why_not import _stops
from topo.wiring.apply import apply
from topo.wiring.bought import bought_hub
from topo.wiring.reach import Reach


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
    streams = Study(small("two-streams"))
    assert highest_limit(streams, "sky", lambda rig: True) is None, "a stream has no downloads"
    assert highest_limit(Study(small("disk-and-camera")), "disk", lambda rig: True) is None


def test_a_still_picture_is_offered_no_region_and_no_frame_rate() -> None:
    """Of the picture a limit alone; of the guide camera, whose frames are no pictures, bins and a pause too."""
    judge = judge_of(small("card"))
    found = {(step.part, step.key) for finding in judge.findings for proposal in offers(judge, finding)
             for step in proposal.settings}
    assert ("guide", "bin") in found
    bins = {step.value for finding in judge.findings for proposal in offers(judge, finding)
            for step in proposal.settings if step.key == "bin"}
    assert bins == {2, 3, 4}
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


NEW_RISK, NEW_FAULT, NEW_NOTE = (
    Finding("new-check", severity, "certain", "x", Place("f", 1, 1), f"The {severity}.")
    for severity in ("risk", "fault", "note"))


@pytest.mark.parametrize(("brings", "left", "harmless"), [
    ((), (1, 0), True), ((NEW_NOTE,), (1, 0), True), ((NEW_RISK,), (0, 1), True), ((NEW_RISK,), (1, 1), False),
    ((NEW_FAULT,), (0, 0), False), ((NEW_FAULT, NEW_RISK), (0, 0), False),
])
def test_a_risk_is_worth_a_fault_and_a_fault_nothing(
    brings: tuple[Finding, ...], left: tuple[int, int], harmless: bool,
) -> None:
    judge = judge_of(small("card"))
    assert judge.now == (1, 0)
    judged: Any = SimpleNamespace(counted=brings, left=left)
    assert judge.harmless(judged) == harmless and judge.helps(judged) == (left < (1, 0))


@pytest.mark.parametrize(("brings", "told"), [
    ((NEW_RISK, NEW_FAULT), "Then the fault."), ((NEW_FAULT, NEW_RISK), "Then the fault."),
    ((NEW_RISK, NEW_NOTE), "Then the risk."), ((NEW_NOTE, NEW_RISK), "Then the risk."),
    ((NEW_RISK, replace(NEW_RISK, name="wrong-socket", message="Of no use.")), "Then of no use."), ((NEW_NOTE,), ""),
    ((replace(NEW_NOTE, name="wrong-socket"), NEW_RISK), "Then the risk."),
])
def test_what_stands_in_the_way_is_the_worst_that_comes_with_it(brings: tuple[Finding, ...], told: str) -> None:
    study = Study(small("card"))
    troubles = tuple(finding for finding in brings if finding.severity != "note")
    after = SimpleNamespace(topology=study.topology, telling=lambda: troubles)
    judge: Any = SimpleNamespace(study=study, findings=(), seen=(), made=lambda proposal: after)
    said = _stops(judge, Proposal((MovePlug("guide", "computer", "usb2-1"),)))
    assert said.endswith(told) and bool(said) == bool(told)


@pytest.mark.parametrize(("plan", "stopped", "why"), [
    (None, False, True), (object(), False, False), (None, True, False),
])
def test_why_no_plug_does_it_is_told_where_no_plugs_do(plan: object, stopped: bool, why: bool) -> None:
    search = _Search(judge_of(small("card")), ("fault", "risk"), False)
    search.answer, search.stopped = SimpleNamespace(plan=plan), stopped  # type: ignore[assignment]
    assert bool(search.result().why) == why


@pytest.mark.parametrize(("delay_s", "gap_s"), [
    (3.24, 1.3), (3.0, 1.0), (2.99, None), (9.99, 8.0), (10.01, None), (float("inf"), None),
])
def test_a_pause_makes_a_cycle_as_long_as_its_frame_is_late(delay_s: float, gap_s: float | None) -> None:
    """Exposed for 2 s, with a pause of 1 s: late by 3.24 s it needs 0.24 s more, to a tenth 1.3 s. Not past 10 s."""
    study: Any = SimpleNamespace(
        rig=small("card", ("exposure_s: 2}", "exposure_s: 2, gap_s: 1}")),
        device=lambda name: SimpleNamespace(delay_last_s=SimpleNamespace(high=delay_s), cadence_s=3.0))
    assert [change.value for change in _gaps(study, "guide")] == ([] if gap_s is None else [gap_s])
    assert list(_gaps(study, "main")) == []


def test_a_disk_has_no_settings() -> None:
    assert {change.part for change in bounds(Study(small("disk-and-camera")))} == {"main", "guide"}


def test_plans_are_counted_one_by_one() -> None:
    seen: list[tuple[int, int]] = []

    def progress(size: int, studied: int) -> bool:
        seen.append((size, studied))
        return True

    answer = rewire(small("slower-elsewhere"), EXAMINER, ("fault", "risk"), 2, progress=progress)
    assert [studied for _, studied in seen] == list(range(1, len(seen) + 1)) and seen[0] == (0, 1)
    assert tuple(sum(size == each for each, _ in seen) for size in range(3)) == answer.searched.studied


@pytest.mark.parametrize(("after", "plans"), [(1, (1,)), (2, (1, 1)), (4, (1, 3))])
def test_ctrl_c_leaves_what_was_counted(after: int, plans: tuple[int, ...]) -> None:
    """One plan of no move, three of one, and then those of two."""
    def progress(size: int, studied: int) -> bool:
        if studied > after:
            raise KeyboardInterrupt
        return True

    searched = rewire(small("slower-elsewhere"), EXAMINER, ("fault", "risk"), 2, progress=progress).searched
    assert searched.interrupted and not searched.complete
    assert sum(searched.studied) == after + 1 and searched.studied[: len(plans)] >= plans


def test_a_stream_without_a_rate_is_as_fast_as_it_can_be() -> None:
    """100 MB/s of 1.9 MB: 52.6 a second."""
    study = Study(small("two-streams", (", fps: 12", "")))
    assert list(_between(study, SetUse("sky", "fps", 1))) == list(range(52, 1, -1))


@pytest.mark.parametrize("name", ["two-plugs", "behind-the-camera", "exchange", "cable-poor"])
def test_what_is_there_is_surely_there(name: str) -> None:
    """A frame that is lost is told soon, of the controller it is on and of what it names alone."""
    judge = judge_of(small(name))
    lost = [finding for finding in judge.findings if finding.name == "frame-lost"]
    assert lost and all(judge.kept.base.surely_has(each) and judge.kept.base.still_has(each) for each in lost)


def test_where_nothing_clears_all_each_move_that_helps_is_made() -> None:
    """Two guide cameras on the bus of a third one, two free buses, and a stream that no plug helps: the best so far is
    both moves, each of which takes away a fault, and no more of them."""
    stream = ("  planets: {role: other, width_px: 1920, height_px: 1080, sample_bits: 8, speed: high, plug: "
              "computer/usb2-6, readout_mb_per_s: 100, frame_memory_mb: 64, use: {mode: video, fps: 30}}\n")
    last = "    usb2-5: {speed: high, controller: c, usb2_bus: three}\n"
    rig = small("two-plugs", ("c: {}}", "c: {}, d: {}}"), ("  second:", f"{stream}  second:"),
                (last, last + last.replace("2-5", "2-6").replace("r: c", "r: d").replace("three", "four")))
    for most, faults in ((0, 3), (1, 2), (2, 1), (3, 1)):
        answer = rewire(rig, EXAMINER, ("fault",), most)
        assert answer.plan is None and answer.best.left[0] == faults and len(answer.best.moves) == min(most, 2)
        assert answer.best.moves == () or {part for part, _, _ in answer.best.moves} <= {"main", "guide", "second"}


@pytest.mark.parametrize("bound", ["MOST_SINGLE", "MOST_PROVING", "MOST_CHAINED", "MOST_COMBINED"])
def test_each_search_ends_with_the_work_it_is_allowed(bound: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """Less is tried, and that fewer plugs were not proven is told."""
    def found() -> tuple[float, bool]:
        judge = judge_of(small("plug-and-setting"))
        answer = frontier(judge.study, judge.findings, EXAMINER, most_moves=1, judge=judge).answer
        assert answer is not None
        return judge.kept.work, answer.searched.complete

    whole, complete = found()
    monkeypatch.setattr(f"topo.place.frontier.{bound}", -1)
    less, then = found()
    assert complete and less < whole and then == (bound != "MOST_PROVING")


def test_a_search_that_is_told_to_stop_stops() -> None:
    judge = judge_of(small("two-plugs"))
    asked: list[int] = []

    def progress(size: int, studied: int) -> bool:
        asked.append(studied)
        return len(asked) < 3

    found = frontier(judge.study, judge.findings, EXAMINER, most_moves=2, progress=progress, judge=judge)
    assert len(asked) == 3 and found.stopped and found.plans and found.why == ()
    assert found.answer is not None and not found.answer.searched.complete


@pytest.mark.parametrize("most", [1, 2, 3, 7])
def test_nothing_is_looked_at_after_it_was_told_to_stop(most: int) -> None:
    """And what was looked at is told, with all that is known by then."""
    answer = rewire(small("deep"), EXAMINER, ("fault",), 2, progress=lambda size, studied: studied < most)
    assert sum(answer.searched.studied) == most and not answer.searched.complete and not answer.searched.interrupted


@pytest.mark.parametrize(("fix", "text"), [
    (None, None), (Fix("Ask its maker."), "Ask its maker."),
    (Fix("Try it.", (Proposal((SetUse("guide", "bin", 2),)),)), "Try it."),
    (Fix("Try it.", (Proposal((MovePlug("main", "computer", "usb3-2"),)),)), "Plug main into computer/usb3-2."),
])
def test_of_a_strangers_check_only_what_it_offers_is_computed(fix: Fix | None, text: str | None) -> None:
    """Its own words stay where nothing of that clears it."""
    judge = judge_of(small("behind-the-camera"))
    theirs = replace(judge.findings[0], fix=fix, supplied_by="a plugin")
    [told] = advised(Judge(judge.study, (theirs,), EXAMINER)).findings
    assert told == theirs or (told.fix is not None and text is not None and told.fix.text.startswith(text))
    assert (told.fix is not None and told.fix.plan is not None) == (text is not None and text.startswith("Plug"))


@pytest.mark.parametrize(("steps", "buys", "free"), [
    ((SetSerial("a", "polls_per_s", 1.0),), (), True), ((SetUse("a", "bin", 2),), (), False),
    ((MovePlug("a", "computer", "usb2-1"),), (), False), ((SetSerial("a", "polls_per_s", 1.0),), ("it",), False),
    ((SetCable("a", CableFacts()),), (), False),
    ((SetSerial("a", "polls_per_s", 1.0), SetUse("a", "bin", 2)), (), False),
])
def test_what_a_check_offers_is_free_where_it_moves_buys_and_costs_nothing(
    steps: tuple[Change, ...], buys: tuple[str, ...], free: bool,
) -> None:
    assert _is_free(Proposal(steps, buys)) == free


def test_the_plan_of_the_fewest_plugs_is_kept(monkeypatch: pytest.MonkeyPatch) -> None:
    """Not the best that was seen besides; that one where there is no plan."""
    move, other = ((("main", "computer/usb2-1", "computer/usb3-2"),), (("guide", "main/usb2-1", "computer/usb3-2"),))
    for plan, kept in ((move, {"main"}), (None, {"guide"})):
        answer = SimpleNamespace(
            plan=None if plan is None else SimpleNamespace(moves=plan, to_try=()),
            best=SimpleNamespace(moves=other, to_try=()), searched=SimpleNamespace(interrupted=True))
        monkeypatch.setattr("topo.place.frontier.rewire", lambda *asked, answer=answer: answer)
        search = _Search(judge_of(small("behind-the-camera")), ("fault",), False)
        search.moves(1, lambda size, studied: True)
        assert search.stopped and {step.part for steps in search.found for step in steps} == kept  # type: ignore[union-attr]


def test_what_a_socket_takes_away_is_told_but_for_notes() -> None:
    study = Study(small("nothing"))
    socket = study.rig.computer.socket("usb2-1")
    assert socket is not None
    where = Candidate("computer", socket, 0, Reach("unknown"))
    had = (replace(NEW_RISK, part="a"), replace(NEW_NOTE, part="b"), replace(NEW_FAULT, part="c"))
    said = _why(study, study.rig.device("guide"), study, had, (had[2],), where)
    assert said[:2] == ("brings no fault or risk", "takes away risk new-check (a)")
    assert "takes away" not in "".join(_why(study, study.rig.device("guide"), study, had, had, where))


def test_two_in_one_socket_are_two_on_whichever_of_like_controllers() -> None:
    """The second controller is as the first; what is said to be in one socket there is as wrong."""
    rig = rig_from(
        "rig: r\ncomputer:\n  controllers: {a: {}, b: {}}\n  ports:\n"
        + "".join(f"    usb2-{n}: {{speed: high, controller: {'ab'[n // 3]}}}\n" for n in range(1, 5))
        + "devices:\n  one: {role: focuser, speed: full, plug: computer/usb2-3}\n"
        "  two: {role: filter-wheel, speed: full, plug: computer/usb2-3}\n"
        "  guide: {role: guiding, width_px: 900, height_px: 900, speed: high, plug: computer/usb2-4}\n")
    for pinned in (frozenset[str](), frozenset({"two"}), frozenset({"one", "two"})):
        answer = rewire(rig, EXAMINER, ("fault",), 1, pinned)
        assert (answer.plan is None) == (len(pinned) == 2)
        found = None if answer.plan is None else (len(answer.plan.moves), answer.plan.consequence)
        assert found == brute(rig, ("fault",), 1, pinned)


def test_a_supply_of_which_no_amps_are_said_has_a_spare_of_its_volts() -> None:
    failure = SimpleNamespace(kind="supply", name="s")
    told = {}
    for amps in ("", ", amps: 5"):
        rig = rig_from("rig: r\ncomputer: {ports: {usb2-1: {speed: high}}}\n"
                       "devices: {a: {role: dew, interface: none}}\n"
                       f"power: {{supplies: {{s: {{volts: 12{amps}}}}}, leads: {{l: {{from: s, to: a}}}}}}\n")
        spare = spare_of(rig, failure)  # type: ignore[arg-type]
        assert spare is not None
        told[amps] = (spare.kind, spare.size, spare.unit)
    assert told == {"": ("a second supply of 12 V", 0.0, "A"), ", amps: 5": ("a second supply of 12 V", 5.0, "A")}


def test_what_is_found_of_the_computer_is_asked_of_each_controller_again() -> None:
    """Two on one controller are too many for this check, which speaks of the computer. Once one of them has moved,
    nothing is, and a controller that is as it was has no word in it."""
    rig = rig_from("rig: r\ncomputer:\n  controllers: {a: {}, b: {}, c: {}}\n  ports:\n" + "".join(
        f"    usb2-{n}: {{speed: high, controller: {c}}}\n" for n, c in enumerate("aabc")) + "devices:\n" + "".join(
        f"  d{n}: {{speed: full, plug: computer/usb2-{n}}}\n" for n in (0, 1, 3)))

    def crowded(study: Study) -> tuple[Finding, ...]:
        on = [root.controller for part in study.rig.devices if (root := study.topology.root_socket(part.id))]
        bad = any(on.count(each) > 1 for each in on)
        return (Finding("crowded", "fault", "certain", "computer", Place("f", 1, 1), "m"),) if bad else ()

    examiner = Examiner(crowded, named={"crowded": crowded}, one_controller=frozenset({"crowded"}))
    kept = Remembered(Study(rig), examiner)
    assert len(kept.of(rig).found("crowded")) == 1
    assert kept.of(apply(rig, MovePlug("d1", "computer", "usb2-2"))).found("crowded") == ()
    assert len(kept.of(apply(rig, MovePlug("d3", "computer", "usb2-2"))).found("crowded")) == 1


def test_what_names_a_part_that_is_not_there_is_not_asked_after() -> None:
    """A hub that another plan would buy is in no other."""
    study = Study(small("behind-the-camera"))
    real = next(finding for finding in EXAMINER(study) if finding.name == "frame-lost")
    for others, found in (((), 1), (("main",), 1), (("new-hub",), 0), (("main", "new-hub"), 0)):
        judge = Judge(study, (replace(real, others=others),), EXAMINER)
        assert len(Screen(judge).left(judge.kept.base)) == found


@pytest.mark.parametrize(("name", "part"), [
    ("frame-lost", "focuser"), ("frame-lost", "computer"), ("frame-lost", "main"), ("no-such-check", "main"),
    ("wrong-socket", "mount"),
])
def test_what_is_not_there_is_never_said_to_be_there(name: str, part: str) -> None:
    """Of a part without a plug, of the computer, of a part or a check that has no such finding."""
    kept = judge_of(small("wrong-socket")).kept
    finding = Finding(name, "fault", "certain", part, Place("f", 1, 1), "m")
    assert not kept.base.still_has(finding) and not kept.base.surely_has(finding)


NIGHT = """\
rig: r
computer: {ports: {usb3-1: {speed: super}}, ways_in: [net]}
devices:
  net: {role: network, speed: super, plug: computer/usb3-1}
  main: {role: imaging, width_px: 900, height_px: 900, speed: high, use: {exposure_s: 9}}
"""


@pytest.mark.parametrize(("one", "other", "before", "after"), [
    ("remote_desktop: {through: net}", "remote_desktop: {through: net, mb_per_s: 2}", "remote desktop through net",
     "remote desktop through net, 2 MB/s"),
    ("hours: 6", "hours: 8", "hours 6.0", "hours 8.0"), ("hours: 6", "dither_every: 3", "hours 6.0", "hours not given"),
    ("hours: 6", "hours: 6, remote_desktop: {through: net}", "remote desktop not given", "remote desktop through net"),
])
def test_what_is_planned_otherwise_for_the_night(one: str, other: str, before: str, after: str) -> None:
    rigs = [rig_from(f"{NIGHT}night: {{{each}}}\n") for each in (one, other)]
    parts = compare_plans(rigs[0], rigs[1], (), ()).parts
    assert Difference("night", "changed", before, after) in parts and {each.part for each in parts} == {"night"}


def test_one_spare_stands_in_for_all_of_its_kind() -> None:
    """As long as the longest, as thick as the thickest, as large as the largest; every fuse once, the largest first."""
    thin, thick = (1.0, "thin"), (2.0, "thick")
    leads = (Spare("lead", ("a",), 2.0, thick, (5.0,)), Spare("hub", ("h",), size=3, unit="sockets"),
             Spare("lead", ("b", "a"), None, thin, (15.0, 5.0)), Spare("hub", ("i",), size=7, unit="sockets"),
             Spare("lead", ("c",), 3.0, thin))
    assert packed(leads) == (Spare("lead", ("a", "b", "c"), 3.0, thick, (15.0, 5.0)),
                             Spare("hub", ("h", "i"), size=7, unit="sockets"))


def test_a_stream_is_offered_a_region_then_a_rate_then_bins() -> None:
    """35.1 MB/s of frames of 2.07 MB: 16 a second, or 0.565 of the pixels."""
    judge = judge_of(small("stream"))
    [finding] = judge.findings
    steps = [(step.key, step.value) for proposal in offers(judge, finding) for step in proposal.settings]
    assert steps == [("roi", "1440x800"), ("fps", 16), ("bin", 2), ("bin", 3), ("bin", 4)]


@pytest.mark.parametrize(("before", "after", "new", "gone"), [
    ("risk", "fault", True, False), ("fault", "risk", False, False), ("fault", "fault", False, False),
    ("note", "risk", True, False), ("", "note", True, False), ("note", "", False, True), ("fault", "", False, True),
])
def test_what_is_worse_than_before_is_new(before: str, after: str, new: bool, gone: bool) -> None:
    """A finding is known by its kind and part; of several that are one, the worst counts."""
    def found(severity: str) -> tuple[Finding, ...]:
        one = replace(NEW_NOTE, part="z")
        return (one, *((replace(NEW_NOTE, severity=severity), NEW_NOTE) if severity else ()))

    had, then = found(before), found(after)
    fresh = new_findings(had, then)
    assert {each.severity for each in fresh} == ({after} if new else set())
    assert list(fresh_of(had, then)) == [each for each in fresh if each.severity != "note"]
    assert {each.part for each in gone_findings(had, then)} == ({"x"} if gone else set())
    wrong = tuple(replace(each, name="wrong-socket") for each in then)
    assert impossible((), wrong) == tuple(each for each in wrong if each.severity != "note")
    assert impossible((), then) == ()
