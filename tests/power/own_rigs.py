"""Ten rigs as people own them, each wrong in its own way on the power side. No tests here."""

from __future__ import annotations

HEAD = """\
rig: Own
computer:
  profile: mini-pc-2usb3-2usb2
  volts_min: 11
  volts_max: 20
HUBSdevices:
  main-camera:
    profile: camera-apsc-26mp
    role: imaging
    plug: computer/usb3-1
    cable: {length_m: 1.5, grade: usb3, gauge_awg: 22}
    use: {exposure_s: 120}
  guide-camera:
    profile: camera-guide-2mp
    role: guiding
    plug: GUIDER
    cable: {length_m: 1, grade: usb2, gauge_awg: 24}
    use: {exposure_s: 2}
  mount: {profile: mount-strain-wave-serial, plug: computer/usb2-2, cable: {length_m: 1.5, grade: usb2, gauge_awg: 24}}
  straps: {profile: dew-strap, role: dew, amps_peak: 2.0, volts_min: 9, volts_max: 15, use: {duty_percent: 60}}
night: {hours: 8, coldest_celsius: -5}
power:
  supplies: {SUPPLY}
  blocks: {block: {fuse_amps: 5, fuse_class: blade}}
MORE  leads:
"""
PSU = "psu: {volts: 12.8, amps: 15, kind: mains, volts_by: meter}"
FUSED = "fuse_amps: 15, fuse_at_m: 0.1, from_plug: ring, to_plug: ring"
PLUG = "to_plug: genderless-15"
BRICK = "  converters: {brick: {volts: 19, amps: 1.2, efficiency_percent: 88, volts_min: 10, volts_max: 16}}\n"
BOX = "  boxes: {box: {amps: 10, channels: {1: {amps: 3}, 2: {amps: 3}}}}\n"
HUB = """\
hubs:
  hub:
    profile: hub-usb2-4port-bus-powered
    plug: computer/usb3-2
    cable: {length_m: 3, grade: usb2, gauge_awg: 28}
"""


def lead(source: str, to: str, rest: str) -> str:
    return f"    {to}-lead: {{from: {source}, to: {to}, {rest}}}\n"


FEED = lead("psu", "block", f"length_m: 2, gauge_awg: 12, {FUSED}")
CAMERA = lead("block", "main-camera", f"length_m: 1.5, gauge_awg: 16, {PLUG}")
MOUNT = lead("block", "mount", f"length_m: 1.5, gauge_awg: 16, {PLUG}")
COMPUTER = lead("block", "computer", f"length_m: 1, gauge_awg: 16, {PLUG}")
STRAPS = lead("block", "straps", f"length_m: 2, gauge_awg: 18, {PLUG}")
REST = MOUNT + COMPUTER + STRAPS


def own(leads: str, supply: str = PSU, more: str = "", hubs: str = "", guider: str = "computer/usb2-1") -> str:
    head = HEAD.replace("HUBS", hubs).replace("GUIDER", guider).replace("SUPPLY", supply).replace("MORE", more)
    return head + leads


OWN_RIGS = {
    "a thin extension to a cooled camera":
        own(FEED + CAMERA.replace("length_m: 1.5, gauge_awg: 16", "length_m: 6, gauge_awg: 22") + REST),
    "a converter that is too small":
        own(FEED + CAMERA + MOUNT + STRAPS + lead("block", "brick", "length_m: 0.5, gauge_awg: 16, to_plug: screw")
            + lead("brick", "computer", "length_m: 1, gauge_awg: 18, from_plug: screw, to_plug: barrel-2.5"),
            more=BRICK),
    "a strap on the camera's channel":
        own(FEED + MOUNT + COMPUTER + lead("block", "box", f"length_m: 0.5, gauge_awg: 14, {PLUG}")
            + lead("box/1", "main-camera", f"also: [straps], length_m: 1.5, gauge_awg: 16, from_plug: ring, {PLUG}"),
            more=BOX),
    "the fuse at the far end":
        own(FEED.replace("fuse_at_m: 0.1", "fuse_at_m: 1.9") + CAMERA + REST,
            "psu: {volts: 13.2, amps: 50, chemistry: lifepo4, ah: 100, charge_percent: 100, age_years: 1, "
            "night_celsius: 0}"),
    "15 V on a 12 V camera":
        own(FEED + CAMERA + REST, "psu: {volts: 15, amps: 15, kind: mains, volts_by: meter, adjustable: true}"),
    "an old battery in the cold":
        own(FEED + CAMERA + REST, "psu: {volts: 12.6, amps: 30, chemistry: agm, ah: 50, charge_percent: 90, "
            "age_years: 6, night_celsius: -5}"),
    "a hub without a supply behind 3 m of 28 AWG": own(FEED + CAMERA + REST, hubs=HUB, guider="hub/1"),
    "two parts on one thin lead":
        own(FEED + COMPUTER + STRAPS
            + lead("block", "main-camera", "also: [mount], length_m: 3, gauge_awg: 20, to_plug: barrel-2.1")),
    "a power bank with a 12 V trigger":
        own(lead("psu", "computer", "also: [mount], length_m: 1, gauge_awg: 22, from_plug: usb-c, to_plug: barrel-2.1"),
            "psu: {volts: 12, amps: 2.25, kind: battery, chemistry: lifepo4, ah: 6, charge_percent: 100}"),
    "the mount on a supply of its own, of 24 V":
        own(FEED + CAMERA + COMPUTER + STRAPS
            + lead("second", "mount", "length_m: 2, gauge_awg: 18, fuse_amps: 5, fuse_at_m: 0.1, from_plug: screw, "
                   "to_plug: barrel-2.1"), f"{PSU}, second: {{volts: 24, amps: 3, kind: mains, volts_by: label}}"),
}  # fmt: skip
