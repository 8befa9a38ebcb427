"""Whatever a scan says, comparing ends and raises nothing: random sightings, wrong parents, deep chains."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.compare.pieces import COMPUTER, study_of
from topo.model.sighting import (
    Holder,
    Holding,
    HostController,
    HubPort,
    Scan,
    SerialPort,
    Sighting,
    Sleep,
    SleepSetting,
    device_id,
    parent_id,
)
from topo.pipeline import compare_study
from topo.report.compared import comparison_lines, live_report_lines
from topo.report.compared_json import comparison_json
from topo.report.lines import text_of

RIG = COMPUTER + """\
hubs:
  hub: {speed: super, ports: 7, plug: computer/usb3-1}
devices:
  camera: {role: imaging, width_px: 100, height_px: 100, speed: super, hub_ports: 2, plug: hub/1}
  guide: {role: guiding, width_px: 100, height_px: 100, speed: high, plug: camera/usb2-1, cable: {active: true}}
  wheel: {role: filter-wheel, interface: hid, plug: hub/3, must_not_sleep: true}
  mount: {role: mount, interface: serial, plug: hub/4, identity: {vendor_id: f1a0, product_id: '0001', serial: A},
          serial: {baud: 9600, polls_per_s: 1, bytes_in: 10}, opens: /dev/ttyUSB0}
"""
STUDY = study_of(RIG)

numbers = st.one_of(st.none(), st.sampled_from([0, 1, 2, 127, 2**53, -1]))
speeds = st.one_of(st.none(), st.sampled_from([1.5, 12.0, 480.0, 5000.0, 10000.0, 20000.0, 0.0, -1.0, 2.0**53]))
texts = st.one_of(st.none(), st.sampled_from(["", "f1a0", "F1A0", "0001", "A", "\x1b[0m", "x" * 300]))


@st.composite
def sightings(draw: st.DrawFn) -> Sighting:
    bus = draw(st.sampled_from([1, 2, 3]))
    chain = tuple(draw(st.lists(st.integers(1, 5), max_size=4)))
    asleep = Sleep(draw(st.sampled_from([None, "auto", "on", "?"])), None, draw(numbers), draw(numbers), draw(numbers))
    return Sighting(
        id=device_id(bus, chain), bus=bus, ports=chain,
        parent=draw(st.sampled_from([parent_id(bus, chain), None, "?"])),
        controller=draw(st.sampled_from([None, "a", "b"])), devnum=draw(numbers), speed_mbit=draw(speeds),
        vendor_id=draw(texts), product_id=draw(texts), serial=draw(texts), product=draw(texts),
        usb_version=draw(st.sampled_from([None, 2.0, 2.1, 3.2])), usb_class=draw(st.sampled_from([None, 0, 9, 3, 8])),
        protocol=draw(st.sampled_from([None, 0, 1, 2, 3])), max_power_ma=draw(numbers), max_child=draw(numbers),
        self_powered=draw(st.sampled_from([None, True, False])), container_id=draw(st.sampled_from([None, "c", "d"])),
        could_mbit=draw(st.sampled_from([(), (480.0,), (480.0, 5000.0)])),
        sleep=asleep,
    )


@st.composite
def scans(draw: st.DrawFn) -> Scan:
    found = {seen.id: seen for seen in draw(st.lists(sightings(), max_size=12))}
    ids = [*found, "?"]
    keys = st.tuples(st.sampled_from(ids), st.integers(0, 6))
    ports = tuple(
        HubPort(hub, number, over_current_count=draw(numbers), peer=draw(st.one_of(st.none(), keys)))
        for hub, number in draw(st.lists(keys, max_size=6))
    )
    links = st.lists(st.sampled_from(["/dev/serial/by-id/x", "/dev/serial/by-path/\x1b", "/dev/mine"]), max_size=3)
    serial = tuple(draw(serial_ports(ids, links)) for _ in range(draw(st.integers(0, 3))))
    return Scan("", draw(st.sampled_from(["linux", "windows", "macos", "?"])), None, "fuzz",
                (HostController("a", (1, 2)),), tuple(found.values()), ports, serial,
                usbfs_memory_mb=draw(numbers), low_volts=draw(st.sampled_from([None, True, False])),
                holding=draw(st.one_of(st.none(), holdings())),
                sleep_setting=draw(st.one_of(st.none(), sleep_settings())), problems=("could not read \x1b",))


def serial_ports(ids: list[str], links: st.SearchStrategy[list[str]]) -> st.SearchStrategy[SerialPort]:
    yes_no = st.sampled_from([None, True, False])
    return st.builds(
        SerialPort, st.sampled_from(["tty\x1b", "/dev/ttyUSB0", "COM3"]), st.sampled_from(ids), numbers, texts, numbers,
        numbers, links.map(tuple), st.booleans(), links.map(tuple), texts, numbers, yes_no, yes_no)


def holdings() -> st.SearchStrategy[Holding]:
    how = st.sampled_from(["open", "lock", "lock-file"])
    holders = st.builds(Holder, st.sampled_from(["/dev/ttyUSB0", "\x1b"]), how, texts, numbers, st.booleans())
    services = st.lists(st.sampled_from(["ModemManager", "gpsd", "\x1b"]), max_size=2).map(tuple)
    return st.builds(Holding, st.booleans(), st.lists(holders, max_size=4).map(tuple), services, st.booleans())


def sleep_settings() -> st.SearchStrategy[SleepSetting]:
    return st.builds(SleepSetting, numbers, numbers, st.sampled_from([None, True, False]))


@pytest.mark.slow
@given(scans())
@settings(max_examples=300, deadline=None)
def test_every_scan_gives_an_answer(scan: Scan) -> None:
    compared = compare_study(STUDY, scan)
    assert not compared.report.troubles
    comparison = compared.comparison
    names = [*(match.part for match in comparison.matches), *comparison.missing, *comparison.unseen]
    assert sorted(names) == ["camera", "guide", "hub", "mount", "wheel"]
    keys = [thing.key for match in comparison.matches for thing in match.things]
    keys += [thing.key for thing in comparison.unexpected]
    assert sorted(keys) == sorted(thing.key for thing in comparison.live.things)
    comparison_json(compared)
    for lines in (comparison_lines(compared), live_report_lines(compared)):
        assert "\x1b" not in "".join(map(text_of, lines))


@pytest.mark.parametrize("depth", [5, 40, 1500])
def test_a_chain_deeper_than_usb_allows(depth: int) -> None:
    chain = [Sighting(id=device_id(1, ()), bus=1, ports=(), speed_mbit=480.0, usb_class=9)]
    for length in range(1, depth):
        ports = (1,) * length
        chain.append(Sighting(id=device_id(1, ports), bus=1, ports=ports, parent=parent_id(1, ports),
                              speed_mbit=480.0, usb_class=9, max_child=4, max_power_ma=100, self_powered=False))
    compared = compare_study(STUDY, Scan("", "linux", None, "made up", (), tuple(chain)))
    assert not compared.report.troubles
