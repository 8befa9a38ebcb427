"""USB captures: every link type, byte order and file form, by bytes put together from the published layouts.

The recorded capture of another machine is held against the figures an independent reader found in it.
"""

from __future__ import annotations

import itertools
import json
import struct
from pathlib import Path

import pytest

from tests.evidence.captures import Packet, enhanced, interface, pcap, pcapng, reads, section, statistics
from topo.evidence.capture import blocks, frames
from topo.evidence.capture.reader import read, recognises
from topo.model.evidence import Arrival, ClockStep, FrameData, Handed, Reading, Transfers

SHARED = Path(__file__).resolve().parents[3] / "shared" / "recordings"
START = 1_700_000_000_000_000


def reading(tmp_path: Path, data: bytes) -> Reading:
    path = tmp_path / "made.pcapng"
    path.write_bytes(data)
    assert recognises(data[:65536])
    with path.open("rb") as file:
        return read(file, Handed("made"))


def endpoint(of: Reading, number: int) -> Transfers:
    return next(each for each in of.transfers if each.endpoint == number)


def bursts(of: Reading) -> list[FrameData]:
    return [each for each in of.events if isinstance(each, FrameData)]


FRAMES = [p for n in range(6) for p in reads(START + n * 200_000, [16384] * 3 + [1024], 16384, ident=100 + 10 * n)]


@pytest.mark.parametrize("order", ["<", ">"])
@pytest.mark.parametrize("link", [189, 220])
@pytest.mark.parametrize("form", ["pcap", "pcapng", "nano"])
def test_every_form_of_file_gives_the_same(tmp_path: Path, order: str, link: int, form: str) -> None:
    data = pcapng(FRAMES, order, link) if form == "pcapng" else pcap(FRAMES, link, order, form == "nano")
    got = reading(tmp_path, data)
    one = endpoint(got, 0x81)
    assert (one.submissions, one.completions) == (24, 24)
    assert one.size_bytes == 6 * (3 * 16384 + 1024)
    assert [(b.size_bytes, b.reads, b.by_short) for b in bursts(got)] == [(50176, 4, True)] * 6
    starts = [b.at.seconds for b in bursts(got)]
    assert [round(b - a, 6) for a, b in itertools.pairwise(starts)] == [0.2] * 5
    assert one.latency_median_s == pytest.approx(0.000299, abs=5e-5)


def test_the_other_systems_captures(tmp_path: Path) -> None:
    packets = []
    for n in range(6):
        for k, size in enumerate((8192, 8192, 700)):
            at = START + n * 200_000 + k * 400
            packets += [
                Packet(at, "S", 50 + k, bus=1, device=7),
                Packet(at + 390, "C", 50 + k, bus=1, device=7, length=size, data=b"\0" * size),
            ]
        packets += [
            Packet(at + 5000, "S", 90, endpoint=2, device=7, data=b"go"),
            Packet(at + 5100, "C", 90, endpoint=2, device=7),
        ]
    for order in "<>":
        got = reading(tmp_path, pcapng(packets, order, 249))
        assert endpoint(got, 0x81).size_bytes == 6 * (8192 * 2 + 700)
        assert endpoint(got, 2).size_bytes == 12
        assert [b.size_bytes for b in bursts(got)] == [17084] * 6


def test_a_stall_and_a_cancel_are_told_apart(tmp_path: Path) -> None:
    packets = [
        *FRAMES,
        Packet(START + 2_000_000, "S", 900, length=512),
        Packet(START + 2_100_000, "C", 900, status=-32),
        Packet(START + 2_200_000, "S", 901, length=512),
        Packet(START + 2_300_000, "C", 901, status=-2),
        Packet(START + 2_400_000, "S", 902, length=512),
        Packet(START + 2_500_000, "E", 902, status=-28),
    ]
    one = endpoint(reading(tmp_path, pcapng(packets)), 0x81)
    assert (one.errors, one.cancelled) == (2, 1)
    assert dict(one.statuses) == {0: 24, -32: 1, -2: 1, -28: 1}


def test_isochronous_packets_are_added_up_and_their_errors_seen(tmp_path: Path) -> None:
    packets = []
    for n in range(40):
        iso = tuple((0 if n else -71, 3072 * k, 1000) for k in range(8))
        packets += [
            Packet(START + n * 1000, "S", 7, kind="iso", endpoint=0x82, length=24576),
            Packet(START + n * 1000 + 900, "C", 7, kind="iso", endpoint=0x82, length=24576, iso=iso),
        ]
    one = endpoint(reading(tmp_path, pcapng(packets)), 0x82)
    assert (one.size_bytes, one.errors) == (40 * 8000, 1)


def test_a_descriptor_names_the_device(tmp_path: Path) -> None:
    descriptor = bytes([18, 1, 0, 2, 0, 0, 0, 64]) + struct.pack("<HHH", 0x3333, 0x1201, 0x100) + bytes(4)
    packets = [
        Packet(START, "S", 1, kind="control", endpoint=0x80, length=18),
        Packet(START + 50, "C", 1, kind="control", endpoint=0x80, length=18, data=descriptor),
        *FRAMES,
    ]
    got = reading(tmp_path, pcapng(packets))
    assert {(t.vendor_id, t.product_id) for t in got.transfers} == {("3333", "1201")}


def test_several_interfaces_that_saw_the_same_count_once(tmp_path: Path) -> None:
    both = [p for each in FRAMES for p in (each, Packet(**{**vars(each), "face": 1}))]
    got = reading(tmp_path, pcapng(both, faces=2))
    assert endpoint(got, 0x81).completions == 24
    assert len(bursts(got)) == 6


def test_interfaces_of_different_buses_and_resolutions(tmp_path: Path) -> None:
    other = [Packet(**{**vars(each), "bus": 2, "face": 1}) for each in FRAMES]
    data = section() + interface(resolution=6) + interface(resolution=0x94, offset=100)
    for mine, theirs in zip(FRAMES, other, strict=True):
        data += enhanced(mine) + enhanced(theirs, ticks_per_s=2.0**20)
    got = reading(tmp_path, data)
    assert [t.device for t in got.transfers] == ["1.5", "2.5"]
    first, second = got.transfers
    assert second.first_s - first.first_s == pytest.approx(100.0, abs=1e-5)


def test_a_second_section_in_the_other_byte_order(tmp_path: Path) -> None:
    later = [Packet(**{**vars(each), "at_us": each.at_us + 5_000_000}) for each in FRAMES]
    got = reading(tmp_path, pcapng(FRAMES) + pcapng(later, ">"))
    assert endpoint(got, 0x81).completions == 48
    assert len(bursts(got)) == 12


def test_cut_files_and_cut_packets(tmp_path: Path) -> None:
    whole = pcapng(FRAMES)
    for cut in (1, 13, 40, 100):
        got = reading(tmp_path, whole[:-cut])
        assert any("cut off" in told for told in got.skipped), cut
        assert endpoint(got, 0x81).completions == (23 if cut == 100 else 24)  # the last header is whole or not
    got = reading(tmp_path, pcap(FRAMES, snap=80))
    assert endpoint(got, 0x81).size_bytes == 6 * 50176
    assert any("cut short" in told for told in got.skipped)


def test_what_was_lost_is_said(tmp_path: Path) -> None:
    got = reading(tmp_path, pcapng(FRAMES) + statistics("<", 48, 17))
    assert any("17 packets were lost" in told for told in got.skipped)


def test_a_clock_that_goes_back_is_seen(tmp_path: Path) -> None:
    later = [Packet(**{**vars(each), "at_us": each.at_us - 3_000_000}) for each in FRAMES]
    got = reading(tmp_path, pcapng([*FRAMES, *later]))
    steps = [each.seconds for each in got.events if isinstance(each, ClockStep)]
    assert steps == [pytest.approx(-4.001, abs=0.01)]


def test_who_else_was_on_the_wire(tmp_path: Path) -> None:
    small = [
        p for n in range(6) for p in reads(START + n * 200_000 + 100, [4096, 100], 4096, ident=5000 + n * 9, device=6)
    ]
    small = [p for p in small if p.at_us < START + 600_000]
    mixed = sorted([*FRAMES, *small], key=lambda each: each.at_us)
    got = bursts(reading(tmp_path, pcapng(mixed)))
    assert [b.others_bytes > 0 for b in got if b.device == "1.5"] == [True] * 3 + [False] * 3


def test_a_device_that_comes_later(tmp_path: Path) -> None:
    late = [Packet(**{**vars(each), "at_us": each.at_us + 60_000_000, "device": 9}) for each in FRAMES]
    (came,) = [each for each in reading(tmp_path, pcapng([*FRAMES, *late])).events if isinstance(each, Arrival)]
    assert (came.path, came.number) == ("1.9", 9)


def test_the_short_way_and_the_long_way_agree(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Windows of the smallest size, and no short way at all, give what the ordinary reading gives."""
    mixed = sorted(
        [
            *FRAMES,
            *reads(START, [4096, 0, 100] * 5, 4096, ident=7000, device=6, kind="interrupt"),
            Packet(START + 7, "S", 1, kind="control", endpoint=0),
            Packet(START + 900, "C", 1, kind="control", endpoint=0),
        ],
        key=lambda p: p.at_us,
    )
    data = pcapng(mixed)
    plain = reading(tmp_path, data)
    monkeypatch.setattr(blocks, "WINDOW", 4096)
    assert reading(tmp_path, data) == plain
    monkeypatch.setattr(blocks._Faces, "use", lambda *_: None)
    assert reading(tmp_path, data) == plain


def test_memory_has_an_end_and_replies_give_way_to_pictures(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """With room for 30 frames, replies of an adapter go; the camera's frames stay, and the sums are whole."""
    monkeypatch.setattr(frames, "MOST_FRAMES", 30)
    packets: list[Packet] = []
    for n in range(20):
        packets += reads(START + n * 200_000, [16384] * 3 + [1024], 16384, ident=100 + 10 * n)
        for m in range(3):
            at = START + n * 200_000 + 100_000 + m * 20_000
            packets += reads(at, [1514], 16384, ident=5000 + 10 * n + m, device=6)
    found = reading(tmp_path, pcapng(packets))
    assert {each.device for each in bursts(found)} == {"1.5"} and len(bursts(found)) == 20
    sums = {each.device: each.size_bytes for each in found.transfers}
    assert sums == {"1.5": 20 * (3 * 16384 + 1024), "1.6": 60 * 1514}
    assert "60 frames are only in the sums" in " ".join(found.skipped)
    alone = [p for p in packets if p.device == 5]
    monkeypatch.setattr(frames, "MOST_FRAMES", 8)
    assert len(bursts(reading(tmp_path, pcapng(alone)))) == 9


def test_what_is_no_usb(tmp_path: Path) -> None:
    with pytest.raises(ValueError, match="link type 1, which is no USB"):
        reading(tmp_path, section() + interface(link=1))
    with pytest.raises(ValueError, match="no packet"):
        reading(tmp_path, pcap([]))


def test_the_capture_of_another_machine() -> None:
    path = SHARED / "imager-bulk.pcapng"
    if not path.exists():
        pytest.skip("the recordings of other machines are not beside this checkout")
    wanted = json.loads((SHARED / "imager-bulk.expected.json").read_text(encoding="utf-8"))
    with path.open("rb") as file:
        got = read(file, Handed("imager"))
    assert not got.skipped
    assert sum(t.submissions + t.completions for t in got.transfers) == wanted["packets"]
    assert sum(t.completions for t in got.transfers) == wanted["total_completions"]
    assert sum(t.size_bytes for t in got.transfers) == wanted["total_payload_bytes"]
    ends = {"control": "", "IN": "IN", "OUT": "OUT"}
    for name, one in wanted["endpoints"].items():
        key = f"{one['bus']}.{one['device']}"
        number = one["endpoint_number"] | (0x80 if one["direction"] == "IN" else 0)
        mine = next(t for t in got.transfers if (t.device, t.endpoint) == (key, number))
        assert name.endswith(ends[one["direction"]])
        assert (mine.submissions, mine.completions, mine.size_bytes) == (
            one["submissions"], one["completions"], one["payload_bytes"])
        assert {str(status): count for status, count in mine.statuses} == one["status_counts"]
        assert mine.errors + mine.cancelled == one["errors"]
        assert mine.first_s == pytest.approx(float(one["first_ts"]), abs=1e-6)
    frames = bursts(got)
    assert [b.size_bytes for b in frames] == [32512] * 52
    gaps = [(b.at.seconds - a.at.seconds) * 1000 for a, b in itertools.pairwise(frames)]
    assert min(gaps) > 66 and max(gaps) < 69
