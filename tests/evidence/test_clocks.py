"""One clock: offsets from what two files saw, their uncertainty, and what must not be joined.

Figures of medians, ranges and one-sided delays are worked out; the comb is the trap of strictly periodic series.
"""

from __future__ import annotations

import io
import math
import random

import pytest

from tests.evidence.captures import Packet, pcapng, reads
from topo.evidence.capture.reader import read as read_capture
from topo.evidence.clocks import join, offset_of, series_offset
from topo.evidence.kernel.reader import read as read_log
from topo.evidence.open import Source
from topo.evidence.tables.reader import read as read_table
from topo.evidence.watchlog import reading_of
from topo.model.evidence import ClockSpan, FrameTime, Handed, Moment, Reading
from topo.model.watchnote import WATCH_FORMAT, Note, WatchLog

WALL = 1_795_550_000.0


def log(text: str, name: str = "kernel.log") -> Source:
    return Source(name, "kernel-log", read_log(io.BytesIO(text.encode()), Handed(name, WALL)))


def table(text: str, name: str = "table.csv") -> Source:
    return Source(name, "table", read_table(io.BytesIO(text.encode()), Handed(name)))


def test_pairs_with_a_one_sided_delay_give_the_least_difference() -> None:
    rng = random.Random(5)
    pairs = [(t, t + 12.5 + rng.expovariate(5)) for t in range(0, 400, 10)]
    found = offset_of([(float(a), b) for a, b in pairs])
    assert found is not None and found.matches == 40
    assert abs(found.offset_s - 12.5) < 0.02 and found.give_s < 1.5


def test_one_pair_is_unchecked_and_contradictions_join_nothing() -> None:
    one = offset_of([(10.0, 22.0)])
    assert one is not None and "unchecked" in one.how and one.give_s >= 3
    assert offset_of([(0.0, 5.0), (10.0, 300.0), (20.0, -90.0)]) is None
    odd_one_out = offset_of([(0.0, 5.0), (10.0, 15.2), (20.0, 25.1), (30.0, 900.0)])
    assert odd_one_out is not None and odd_one_out.matches == 3


def test_a_strict_comb_fits_nowhere_and_an_uneven_series_once() -> None:
    comb = [n * 120.0 for n in range(60)]
    assert series_offset(comb[10:30], comb, 1.0) is None
    rng, uneven, at = random.Random(6), [], 0.0
    for _ in range(60):
        at += 120 + rng.random() * 30
        uneven.append(at)
    found = series_offset([t - 7.0 for t in uneven[10:30]], uneven, 1.0)
    assert found is not None and abs(found.offset_s - 7.0) < 0.05
    back = series_offset(uneven, [t - 7.0 for t in uneven[10:30]], 1.0)
    assert back is not None and abs(back.offset_s + 7.0) < 0.05


def test_a_capture_and_a_log_are_joined_by_devices_that_came() -> None:
    packets: list[Packet] = reads(round(WALL * 1e6), [4096] * 4, 4096, device=2)
    lines = []
    for n, after in enumerate((100, 250, 380)):
        packets += reads(round((WALL + after) * 1e6), [4096] * 4, 4096, ident=2000 + n * 50, device=7 + n)
        lines.append(f"[{5000 + after - 0.004:12.6f}] usb 1-1: new high-speed USB device number {7 + n} using xhci_hcd")
    captured = Source("night.pcapng", "usb-capture", _capture(pcapng(packets)))
    axis = join((captured, log("\n".join(lines))), {}, None)
    placed = axis.placed[(1, "boot-1")]
    assert placed.offset_s == pytest.approx(WALL - 5000, abs=0.02) and placed.matches == 3
    assert placed.give_s < 1.5


def _capture(data: bytes) -> Reading:
    import tempfile

    with tempfile.TemporaryFile() as file:
        file.write(data)
        file.seek(0)
        return read_capture(file, Handed("made"))


def test_a_watch_places_the_kernels_log_of_its_boot() -> None:
    notes = [Note("start", "2026-11-24T22:00:00.000+01:00", 1000.0, format=WATCH_FORMAT, every_s=2.0)]
    lines = []
    for n, at in enumerate((1500.0, 1700.0, 2100.0)):
        minutes, seconds = divmod(at + 1.5 - 1000.0, 60)
        notes.append(
            Note(
                "dropped",
                f"2026-11-24T22:{int(minutes):02}:{seconds:06.3f}+01:00",
                at + 1.5,
                device="1-1",
                devnum=5 + n,
            )
        )
        lines.append(f"[{at:12.6f}] usb 1-1: USB disconnect, device number {5 + n}")
    axis = join((Source("w", "watch-log", reading_of(WatchLog(tuple(notes)))), log("\n".join(lines))), {}, None)
    assert axis.kind == "utc" and axis.zone_s == 3600
    start = 1_795_554_000.0  # 2026-11-24 21:00 UTC
    assert axis.placed[(1, "boot-1")].offset_s == pytest.approx(start - 1000 + 1.5, abs=0.01)
    assert axis.placed[(1, "boot-1")].give_s >= 0.9


def test_what_nothing_joins_is_held_against_nothing() -> None:
    axis = join(
        (
            table(f"time,exposure\n{WALL},120\n{WALL + 130},120\n"),
            log("[  5.000000] usb 1-1: USB disconnect, device number 2"),
        ),
        {},
        None,
    )
    assert math.isinf(axis.placed[(1, "boot-1")].give_s)
    declared = join((log("[  5.000000] usb 1-1: USB disconnect, device number 2"),), {"kernel.log": WALL}, None)
    assert declared.placed[(0, "boot-1")].give_s == 1.0


def test_local_times_need_a_zone_where_others_are_utc() -> None:
    local = table("time,exposure\n2026-11-24 22:00:00,120\n2026-11-24 22:02:10,120\n")
    utc = table(f"time,exposure\n{WALL:.1f},120\n{WALL + 130:.1f},120\n", "other.csv")
    assert math.isinf(join((local, utc), {}, None).placed[(0, "local")].give_s)
    assert join((local, utc), {}, 3600.0).placed[(0, "local")].offset_s == -3600
    assert join((local,), {}, None).kind == "local"


def test_a_zone_written_as_utc_is_named_and_not_mended() -> None:
    rng, at, packets, frames = random.Random(8), WALL, [], []
    for n in range(8):
        at += 100 + rng.random() * 40
        packets += reads(round(at * 1e6), [65536] * 10, 65536, ident=3000 + n * 20)
        frames.append(FrameTime(Moment(at - 90 + 3600, "utc"), 90.0, Moment(at + 0.4 + 3600, "utc")))
    wrong = Reading("table of frames", (ClockSpan("utc", "utc", WALL + 3600, at + 3700),), events=tuple(frames))
    axis = join((Source("c.pcapng", "", _capture(pcapng(packets))), Source("frames.csv", "", wrong)), {}, None)
    assert math.isinf(axis.placed[(1, "utc")].give_s)
    assert any("-60 min off" in note for note in axis.notes)


def test_a_wall_clock_that_steps_is_known_worse_before() -> None:
    text = "".join(f"2026-11-24T21:00:{s:02}Z,0.1,0.2\n" for s in (10, 12, 14, 4, 6, 8))
    source = table("time,ra,dec\n" + text)
    assert join((source,), {}, None).placed[(0, "utc")].give_s >= 10
