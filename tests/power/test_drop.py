"""Volts along leads, against worked examples and a second way of adding up."""

from __future__ import annotations

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from topo.model.rig import Computer, Lead, Rig, Supply
from topo.power.drop import fed_by, lead_amps, volts_at
from topo.usb.limits import conductor_ohm_per_m


def rig(*leads: Lead, volts: float = 13.8) -> Rig:
    return Rig("r", "r.yaml", Computer(), (), (), (Supply("s", volts),), leads)


def test_a_tree_by_hand() -> None:
    """13.8 V, 3 m of 14 AWG to a box (0.5 A); camera 3 A, mount 2 A on 2 m of 18 AWG, strap 1.5 A on 1.5 m of 20 AWG.

    7 A through 6 m of 8.285 milliohm/m lose 0.348 V: 13.452 V at the box. Camera: 3 A x 4 m x 20.95 milliohm/m less,
    13.201 V; mount 13.284 V; strap 13.302 V. Solid copper.
    """
    leads = (
        Lead("feed", "s", "box", 3, 14),
        Lead("c", "box", "camera", 2, 18),
        Lead("m", "box", "mount", 2, 18),
        Lead("d", "box", "strap", 1.5, 20),
    )
    amps = {"box": 0.5, "camera": 3.0, "mount": 2.0, "strap": 1.5}
    volts = volts_at(rig(*leads), amps, stranded=1.0)
    assert lead_amps(rig(*leads), leads[0], amps) == 7.0
    assert volts == pytest.approx({"box": 13.452, "camera": 13.201, "mount": 13.284, "strap": 13.302}, abs=0.001)
    flat = volts_at(rig(*leads, volts=12.0), amps, stranded=1.0)
    assert flat["camera"] == pytest.approx(11.401, abs=0.001)


@pytest.mark.parametrize(("gauge", "lost"), [(18, 0.6285), (14, 0.2486)])
def test_both_wires_count(gauge: int, lost: float) -> None:
    """5 A over 3 m one way: a published slip counts one wire only and finds half of it."""
    volts = volts_at(rig(Lead("a", "s", "x", 3, gauge), volts=12.0), {"x": 5.0}, stranded=1.0)
    assert 12.0 - volts["x"] == pytest.approx(lost, abs=1e-4)


def test_a_daisy_chain_loses_more_than_a_star() -> None:
    """Three parts of 1 A on 20 AWG: hops of 1 m leave the last 0.400 V short, a star of 3 m pairs 0.200 V each."""
    chain = rig(Lead("a", "s", "x", 1, 20), Lead("b", "x", "y", 1, 20), Lead("c", "y", "z", 1, 20), volts=12.0)
    star = rig(*(Lead(name, "s", name, 3, 20) for name in "xyz"), volts=12.0)
    amps = dict.fromkeys("xyz", 1.0)
    assert 12.0 - volts_at(chain, amps, stranded=1.0)["z"] == pytest.approx(0.400, abs=1e-3)
    assert 12.0 - volts_at(star, amps, stranded=1.0)["z"] == pytest.approx(0.200, abs=1e-3)


def test_what_is_not_known_is_not_computed() -> None:
    leads = (Lead("a", "s", "x", None, 18), Lead("b", "x", "y", 1, 18), Lead("c", "s", "z", 1, None))
    assert volts_at(rig(*leads), {"y": 1.0}) == {}


def test_loops_of_leads_end() -> None:
    looped = rig(Lead("a", "s", "x", 1, 18), Lead("b", "x", "y", 1, 18), Lead("c", "y", "x", 1, 18))
    assert fed_by(looped, "s") == ("x", "y")
    assert set(volts_at(looped, {"y": 1.0})) == {"x", "y"}


@given(
    st.lists(
        st.tuples(st.integers(0, 6), st.floats(0, 5), st.floats(0.1, 5), st.sampled_from([10, 14, 18])), max_size=7
    )
)
def test_power_is_kept(parts: list[tuple[int, float, float, int]]) -> None:
    """What the supply gives is what the parts take and what the copper burns (Tellegen), on random trees."""
    leads, amps = [], {}
    for index, (above, current, length, gauge) in enumerate(parts):
        leads.append(Lead(f"l{index}", "s" if above >= index else f"p{above}", f"p{index}", length, gauge))
        amps[f"p{index}"] = current
    tree = rig(*leads)
    volts = volts_at(tree, amps, stranded=1.0)
    assume(min(volts.values(), default=1.0) > 0)
    taken = sum(volts[name] * current for name, current in amps.items())
    burnt = sum(
        lead_amps(tree, lead, amps) ** 2 * 2 * (lead.length_m or 0) * conductor_ohm_per_m(lead.gauge_awg or 0)
        for lead in leads
    )
    assert taken + burnt == pytest.approx(13.8 * sum(amps.values()), abs=1e-6)
