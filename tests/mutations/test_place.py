"""Mistakes planted in `topo/place/` that no test noticed, each with a case of its own."""

from __future__ import annotations

import dataclasses
import random
import re
from pathlib import Path
from types import SimpleNamespace

import pytest

from tests.place.random_rigs import EXAMINER, random_text, rig_from
from topo.analysis.study import Study
from topo.frozen import replace
from topo.model.change import AddPart, MovePlug, Proposal
from topo.model.facts import value_of
from topo.model.finding import Finding, in_order
from topo.model.rig import COMPUTER, ROLES, Hub, Place, Plug
from topo.model.speed import Speed
from topo.place.candidates import _height
from topo.place.domains import Domain
from topo.place.examiner import LocalCheck
from topo.place.first import clash
from topo.place.judge import Judge
from topo.place.options import _beside
from topo.place.planb import plan_b
from topo.place.proposals import longest_active_m, new_cable, powered_in_place
from topo.place.renamed import under_new_names
from topo.place.routes import routes
from topo.place.services import TakenAway, goes_on, services
from topo.place.slower import Speeds, made_slower
from topo.place.spares import Spare, spare_words
from topo.place.ways import tiers
from topo.place.worse import worse_by
from topo.wiring.apply import apply
from topo.wiring.reach import Reach

SERIAL = """\
rig: Two adapters
computer: {ports: {usb2-1: {speed: high}, usb2-2: {speed: high}, usb2-3: {speed: high}}}
devices:
  one: {speed: full, serial_sockets: 1, plug: computer/usb2-1}
  two: {speed: full, serial_sockets: 2, plug: computer/usb2-2}
  mount: {role: mount, plug: one/serial-1, serial: {baud: 9600, polls_per_s: 1, bytes_out: 9, bytes_in: 9}}
  focuser: {role: focuser, plug: two/serial-1, serial: {baud: 9600, polls_per_s: 1, bytes_out: 9, bytes_in: 9}}
"""


def test_what_hangs_on_a_serial_line_may_go_to_another_and_has_no_usb_speed_to_lose() -> None:
    fails = {(failure.kind, failure.name): failure for failure in plan_b(rig_from(SERIAL), EXAMINER)}
    [refuge] = [refuge for refuge in fails["adapter", "one"].refuges if refuge.part == "mount"]
    assert (refuge.plug, refuge.why) == ("two/serial-2", "")


def test_what_may_not_reach_is_tried_after_all_that_surely_does() -> None:
    """The first ways of a finding need nothing bought and no cable held against its way; the second are the others."""
    tried = 0
    for seed in (304, 312, 319):
        study = Study(rig_from(random_text(seed, 4)))
        judge = Judge(study, in_order(EXAMINER(study)), EXAMINER)
        for finding in in_order(EXAMINER(study)):
            ways = list(tiers(judge, finding))
            if finding.fix is None or len(ways) < 3:
                continue
            own = [way for way in ways[0] if way not in finding.fix.offers]
            assert not any(way.to_try or way.buys for way in own)
            assert all(way.to_try and not way.buys for way in ways[1])
            tried += len(ways[1])
    assert tried > 0


def test_what_two_plans_both_need() -> None:
    def move(part: str, to: str) -> Proposal:
        return Proposal((MovePlug(part, "computer", to),))

    one = move("a", "usb3-1")
    assert clash(one, move("b", "usb3-2")) == "" == clash(move("b", "usb3-2"), one)
    assert clash(one, move("b", "usb3-1")) == "need computer/usb3-1"
    assert clash(one, move("a", "usb3-2")) == "move a"


MOUNT, GUIDE = frozenset(["mount"]), frozenset(["guide"])
GUIDED = """\
rig: r
computer: {ports: {usb2-1: {speed: high}, usb2-2: {speed: high}}}
devices:
  main: {role: imaging, width_px: 900, height_px: 900}
  guide: {role: guiding, width_px: 900, height_px: 900, speed: high, plug: computer/usb2-1MORE}
  mount: {role: mountPLUG}
"""


@pytest.mark.parametrize(("plug", "lead", "lost", "on"), [
    (True, False, TakenAway(), True), (True, True, TakenAway(), True), (False, True, TakenAway(), True),
    (False, False, TakenAway(), False),
    (True, False, TakenAway(data=MOUNT), False), (True, True, TakenAway(data=MOUNT), True),
    (True, True, TakenAway(power=MOUNT), False), (True, True, TakenAway(data=GUIDE), False),
    (True, True, TakenAway(power=GUIDE), False), (True, False, TakenAway(data=frozenset(["main"])), True),
    (True, True, TakenAway(pulse_leads=GUIDE), True), (False, True, TakenAway(pulse_leads=GUIDE), False),
    (True, True, TakenAway(data=MOUNT, pulse_leads=GUIDE), False),
    (True, True, TakenAway(data=frozenset(["computer"])), False),
])
def test_guiding_goes_on_by_the_mounts_data_or_by_a_pulse_lead(
    plug: bool, lead: bool, lost: TakenAway, on: bool,
) -> None:
    text = GUIDED.replace("MORE", ", pulse_lead: mount" if lead else "").replace(
        "PLUG", ", speed: full, plug: computer/usb2-2" if plug else "")
    rig = rig_from(text)
    [guiding] = [each for each in services(rig) if each.kind == "guiding"]
    assert goes_on(rig, guiding, lost) == on


def test_what_a_controller_has_to_clear_is_what_was_asked_to_be_cleared() -> None:
    """Of four findings of three checks, one of which finds only notes and is not asked."""
    where = Place("f", 1, 1)
    found = {"a": [Finding("a", "fault", "certain", "x", where, "m"), Finding("a", "note", "certain", "y", where, "m")],
             "b": [Finding("b", "risk", "possible", "x", where, "m")], "c": []}
    checks = tuple(LocalCheck(name, severities, lambda _: ()) for name, severities in (
        ("a", ("fault", "note")), ("b", ("risk",)), ("c", ("note",))))
    for clear, wanted in ((("fault",), "a"), (("fault", "risk"), "ab"), (("risk",), "b")):
        domain = Domain(SimpleNamespace(glimpsed=found.__getitem__), checks, clear)  # type: ignore[arg-type]
        assert domain.is_bad and [each.name for each in domain.to_clear] == list(wanted)
        nothing = Domain(SimpleNamespace(glimpsed=lambda name: []), checks, clear)  # type: ignore[arg-type]
        assert not nothing.is_bad and nothing.to_clear == ()


@pytest.mark.parametrize("name", ["zorbls-hub", "main-camera", "zorbls-guider", "line", "my-mount", "focuser", "net"])
def test_a_part_under_a_new_name_has_it_wherever_it_is_spoken_of(name: str) -> None:
    """The rig renamed is the rig of the file with the name replaced in its text, by one as long: places stay too."""
    text = (Path(__file__).parent / "redacted" / "before.yaml").read_text(encoding="utf-8")
    new = name[::-1]
    changed = re.sub(rf"(?<![\w-]){name}(?![\w-])", new, text)
    wanted, found = rig_from(changed), under_new_names(rig_from(text), {name: new})
    for field in dataclasses.fields(wanted):
        assert getattr(found, field.name) == getattr(wanted, field.name), field.name


def test_what_moves_make_slower_is_what_is_slower_once_they_are_made() -> None:
    found = 0
    for seed in range(60):
        rig = rig_from(random_text(seed, 5))
        before = Study(rig).topology
        free = [(part.id, socket.name) for part in rig.parts for socket in part.sockets if socket.kind == "usb"]
        for part in rig.plugged:
            if before.speed(part.id) is None:
                continue
            for above, socket in random.Random(f"{seed} {part.id}").sample(free, 2):
                lost = above != COMPUTER and before.leg(above) is None
                if lost or above == part.id or above in before.below(part.id):
                    continue
                after = Study(apply(rig, MovePlug(part.id, above, socket))).topology
                ways = Speeds(before).slower({part.id: Plug(above, socket)})
                assert len(ways) == len(made_slower(before, after)), (seed, part.id, above, socket)
                assert all(part.id in way for way in ways)
                found += len(ways)
    assert found >= 5


def test_which_cable_is_to_be_bought() -> None:
    """As long as may be needed, within what the speed allows; an active one past that; none past what these span."""
    cam = rig_from(GUIDED.replace("MORE", "").replace("PLUG", "")).device("guide")

    def told(least: float | None, most: float | None, speed: Speed) -> tuple[object, ...] | None:
        made = new_cable(cam, speed, Reach("try", least, most))
        if made is None:
            return None
        cable, _, doubt = made
        assert value_of(cable.grade) == ("usb3" if speed.is_superspeed else None)
        return value_of(cable.length_m), value_of(cable.active, False), bool(doubt)

    assert told(None, 2.0, Speed.HIGH) == told(1.0, None, Speed.HIGH) == (None, False, False)
    assert told(1.0, 4.0, Speed.HIGH) == (4.0, False, False)
    assert told(4.0, 6.0, Speed.HIGH) == (5.0, False, True)
    assert told(2.0, 2.9, Speed.SUPER) == (2.9, False, False)
    assert told(3.0, 3.0, Speed.SUPER) == (3.0, False, False)
    longest = longest_active_m(Speed.HIGH)
    assert told(5.1, 6.0, Speed.HIGH) == (6.0, True, False)
    assert told(longest, longest + 1, Speed.HIGH) == (longest, True, True)
    assert told(longest + 0.1, longest + 1, Speed.HIGH) is None


def test_what_gets_worse_in_words() -> None:
    def worse(before: str, after: str, size: str = "width_px: 3000, height_px: 2000") -> tuple[str, ...]:
        rig = ("rig: r\ncomputer: {ports: {usb2-1: {speed: high}}}\ndevices:\n  c: {role: imaging, speed: high, "
               "plug: computer/usb2-1, use: {exposure_s: 60}, FACTS}\n")
        texts = (rig.replace("FACTS", f"{size}, readout_mb_per_s: {rate}") for rate in (before, after))
        return worse_by(*(Study(rig_from(text)) for text in texts))

    said = worse("20", "10")  # 12 MB: 0.6 s, then 1.2 s
    assert len(said) == 1 and "a picture of c takes" in said[0] and "instead of" in said[0]
    assert worse("20", "18") == (), "a ninth longer"
    assert worse("20", "1.5", "width_px: 300, height_px: 200") == (), "0.12 MB: less than a tenth of a second longer"



def test_beside_what_a_new_part_is_taken_to_sit() -> None:
    """At the telescope: the first camera that images and is wired, else one that guides. Elsewhere: nobody knows."""
    study = Study(rig_from(GUIDED.replace("MORE", "").replace("PLUG", "")))
    cam = study.rig.device("guide")
    at = {role for role in ROLES if _beside(study, replace(cam, id="new", role=role)) == "guide"}
    assert at == {"imaging", "guiding", "mount", "focuser", "rotator", "filter-wheel", "dew", "power", "flat-panel"}
    assert all(_beside(study, replace(cam, id="new", role=role)) is None for role in ROLES if role not in at)
    wired = rig_from(GUIDED.replace("MORE", "").replace("PLUG", "").replace("900}\n  guide", "900, plug: "
                     "computer/usb2-2}\n  guide"))
    assert _beside(Study(wired), replace(cam, id="new", role="focuser")) == "main"


def test_ways_of_data_differ_where_the_uplink_is_another() -> None:
    """Two cameras at SuperSpeed in two sockets: of one controller, of two, and of one with a wider uplink."""
    camera = "role: imaging, speed: super, width_px: 900, height_px: 900"

    def ways(first: str, second: str, uplink: str) -> object:
        rig = rig_from(f"rig: r\ncomputer:\n  controllers: {{a: {uplink}, b: {uplink}}}\n  ports:\n"
                       f"    one: {{controller: {first}, speed: super}}\n"
                       f"    two: {{controller: {second}, speed: super}}\ndevices:\n"
                       f"  c: {{{camera}, plug: computer/one}}\n  d: {{{camera}, plug: computer/two}}\n")
        return routes(Study(rig).topology, ("c", "d"), lambda _: 1, lambda _: 1)

    one, two, wider, unknown = (ways("a", "a", "{uplink: pcie2x1}"), ways("a", "b", "{uplink: pcie2x1}"),
                                ways("a", "a", "{uplink: pcie3x1}"), ways("a", "a", "{}"))
    assert len({repr(each) for each in (one, two, wider, unknown)}) == 4
    assert one == ways("b", "b", "{uplink: pcie2x1}") and two == ways("b", "a", "{uplink: pcie2x1}")


@pytest.mark.parametrize(("facts", "offered"), [(", powered: false", True), (", powered: true", False), ("", False)])
def test_a_hub_with_a_supply_takes_the_place_of_one_that_is_said_to_have_none(facts: str, offered: bool) -> None:
    rig = rig_from("rig: r\ncomputer: {ports: {usb2-1: {speed: high}}}\nhubs:\n"
                   f"  h: {{speed: high, ports: 3, plug: computer/usb2-1{facts}}}\n"
                   "devices:\n  d: {speed: full, plug: h/1}\n")
    found = list(powered_in_place(Study(rig).topology, "h"))
    assert bool(found) == offered
    for proposal in found:
        [step] = proposal.steps
        assert isinstance(step, AddPart) and isinstance(step.part, Hub) and value_of(step.part.facts.powered, False)
        assert str(step.part.plug) == "computer/usb2-1" and [s.name for s in step.part.sockets] == ["1", "2", "3"]


@pytest.mark.parametrize(("part", "height"), [
    ("d", 0), ("c", 1), ("alone", 0), ("low", 2), ("high", 3), ("empty", 1),
])
def test_how_many_hubs_a_part_brings_along(part: str, height: int) -> None:
    """A hub is one, a camera with sockets on its back is one once something is plugged in there."""
    camera = "role: imaging, speed: high, hub_ports: 2"
    rig = rig_from("rig: r\ncomputer: {ports: {usb2-1: {speed: high}, usb2-2: {speed: high}, usb2-3: {speed: high}}}\n"
                   "hubs:\n  high: {speed: high, ports: 3, plug: computer/usb2-1}\n"
                   "  low: {speed: high, ports: 3, plug: high/1}\n"
                   "  empty: {speed: high, ports: 3, plug: computer/usb2-2}\n"
                   f"devices:\n  c: {{{camera}, plug: low/1}}\n  d: {{speed: full, plug: c/usb2-1}}\n"
                   f"  alone: {{{camera}, plug: computer/usb2-3}}\n")
    topology = Study(rig).topology
    assert _height(topology, topology.part(part)) == height


@pytest.mark.parametrize(("spare", "words"), [
    (Spare("a second supply of 12 V", ("s",), size=5.0, unit="A"), "a second supply of 12 V, 5 A or more"),
    (Spare("a second supply of 12 V", ("s",), unit="A"), "a second supply of 12 V"),
    (Spare("a powered hub", ("h",), size=4, unit="sockets"), "a powered hub with 4 sockets or more"),
    (Spare("a powered hub", ("h",), size=1, unit="sockets"), "a powered hub with 1 socket or more"),
    (Spare("a powered hub", ("h",), unit="sockets"), "a powered hub"),
    (Spare("a lead", ("l",), length_m=2.0, wire=(2.1, "14 AWG"), fuses_a=(5.0, 15.0), after=", red"),
     "a lead of 2 m, 14 AWG or thicker, with fuses of 5 and 15 A, red"),
])
def test_a_spare_in_words_says_what_is_known_of_it_and_no_more(spare: Spare, words: str) -> None:
    assert spare_words(spare) == words
