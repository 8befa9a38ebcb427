"""Rigs for the tests of pictures and packs: an ordinary one, and one whose every name is given."""

from __future__ import annotations

import json
from pathlib import Path

from hypothesis import strategies as st

from topo.analysis.study import Study
from topo.model.finding import Finding, Fix
from topo.model.profile import Profile
from topo.model.rig import Place
from topo.rigfile.document import RigFile
from topo.rigfile.read import read_text
from topo.wiring.resolve import resolve

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"
CAMERA = "speed: super, width_px: 6248, height_px: 4176, sample_bits: 16, readout_mb_per_s: 350, frame_memory_mb: 256"


class NoProfiles:
    """A source of profiles that has none."""

    def profile(self, name: str) -> Profile | None:
        return None

    def profile_names(self) -> tuple[str, ...]:
        return ()


def rig_text(
    hub: str = "pier-hub", camera: str = "main-camera", guide: str = "guide-camera", mount: str = "mount",
    title: str = "A pier", supply: str = "battery", port: str = "usb3-1", controller: str = "first", note: str = "",
    serial: str = "", lead: str = "camera-lead",
) -> str:
    """A rig file: two cameras on a USB 2 hub, a mount on a serial bridge, a battery. Any name may be hostile."""
    def q(name: str) -> str:
        return json.dumps(name, ensure_ascii=False)

    return f"""
rig: {q(title)}
computer:
  controllers: {{{q(controller)}: {{uplink: pcie2x1}}}}
  ports:
    {q(port)}: {{controller: {q(controller)}, speed: super}}
    usb2-1: {{controller: {q(controller)}, speed: high}}
  note: {q(note or "none")}
hubs:
  {q(hub)}: {{speed: high, ports: 4, powered: true, plug: {q("computer/" + port)}, cable: {{length_m: 2, grade: usb3}}}}
devices:
  {q(camera)}:
    {{role: imaging, {CAMERA}, hub_ports: 2, hub_speed: high, plug: {q(hub + "/1")}, cable: {{length_m: 1.5}},
     use: {{exposure_s: 120}}, identity: {{vendor_id: abcd, product_id: "0123", serial: {q(serial or "none")}}}}}
  {q(guide)}:
    {{role: guiding, speed: high, width_px: 1280, height_px: 960, sample_bits: 16, readout_mb_per_s: 40, fifo_kb: 16,
     frame_memory_mb: 0, plug: {q(camera + "/usb2-1")}, use: {{exposure_s: 1.5}}, guides: {q(mount)}, bus_ma: 300}}
  {q(mount)}:
    {{role: mount, speed: full, interface: serial, plug: computer/usb2-1, serial: {{baud: 9600, polls_per_s: 1,
     bytes_out: 8, bytes_in: 16}}, drift_arcsec_per_s: 0.1, note: {q(note or "none")}}}
power:
  supplies: {{{q(supply)}: {{volts: 12.8, amps: 20}}}}
  leads:
    {q(lead)}: {{from: {q(supply)}, to: {q(camera)}, length_m: 2, gauge_awg: 18, fuse_amps: 5}}
"""


def rig_file(text: str) -> RigFile:
    """The rig file of a text."""
    return read_text(text, "rig.yaml")


def study_of(text: str) -> Study:
    """The study of a rig file's text, without any profile."""
    return Study(resolve(rig_file(text), NoProfiles()))


def finding_at(part: str, message: str = "it comes late") -> Finding:
    """A finding about a part, in whose texts the message stands everywhere."""
    return Finding("guiding-shares-link", "fault", "certain", part, Place("rig.yaml", 3, 1), message,
                   refuted_by=message, fix=Fix(message))


NASTY = (
    "<script>alert(1)</script>", "a -> b", "x\"];y[label=\"z", "<b>bold</b>", "&lt;script&gt;", "&#60;b&#62;", "]]>",
    "--><svg onload=x>", "\\N\\G\\n", "\\", "{a|b}", "`code`", "```", "[x](http:e)", "![i](x)", "*b* _c_ ~~d~~",
    "|t|u|",
    "#1; drop", "%%{init: {}}%%", "end", "graph TD", "click n1 href", "[31mred[0m", "]8;;x", "$(id)", "@someone",
    "www.example.org", "https:example.org", "<!--", "'\"<>&", "𝕏𝕐", "名前の長いカメラ", "é́́", "a" * 64, "- x",
    "1. x", "> q",
    "style=x onclick=y", "url(x)", "expression(1)", "</style>", "</title>", "C:\\Users", "%s%n", "{{7*7}}", "<![CDATA[",
)
"""Syntax of every place a name may end up in."""


def _legal(text: str) -> bool:
    return bool(text) and text.isprintable() and "/" not in text and text == text.strip() and len(text) <= 64


hostile = st.one_of(
    st.sampled_from([text.replace("/", "") for text in NASTY]),
    st.lists(st.sampled_from([*'<>&"\'\\|`*_[](){}#;:%$@!~^=+-. ', "a", "B", "7", "中"]), min_size=1, max_size=24)
    .map("".join),
    st.text(min_size=1, max_size=30),
).map(str.strip).filter(_legal).filter(lambda text: text != "computer")
"""Names a rig file may hold, the worst of them."""
