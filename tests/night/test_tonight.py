"""What a night brings, against what it must add up to; the close-up of one exposure's end; the load of links."""

from __future__ import annotations

import itertools
import math
import os
import subprocess
import sys
from dataclasses import replace
from pathlib import Path
from random import Random
from typing import Any

import pytest

from tests.night.test_planned import CAMERA, DISK, GUIDE, HEAD, rig, webcam
from tests.place.random_rigs import random_text, rig_from
from tests.samples import share
from topo.analysis.study import Study
from topo.model.night import DISCIPLINES, NEVER
from topo.night.loads import loads_of
from topo.night.moment import LOSSES, CloseUp
from topo.night.outcome import Nights, whole_nights
from topo.night.planned import nights_of
from topo.night.run import Draw, run_night
from topo.night.stage import Group
from topo.night.tonight import tonight
from topo.pipeline import rig_of
from topo.rigfile.read import read_text
from topo.usb.traffic import traffic
from topo.wiring.topology import Topology

ROOT = Path(__file__).resolve().parents[2]
SHORT = "night: {hours: 1, dither_every: 0}"


def random_nights(seed: int) -> Nights:
    topology = Topology(rig_from(random_text(seed)))
    return nights_of(topology, traffic(topology))


# -- quantities that have to add up -----------------------------------------------------------------------------------


def test_dark_time_is_that_of_the_downloads() -> None:
    """A lone camera: each picture costs its transfer and its fixed time, here 48 MB at the likely 41.5 MB/s + 19 ms."""
    nights = rig(CAMERA, SHORT)
    night = run_night(nights.plan, nights.casts["likely"], "fair", Draw(1))
    [shot] = night.shooting
    [late] = night.guiding
    assert shot.dark_s == pytest.approx(math.fsum(end - begin for begin, end in shot.downloads))
    alone = 48e6 / 41.5e6 + 0.019
    assert all(alone - 1e-9 <= end - begin <= alone + 0.07 for begin, end in shot.downloads)  # a guide frame beside it
    told = tonight(nights, 6, 1).cameras[0]
    assert told.count == pytest.approx(3600 / (120 + 0.5 + alone), abs=1.5)
    assert told.dark_s.typical <= told.dark_s.most <= told.dark_s.worst
    assert late.frames > 1000


@pytest.mark.parametrize("seed", range(12))
def test_curves_and_shares_say_the_same(seed: int) -> None:
    nights = random_nights(seed)
    short = Nights(nights.plan.__class__(900.0, nights.plan.shooting, nights.plan.guiding, nights.plan.copying),
                   nights.casts)
    told = tonight(short, 3, seed)
    whole = whole_nights(short, 3, seed)
    for guide in told.guides:
        for late, curve in zip(guide.lateness, guide.curves, strict=True):
            nights_here = whole[late.discipline]
            frames = sum(each.frames for night in nights_here for each in night.guiding if each.camera == guide.camera)
            found = [(one.by_s, one.frames) for night in nights_here for each in night.guiding
                     if each.camera == guide.camera for one in each.late]
            assert late.frames == frames
            assert curve[0][1] == pytest.approx(sum(count for _, count in found) / max(1, frames))
            shares = [part for _, part in curve]
            assert shares == sorted(shares, reverse=True) and [at for at, _ in curve] == sorted(at for at, _ in curve)
            assert late.share_tenth >= late.share_half >= late.share_cycle
            assert late.spread.typical <= late.spread.most <= late.spread.worst
            for part, told_of in ((0.1, late.share_tenth), (0.5, late.share_half), (1.0, late.share_cycle)):
                later = sum(count for by, count in found if by > part * guide.cycle_s)
                assert told_of == pytest.approx(later / max(1, frames))


def test_quantiles_say_which_they_are() -> None:
    told = tonight(rig(CAMERA, SHORT), 6, 0)
    [pair] = told.pairs
    assert [cost.corner for cost in pair.costs] == ["harsh", "likely", "mild"]
    for cost in pair.costs:
        assert 0.0 <= cost.widening <= cost.widening_worst and cost.widening_most <= cost.widening_worst
        assert cost.with_arcsec**2 >= cost.without_arcsec**2 - 2e-4  # phases shift a little with lateness


def test_streams_that_get_all_they_ask_are_not_told() -> None:
    slow = webcam("readout_mb_per_s: 100, use: {mode: video, fps: 1}")
    assert tonight(rig(slow, SHORT), 3, 0).streams == ()
    [full] = tonight(rig(webcam("readout_mb_per_s: 100, use: {mode: video}") + "\n" + DISK, SHORT), 3, 0).streams[:1]
    assert full.flow == "webcam" and full.least < full.asked and full.short_share.typical == pytest.approx(1.0)


@pytest.mark.parametrize("seed", range(12))
def test_a_burst_with_its_links_to_itself_needs_no_clock(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """The short way gives the same night to the last bit as following each of them does."""
    nights = random_nights(seed)
    drawn = [(level, discipline, Draw(seed)) for level in ("low", "likely") for discipline in DISCIPLINES]
    quick = [nights.of(*each) for each in drawn]
    alone = Group.alone
    short: list[float] = []

    def counted(*given: Any) -> float:
        short.append(alone(*given))
        return math.inf

    monkeypatch.setattr(Group, "alone", counted)
    assert [nights.of(*each) for each in drawn] == quick
    assert any(each < math.inf for each in short) or not nights.plan.shooting


# -- one exposure's end -----------------------------------------------------------------------------------------------


def ends(text: str) -> tuple[Study, CloseUp]:
    """A rig and the worst end of an exposure in it."""
    study = Study(rig_of(read_text(text, "rig.yaml")))
    assert study.worst_close_up is not None
    return study, study.worst_close_up


@pytest.mark.parametrize("seed", share(range(60), 20))
def test_a_close_up_has_the_figures_of_the_verdict(seed: int) -> None:
    study = Study(rig_from(random_text(seed)))
    shown = study.worst_close_up
    if shown is None:
        plan = study.nights.plan
        assert not plan.guiding or not any(shot.pictures for shot in plan.shooting)
        return
    delay = study.delay_of(shown.guide)
    assert delay is not None
    harm = [(LOSSES.index(each.lost), each.late_last_s.high) for each in study.delays]
    assert (LOSSES.index(delay.lost), delay.late_last_s.high) == max(harm), "the guide camera that is hit most"
    assert (shown.late_s, shown.lost, shown.always_s) == (delay.late_last_s.high, delay.lost, delay.always_s)
    assert (None if shown.met is None else shown.met[1]) == delay.chance
    loop = next(each for each in study.nights.plan.guiding if each.camera == shown.guide)
    alone = study.nights.casts["low"].alone_s[shown.guide]
    assert shown.from_s < 0 < shown.until_s
    for frame in (*shown.planned, *shown.came):
        assert frame.closes_s - frame.opens_s == pytest.approx(loop.exposure_s)
    assert all(frame.comes_s - frame.closes_s == pytest.approx(alone) for frame in shown.planned)
    assert min(abs(frame.closes_s) for frame in shown.planned) < 1e-6, "one is due as the download begins"
    waits = [frame.comes_s - frame.closes_s - alone for frame in shown.came if frame.comes_s < NEVER]
    assert all(wait >= shown.always_s - 1e-9 for wait in waits)
    if shown.late_s < NEVER:
        [hit] = [frame for frame in shown.came if abs(frame.closes_s) < 1e-6]
        assert hit.comes_s - hit.closes_s - alone == pytest.approx(shown.late_s, abs=1e-6)
        assert hit.lost == (shown.lost != "no")
        assert max(waits) == pytest.approx(shown.late_s, abs=1e-6), "and none is later"


@pytest.mark.parametrize("seed", share(range(40), 8))
def test_no_night_brings_a_later_frame_than_the_close_up(seed: int) -> None:
    study = Study(rig_from(random_text(seed)))
    shown = study.worst_close_up
    if shown is None or shown.late_s == NEVER:
        return
    nights = study.nights
    short = Nights(replace(nights.plan, seconds=min(nights.plan.seconds, 1800.0)), nights.casts)
    for level, discipline in itertools.product(("low", "likely", "high"), DISCIPLINES):
        night = short.of(level, discipline, Draw(seed))
        [took] = [each for each in night.guiding if each.camera == shown.guide]
        whole = [each for each in took.late if each.at_s + each.by_s < short.plan.seconds - 1.0]  # not cut by its end
        assert all(each.by_s <= shown.late_s + 125e-6 for each in whole)


def test_what_is_late_by_so_much_is_as_far_as_the_mount_goes() -> None:
    """At the fastest of the most restless mount: pi x 45 arcsec x its roughness / the shortest period."""
    study, shown = ends(f"{HEAD}{GUIDE}{CAMERA}\n  mount: {{profile: mount-strain-wave-serial, plug: computer/usb2-3}}")
    mount = study.nights.plan.guiding[0].mount
    swing, rougher, period = mount.peak_to_peak_arcsec.high, mount.rougher.high, mount.period_s.low
    assert (shown.camera, shown.guide) == ("main", "guide") and shown.late_s > 0.1 and swing == 45
    assert shown.arcsec == pytest.approx(math.pi * swing * rougher / period * shown.late_s)


def test_downloads_that_start_together_are_shown_together() -> None:
    """48 MB each on one bus: both are through after twice what one takes alone, and then comes the guide frame."""
    more = "\n  other: {role: imaging, width_px: 6000, height_px: 4000, speed: high, plug: computer/usb2-3}"
    study, shown = ends(f"{HEAD}{GUIDE}{CAMERA}{more}")
    cast = study.nights.casts["low"]
    both, fixed = 2 * cast.alone_s["main"], cast.fixed_s["main"]
    [(name, begins, until)] = shown.others
    assert {shown.camera, name} == {"main", "other"} and begins == 0.0
    assert until == pytest.approx(shown.download_s) and until - fixed == pytest.approx(both)
    assert shown.late_s == pytest.approx(both)
    assert shown.opens_s == pytest.approx(shown.download_s + 0.5)


def test_behind_a_full_bus_nothing_comes() -> None:
    stream = webcam("readout_mb_per_s: 100, use: {mode: video}").replace("usb2-2", "usb2-3")
    _, shown = ends(f"{HEAD}{GUIDE}{CAMERA}\n{stream}")
    assert shown.late_s == NEVER and shown.came[0].comes_s == NEVER
    sizes = [size for _, size in shown.error]
    assert max(sizes) - min(sizes) > 0.5  # nothing holds the star


def test_without_sharing_nothing_is_late() -> None:
    text = (f"rig: X\ncomputer: {{ports: {{usb2-1: {{usb2_bus: a}}, usb2-2: {{usb2_bus: b}}}}}}\ndevices:{GUIDE}"
            f"{CAMERA}\n")
    study, shown = ends(text)
    assert (shown.met, shown.late_s, shown.lost) == (None, 0.0, "no")
    assert shown.planned == shown.came
    together = study.device("main").together_s
    assert together is not None and shown.download_s == together.high, "its download is that of the table of cameras"


def test_a_camera_without_pictures_is_shown_where_it_was() -> None:
    """What holds the guide camera up need not take pictures; moved away, the same camera is shown beside it still."""
    text = f"{HEAD}{GUIDE}{CAMERA.replace('imaging', 'other').replace('speed', 'use: {exposure_s: 9}, speed')}\n"
    _, shown = ends(text)
    assert shown.camera == "main" and shown.late_s > 1.0
    apart = Study(rig_of(read_text(text.replace("usb2-2: {usb2_bus: a}", "usb2-2: {usb2_bus: b}"), "rig.yaml")))
    then = apart.close_up(shown.guide, shown.camera)
    assert then is not None and (then.late_s, then.met) == (0.0, None)
    assert apart.worst_close_up is None, "of itself nobody would ask: no pictures, and nothing late"


def test_a_stream_makes_each_frame_late() -> None:
    """A stream takes what it asks for all night: every frame waits, and one waits for the download besides."""
    _, shown = ends(f"{HEAD}{GUIDE}{CAMERA}\n{DISK}")
    alone = min(frame.comes_s - frame.closes_s for frame in shown.planned)
    waits = sorted(frame.comes_s - frame.closes_s - alone for frame in shown.came)
    assert 0.0 < shown.always_s < shown.late_s
    assert waits[:-1] == pytest.approx([shown.always_s] * (len(waits) - 1)) and waits[-1] == pytest.approx(shown.late_s)


def test_no_guide_camera_no_close_up() -> None:
    study = Study(rig_of(read_text(f"{HEAD}\n{CAMERA}\n", "rig.yaml")))
    assert study.worst_close_up is None and study.close_up("main", "main") is None


# -- load of links ----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("seed", range(10))
def test_what_a_link_carries_is_what_its_flows_moved(seed: int) -> None:
    """Mean load over the night times its capacity is the bus time of all bytes; nothing is carried beyond capacity."""
    nights = random_nights(seed)
    plan, cast = nights.plan, nights.casts["likely"]
    short = plan.__class__(600.0, plan.shooting, plan.guiding, plan.copying)
    night = run_night(short, cast, "last", Draw(seed), trace=True)
    loads = {each.link: each for each in loads_of(night, cast, 0.0, 600.0, 40)}
    moved = {each.flow: each.bytes for each in night.streams}
    for link, load in loads.items():
        users = [(flow, use) for flow in cast.flows for use in flow.uses if use.resource == link]
        if users and all(flow.steady for flow, _ in users):
            carried = math.fsum(load.mean) / 40 * 600.0 * cast.capacities[link]
            expected = math.fsum(moved[flow.name] * use.seconds_per_byte for flow, use in users)
            assert carried == pytest.approx(expected, rel=1e-6)
    for each in loads.values():
        assert max(each.peak) <= 1.0 + 1e-9
        assert all(mean <= peak + 1e-9 for mean, peak in zip(each.mean, each.peak, strict=True))


# -- the same answer every time ---------------------------------------------------------------------------------------


@pytest.mark.parametrize("options", [(), ("--json",)], ids=["text", "json"])
def test_the_same_seed_gives_the_same_bytes_under_any_hash_seed(options: tuple[str, ...]) -> None:
    def run(hash_seed: str, seed: str) -> bytes:
        environ = {**os.environ, "PYTHONHASHSEED": hash_seed, "TOPO_PROFILES": os.devnull}
        command = [sys.executable, "-m", "topo", "night", "examples/behind-the-camera/rig.yaml", "--nights", "3",
                   "--seed", seed, *options]
        return subprocess.run(command, cwd=ROOT, env=environ, capture_output=True, check=True).stdout

    assert run("1", "5") == run("4711", "5")
    assert run("1", "5") != run("1", "6")


@pytest.mark.parametrize("seed", range(30))
def test_what_is_late_within_a_span_is_found_by_looking_everywhere(seed: int) -> None:
    nights = random_nights(seed)
    night = run_night(replace(nights.plan, seconds=1800.0), nights.casts["low"], "last", Draw(seed))
    dice = Random(seed)
    for guide in night.guiding:
        assert list(guide.late) == sorted(guide.late, key=lambda each: each.at_s)
        for _ in range(50):
            low = dice.uniform(0, 1800)
            high = low + dice.choice((0.1, 3.0, 200.0))
            everywhere = tuple(each for each in guide.late if each.at_s < high and each.ends_s > low)
            assert guide.late_within(low, high) == everywhere


def test_a_night_of_very_short_exposures_is_cut_short_and_says_so() -> None:
    short = CAMERA.replace("plug", "use: {exposure_s: 0.0001}, plug").replace("6000", "60").replace("4000", "40")
    plan = rig(short).plan
    assert plan.seconds < 120 and any("stand for the night" in words for words in plan.assumed)
    assert rig(CAMERA).plan.seconds == 8 * 3600
