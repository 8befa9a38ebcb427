"""Packs: nothing planted gets out, findings stay the same, and the folder is whole or not there."""

from __future__ import annotations

import os
import re
from pathlib import Path

import pytest
from click.testing import CliRunner
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.draw.rigs import EXAMPLES, NoProfiles, hostile, rig_file, rig_text
from tests.report.large_rigs import PIER, fifteen
from topo.analysis.study import Study
from topo.cli import pack as pack_command
from topo.errors import CommandError
from topo.live import store
from topo.live.notes import line_of
from topo.model.facts import Fact
from topo.model.rig import CopyPlan, RemoteDesktop
from topo.model.sighting import Holder, Holding, HostController, HubPort, Interface, Scan, SerialPort, Sighting
from topo.model.watchnote import WATCH_FORMAT, Note
from topo.pack import folder
from topo.pack.contents import Contents, differences
from topo.pack.markdown import marked, post_markdown
from topo.pack.post import post
from topo.pack.redact import Tags, redacted
from topo.pack.removed import REMOVED_KINDS, Removed
from topo.pack.text import post_text
from topo.pipeline import check_file, examine_text, pack_of, report_of
from topo.report.compose import Report
from topo.wiring.resolve import resolve

PLANTS = {
    "serial": "SN4711XQ99", "user": "annakarenina", "host": "zirkonbox", "home": "homezannakarenina",
    "network": "Quasinet5G", "place": "Wolkenkuckucksheim", "address": "192.168.77.31", "mac": "aa:bb:cc:77:88:99",
}
"""Made-up private things, none of which is part of a word the tool uses."""


def report(text: str) -> Report:
    return report_of(Study(resolve(rig_file(text), NoProfiles())))


def packed(text: str, **options: str) -> Contents:
    return pack_of(rig_file(text), **options)


def scan_of(plants: list[str]) -> Scan:
    """A scan with a plant wherever a text may stand."""
    p = (plants * 20).__iter__()
    return Scan(
        when=next(p), system=next(p), kernel=f"6.1.0-{next(p)}", scanner=next(p), problems=(next(p), next(p)),
        controllers=(HostController(plants[0], (1,), "8086", "a36d", next(p)),),
        sightings=(
            Sighting("usb1", 1, (), controller=plants[0], manufacturer=next(p), product=next(p), serial=next(p)),
            Sighting("1-2", 1, (2,), "usb1", plants[0], 7, 480, vendor_id="abcd", product_id="0123", serial=next(p),
                     manufacturer=next(p), product=next(p), container_id=next(p), removable=next(p),
                     interfaces=(Interface(0, 0, True, 255, 0, 0, driver=next(p)),)),
            Sighting("1-3", 1, (3,), "usb1", vendor_id="dead", product_id="beef", product=next(p), serial="none"),
        ),
        ports=(HubPort("usb1", 2, next(p), 0, next(p), device="1-2"),),
        serial_ports=(
            SerialPort(f"/dev/serial/by-id/{next(p)}", "1-2", 0, next(p)),
            SerialPort("/dev/ttyUSB0", "1-3", links=(f"/dev/serial/by-id/usb-{next(p)}", f"/dev/{next(p)}"),
                       shared=(f"/dev/{next(p)}",), group=next(p), mode=0o660),
        ),
        holding=Holding(
            True, (Holder("/dev/ttyUSB9", "open", next(p), 4711), Holder(f"/dev/{next(p)}", "lock", next(p))),
            (next(p),)),
    )


@given(st.permutations(sorted(PLANTS.values())), st.lists(hostile, min_size=2, max_size=2, unique=True))
@settings(max_examples=12, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_nothing_planted_reaches_any_file(tmp_path_factory: pytest.TempPathFactory, plants: list[str],
                                          odd: list[str]) -> None:
    a, b, c, d, e, f, g, h = plants
    text = f"# {a} {b}\n" + rig_text(
        hub=f"{a}-hub", camera=f"{odd[0][:30]} {b}", guide=f"guide {c}", mount=d.replace("/", ""), title=f"{e} {f}",
        supply=f"{g}-supply", port=f"usb3-{h[:20]}", controller=f"{a}.ctl", note=f"{b} at {c}", serial=d,
        lead=f"to {e}")
    room = tmp_path_factory.mktemp("in")
    scan, watch = room / "scan.json", room / "watch.log"
    store.save(scan_of(plants), scan)
    notes = (Note("start", b, 100.0, c, format=WATCH_FORMAT, scanner=d, system=e, kernel=f),
             Note("dropped", b, 160.0, c, device=g, name=f"{a}-hub"), Note("dropped", b, 161.0, c, name=h),
             Note("together", b, 162.0, c, common=(d,), common_name=f"guide {c}"))
    watch.write_text("".join(map(line_of, notes)) + f"{d} {e}\n")
    made = packed(text, scan=str(scan), watch=str(watch))
    assert set(made.files) == {"rig.yaml", "scan.json", "advice.svg", "diagram.png", "diagram.svg", "guiding.svg",
                               "post.txt", "post.md", "removed.txt"}
    for name, data in made.files.items():
        shown = data.decode("utf-8", "replace").lower()
        for plant in plants:
            assert plant.lower() not in shown, f"{plant} in {name}"
        assert str(room).lower() not in shown
    assert made.warnings == ()
    assert "something not of the rig dropped: once, 1 min after the start" in made.files["post.txt"].decode()
    assert "serial numbers, replaced by tags" in made.files["removed.txt"].decode()


@given(st.lists(hostile, min_size=8, max_size=8, unique=True))
@settings(max_examples=25, deadline=None)
def test_findings_stay_the_same_under_any_names(eight: list[str]) -> None:
    hub, camera, guide, mount, title, supply, port, controller = eight
    text = rig_text(hub, camera, guide, mount, title, supply, port, controller)
    before = report(text)
    hidden = redacted(rig_file(text), NoProfiles().profile, lambda name: False, Tags(b"s" * 16), Removed())
    after = examine_text(hidden.text)

    def told(found: Report, names: dict[str, str]) -> list[tuple[object, ...]]:
        return sorted((f.name, f.severity, f.certainty, names.get(f.part, f.part),
                       tuple((x.name, str(x.value), x.unit) for x in f.figures if not isinstance(x.value, str)))
                      for f in found.findings)

    assert told(before, dict(hidden.parts)) == told(after, {})
    assert differences(before.findings, after.findings) == ()


def test_what_is_planned_for_the_night_stays_under_new_names() -> None:
    text = ("rig: X\ncomputer: {}\ndevices: {quasinet: {role: network, use: {mb_per_s: 9}, plug: computer/usb3-1}}\n"
            "night: {hours: 6.5, overlapped: true, note: at Wolkenkuckucksheim, copying: {quasinet: {for_s: 9, "
            "every_s: 90}}, remote_desktop: {through: quasinet, mb_per_s: 2}}\n")
    hidden = redacted(rig_file(text), NoProfiles().profile, lambda name: False, Tags(b"s" * 16), Removed())
    assert "quasinet" not in hidden.text and "Wolken" not in hidden.text
    night = resolve(rig_file(hidden.text), NoProfiles()).night
    new = hidden.parts["quasinet"]
    assert (night.facts.hours, night.facts.overlapped) == (Fact(6.5, "declared"), Fact(True, "declared"))
    assert night.copying == (CopyPlan(new, None, 9.0, 90.0),) and night.remote == RemoteDesktop(new, 2.0)


@pytest.mark.parametrize("file", sorted(EXAMPLES.glob("*/rig.yaml")), ids=lambda file: file.parent.name)
def test_examples_pack_and_check_again_the_same(file: Path, tmp_path: Path) -> None:
    out = tmp_path / "pack"
    done = CliRunner().invoke(pack_command.command, [str(file), "-o", str(out)])
    assert done.exit_code == 0, done.output
    before, after = check_file(file), check_file(out / "rig.yaml")
    assert [(f.name, f.severity, f.certainty) for f in before.findings] == [
        (f.name, f.severity, f.certainty) for f in after.findings]
    assert before.study.links == () or [link.load_peak for link in before.study.links] == [
        link.load_peak for link in after.study.links]
    assert (out / "diagram.png").stat().st_size < 400_000
    text = (out / "post.txt").read_text()
    assert all(len(line) <= 80 for line in text.splitlines())
    assert len(text.splitlines()) <= 60
    assert text.startswith("Question:") and text.count("[ ]") == 6
    assert len(re.findall(r"^\d\. ", text, re.M)) <= 5
    assert before.study.rig.name not in text and "own-profile" not in text


def test_serials_keep_equality_within_a_pack_and_not_across() -> None:
    one, other = Tags(b"a" * 16), Tags(b"b" * 16)
    assert one("x") == one("x") != one("y") and one("x") != other("x")
    first, second = (packed(rig_text(serial="S1")).files["rig.yaml"] for _ in range(2))
    assert first != second
    assert re.sub(rb"tag-\w+", b"", first) == re.sub(rb"tag-\w+", b"", second)


def test_tags_agree_between_rig_and_scan(tmp_path: Path) -> None:
    scan = tmp_path / "scan.json"
    store.save(Scan("", "Linux", "6.1.0", "sysfs", sightings=(
        Sighting("usb1", 1, ()), Sighting("1-1", 1, (1,), "usb1", vendor_id="abcd", product_id="0123", serial="S1"),
        Sighting("1-2", 1, (2,), "usb1", vendor_id="dead", product_id="beef", serial="S1"))), scan)
    made = packed(rig_text(serial="S1"), scan=str(scan))
    tag = re.search(rb"tag-\w+", made.files["rig.yaml"])
    assert tag is not None
    again = store.loads(made.files["scan.json"].decode())
    assert [seen.serial for seen in again.sightings] == [None, tag[0].decode(), tag[0].decode()]
    assert [seen.vendor_id for seen in again.sightings] == [None, "abcd", None]


@pytest.mark.parametrize(("typed", "shown"), [
    ("/dev/ttyUSB3", r"/dev/ttyUSB3"), ("com7", "COM7"),
    ("/dev/serial/by-id/usb-Secret_A1-if00", r"/dev/serial/by-id/tag-\w+"),
    ("/dev/serial/by-path/pci-0000:00:14.0-usb-0:1:1.0", r"/dev/serial/by-path/tag-\w+"),
    ("/dev/cu.usbserial-SECRET", r"/dev/cu\.tag-\w+"), ("/dev/my-observatory", r"/dev/tag-\w+"),
    ("pier.example:4030", None),
])
def test_what_a_program_opens_is_shown_by_its_kind(typed: str, shown: str | None) -> None:
    mount = f"mount: {{role: mount, interface: serial, opens: '{typed}', picks: order}}"
    text = f"rig: x\ncomputer: {{os: linux}}\ndevices:\n  {mount}\n"
    made = rig_file(packed(text).files["rig.yaml"].decode())
    (device,) = made.document.devices.values()
    assert (device.opens is None) == (shown is None)
    assert shown is None or re.fullmatch(shown, device.opens or "")
    assert device.picks == "order"


def test_names_of_ports_agree_between_rig_and_scan_and_no_program_is_told(tmp_path: Path) -> None:
    """What was found before is found after: the lasting name in the file is still that of the port in the scan."""
    link = "/dev/serial/by-id/usb-Secret_A1-if00-port0"
    text = ("rig: x\ncomputer: {ports: {usb2-1: {speed: high}}}\ndevices:\n"
            f"  talker: {{interface: serial, plug: computer/usb2-1, opens: '{link}',\n"
            "           identity: {vendor_id: abcd, product_id: '0123', serial: S1}}\n")
    scan = tmp_path / "scan.json"
    store.save(Scan("", "Linux", "6.1.0", "sysfs", sightings=(
        Sighting("usb1", 1, ()), Sighting("1-1", 1, (1,), "usb1", vendor_id="abcd", product_id="0123", serial="S1")),
        serial_ports=(SerialPort("/dev/ttyUSB0", "1-1", 0, "usbserial", links=(link,), shared=(link,), allowed=False),),
        holding=Holding(True, (Holder("/dev/ttyUSB0", "open", "planner", 7),), ("gpsd", "mine"))), scan)
    made = packed(text, scan=str(scan))
    again = store.loads(made.files["scan.json"].decode())
    (port,) = again.serial_ports
    assert port.links == port.shared and port.links[0].encode() in made.files["rig.yaml"]
    assert again.holding == Holding(True, (), ("gpsd",)) and port.allowed is False
    assert b"planner" not in b"".join(made.files.values()) and b"Secret" not in b"".join(made.files.values())


def test_facts_of_the_schema_hold_no_free_text() -> None:
    """The redactor lets facts pass by their class: none of them may take any text a person makes up."""
    from topo.model import records
    from topo.model.declare import declared

    for record in (records.DeviceFacts, records.HubFacts, records.ComputerFacts, records.UseFacts,
                   records.SerialFacts, records.CableFacts):
        for each in declared(record):
            assert each.type is not str or each.name == "roi", f"{record.__name__}.{each.name}"


def test_a_folder_that_is_there_is_refused_and_replaced_only_if_a_pack(tmp_path: Path) -> None:
    out = tmp_path / "pack"
    folder.make_folder(out, {"post.txt": b"one"})
    with pytest.raises(CommandError, match="--force"):
        folder.make_folder(out, {"post.txt": b"two"})
    assert (out / "post.txt").read_bytes() == b"one"
    folder.make_folder(out, {"post.md": b"two"}, force=True)
    assert [(f.name, f.read_bytes()) for f in out.iterdir()] == [("post.md", b"two")]
    (out / "diary.txt").write_text("mine")
    with pytest.raises(CommandError, match="not of a pack"):
        folder.make_folder(out, {"post.txt": b"three"}, force=True)
    assert (out / "diary.txt").read_text() == "mine"
    assert [p.name for p in tmp_path.iterdir()] == ["pack"]


@pytest.mark.parametrize("fails_at", range(1, 8))
def test_a_half_written_pack_never_remains(tmp_path: Path, fails_at: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """The disk runs full at each file in turn, and at each rename."""
    out = tmp_path / "pack"
    folder.make_folder(out, {"post.txt": b"old"})
    calls = [0]
    whole, rename = os.fsync, Path.replace

    def full(*arguments: object) -> object:
        calls[0] += 1
        if calls[0] == fails_at:
            raise OSError(28, "No space left on device")
        return whole(*arguments) if isinstance(arguments[0], int) else rename(*arguments)  # type: ignore[arg-type]

    monkeypatch.setattr(os, "fsync", full)
    monkeypatch.setattr(Path, "replace", full)
    files = dict.fromkeys(("post.txt", "post.md", "rig.yaml"), b"new")
    try:
        folder.make_folder(out, files, force=True)
        assert fails_at > 5
    except CommandError as error:
        assert "cannot make" in str(error) and "no space left" in str(error)
        assert [(f.name, f.read_bytes()) for f in out.iterdir()] == [("post.txt", b"old")]
    assert [p.name for p in tmp_path.iterdir()] == ["pack"]


@pytest.mark.slow
def test_a_picture_too_large_for_a_post_gets_coarser_or_is_left_out() -> None:
    def many(count: int) -> str:
        parts = "".join(f"  focuser-{n // 7}-{n % 7}: {{plug: hub-{n // 7}/{n % 7 + 1}, speed: full, role: focuser}}\n"
                        for n in range(count))
        hubs = "".join(f"  hub-{n}: {{speed: high, ports: 7, plug: computer/usb2-{n + 1}}}\n"
                       for n in range(-(-count // 7)))
        ports = ", ".join(f"usb2-{n + 1}: {{}}" for n in range(-(-count // 7)))
        return f"rig: many\ncomputer: {{ports: {{{ports}}}}}\nhubs:\n{hubs}devices:\n{parts}"

    some, lots = packed(many(98)), packed(many(600))
    assert len(some.files["diagram.png"]) < 400_000 and not some.warnings
    assert "diagram.png" not in lots.files and "too large" in lots.warnings[-1]


def test_bad_input_leaves_nothing(tmp_path: Path) -> None:
    out = tmp_path / "pack"
    (tmp_path / "bad.json").write_text("{")
    for arguments in (["no-such.yaml"], [str(EXAMPLES / "two-cameras/rig.yaml"), "--scan", str(tmp_path / "bad.json")],
                      [str(EXAMPLES / "two-cameras/rig.yaml"), "--watch", str(tmp_path / "none.log")]):
        done = CliRunner().invoke(pack_command.command, [*arguments, "-o", str(out)])
        assert done.exit_code != 0 and not out.exists()
    assert [p.name for p in tmp_path.iterdir()] == ["bad.json"]


def test_removed_counts_known_kinds_alone() -> None:
    removed = Removed()
    with pytest.raises(ValueError, match="no such kind"):
        removed.count("SN4711")
    removed.count(REMOVED_KINDS[0])
    assert removed.lines() == (f"{REMOVED_KINDS[0]}: 1",)


@given(st.text())
@settings(deadline=None)
def test_markdown_escapes_every_sign(text: str) -> None:
    shown = marked(text)
    assert "<" not in shown and "@" not in shown and "://" not in shown.replace("\\://", "")
    bare = re.sub(r"\\[\\`*_{}\[\]()#+!|~$^=:.]|&#\d+;", "", shown)
    assert not set("\\`*_[]|~") & set(bare)


RIGS_OF_FIFTEEN = {
    "pier": PIER,
    **{path.parent.name: path.read_text("utf-8") for path in sorted(EXAMPLES.glob("*/rig.yaml"))},
    **{f"seed {seed}": fifteen(seed) for seed in range(6)},
}


@pytest.mark.parametrize("text", RIGS_OF_FIFTEEN.values(), ids=RIGS_OF_FIFTEEN.keys())
def test_a_post_of_fifteen_devices_is_sixty_lines_at_most(text: str) -> None:
    made = examine_text(text)
    assert len(made.study.devices) <= 15
    told = post(made, (), ("name of the rig: 1", "paths of files: 1"), has_scan=False)
    for lines in (post_text(told).splitlines(), post_markdown(told).splitlines()):
        assert len(lines) <= 60
        said = " ".join(" ".join(lines).replace("\\", "").split())
        if made.findings:
            assert made.findings[0].name in said and "do: " in said.lower()
        for part in made.study.rig.parts:
            assert part.id in said


def test_a_post_without_findings_says_so() -> None:
    told = post(report("rig: A\ncomputer: {}\n"), (), (), has_scan=False)
    assert "Findings: none" in post_text(told) and "\nnone\n" in post_markdown(told)
