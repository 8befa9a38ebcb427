"""Mistakes planted in `topo/place/` that no test noticed, each with a case of its own."""

from __future__ import annotations

from tests.place.random_rigs import EXAMINER, random_text, rig_from
from topo.analysis.study import Study
from topo.model.finding import in_order
from topo.place.judge import Judge
from topo.place.planb import plan_b
from topo.place.ways import tiers

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
