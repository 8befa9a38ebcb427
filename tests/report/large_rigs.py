"""Two rigs as large as people have them, to measure how much is said of them: a pier of 15, an observatory of 60."""

from __future__ import annotations

import random

PIER = """\
rig: Pier of fifteen
computer: {profile: mini-pc-4usb3-2usb2, os: linux}
hubs:
  pier-hub: {profile: hub-usb3-7port-powered, plug: computer/usb3-1, cable: {length_m: 1, grade: usb3}}
  tube-hub: {profile: hub-usb2-7port-powered, plug: computer/usb2-1, cable: {length_m: 2, grade: usb2}}
devices:
  main-camera: {profile: camera-apsc-26mp, role: imaging, plug: pier-hub/1, cable: {length_m: 2, grade: usb3},
    use: {exposure_s: 180}}
  wide-camera: {profile: camera-inch-20mp, role: imaging, plug: pier-hub/2, cable: {length_m: 2, grade: usb3},
    use: {exposure_s: 90}}
  guide-camera: {profile: camera-guide-2mp, role: guiding, plug: main-camera/usb2-1, cable: {length_m: 0.5},
    use: {exposure_s: 1.5}, guides: mount}
  sky-camera: {profile: camera-allsky-1mp, plug: tube-hub/1, cable: {length_m: 4}, use: {exposure_s: 20}}
  mount: {profile: mount-strain-wave-serial, plug: computer/usb2-2, cable: {length_m: 2}}
  filter-wheel: {profile: filter-wheel-hid, plug: main-camera/usb2-2, cable: {length_m: 0.3}}
  focuser: {profile: focuser-serial, plug: tube-hub/2}
  second-focuser: {profile: focuser-hid, plug: pier-hub/3}
  rotator: {profile: rotator-serial, plug: tube-hub/3}
  dew-controller: {profile: dew-controller-serial, plug: tube-hub/4}
  flat-panel: {profile: flat-panel-serial, plug: tube-hub/5}
  weather: {profile: weather-serial, plug: tube-hub/6}
  sky-meter: {profile: sky-brightness-serial, plug: tube-hub/7}
  disk: {profile: ssd-usb3, role: storage, plug: computer/usb3-2, use: {mb_per_s: 30}}
  home-network: {profile: network-gigabit-usb3, role: network, plug: computer/usb3-3, use: {mb_per_s: 10}}
power:
  supplies: {pier-supply: {kind: mains, volts: 13.5, amps: 20}}
  leads:
    camera-lead: {from: pier-supply, to: main-camera, length_m: 3, gauge_awg: 18, fuse_amps: 5}
    wide-lead: {from: pier-supply, to: wide-camera, length_m: 3, gauge_awg: 20, fuse_amps: 5}
    mount-lead: {from: pier-supply, to: mount, length_m: 2, gauge_awg: 16, fuse_amps: 7.5}
    dew-lead: {from: pier-supply, to: dew-controller, length_m: 3, gauge_awg: 14, fuse_amps: 10}
    hub-lead: {from: pier-supply, to: pier-hub, length_m: 1, gauge_awg: 18, fuse_amps: 3}
"""

TELESCOPES = 8
SOCKETS = ("usb3-1", "usb3-2", "usb2-1", "usb2-2", "card-1", "card-2", "card-3", "card-4")


def _telescope(number: int, socket: str) -> tuple[str, str]:
    """A hub and the seven devices of one telescope."""
    hub = f"hub-{number}"
    imaging = ("camera-apsc-26mp", "camera-fourthirds-16mp", "camera-fullframe-61mp")[number % 3]
    exposure = (120, 180, 300, 60)[number % 4]
    return (
        f"  {hub}: {{profile: hub-usb3-7port-powered, plug: computer/{socket}, cable: {{length_m: 2}}}}\n",
        f"  camera-{number}: {{profile: {imaging}, role: imaging, plug: {hub}/1, use: {{exposure_s: {exposure}}}}}\n"
        f"  guider-{number}: {{profile: camera-guide-1mp, role: guiding, plug: {hub}/2, use: {{exposure_s: 2}},\n"
        f"    guides: mount-{number}}}\n"
        f"  mount-{number}: {{profile: mount-worm-mid-serial, plug: {hub}/3}}\n"
        f"  wheel-{number}: {{profile: filter-wheel-hid, plug: {hub}/4}}\n"
        f"  focuser-{number}: {{profile: focuser-serial, plug: {hub}/5}}\n"
        f"  rotator-{number}: {{profile: rotator-serial, plug: {hub}/6}}\n"
        f"  dew-{number}: {{profile: dew-controller-serial, plug: {hub}/7}}\n",
    )


def observatory() -> str:
    """Eight telescopes of seven devices on one computer, with weather, sky camera, disk and network: sixty devices."""
    telescopes = [_telescope(number, socket) for number, socket in enumerate(SOCKETS, 1)]
    return (
        "rig: Observatory of sixty\n"
        "computer: {profile: desktop-usb3-card-four-controllers, os: linux,\n"
        "  ports: {usb3-9: {controller: chipset, speed: super}, usb2-9: {controller: chipset, speed: high},\n"
        "    usb3-10: {controller: chipset, speed: super}, usb2-10: {controller: chipset, speed: high}}}\n"
        "hubs:\n" + "".join(hub for hub, _ in telescopes) + "devices:\n" + "".join(parts for _, parts in telescopes)
        + "  weather: {profile: weather-serial, plug: computer/usb2-9}\n"
        "  sky-camera: {profile: camera-allsky-2mp, plug: computer/usb2-10, use: {exposure_s: 30}}\n"
        "  disk: {profile: ssd-usb3, role: storage, plug: computer/usb3-9, use: {mb_per_s: 60}}\n"
        "  home-network: {profile: network-gigabit-usb3, role: network, plug: computer/usb3-10, use: {mb_per_s: 20}}\n"
    )

KINDS = (
    "focuser-serial", "rotator-serial", "dew-controller-serial", "flat-panel-serial", "weather-serial", "gps-serial",
    "filter-wheel-hid", "camera-allsky-2mp", "mount-worm-mid-serial", "power-box-serial", "sky-brightness-serial",
)


def fifteen(seed: int) -> str:
    """Two cameras, a guide camera and twelve other devices on two hubs and a computer, with leads. One text a seed."""
    pick = random.Random(seed)
    free = [f"{hub}/{n}" for hub in ("one", "two") for n in range(1, 8)] + ["computer/usb2-1", "computer/usb2-2"]
    pick.shuffle(free)
    lines = [f"rig: Fifteen {seed}", "computer: {profile: mini-pc-4usb3-2usb2}", "hubs:"]
    for name, socket in (("one", "usb3-1"), ("two", "usb3-2")):
        hub = pick.choice(("hub-usb3-7port-powered", "hub-usb2-7port-powered", "hub-usb3-7port-bus-powered"))
        lines.append(f"  {name}: {{profile: {hub}, plug: computer/{socket}}}")
    cameras = (("first-camera", "camera-apsc-26mp", "imaging", 120), ("other-camera", "camera-inch-9mp", "imaging", 60),
               ("guide-camera", "camera-guide-1mp", "guiding", 2))
    lines += ["devices:", *(f"  {name}: {{profile: {profile}, role: {role}, use: {{exposure_s: {exposure}}}, "
                            f"plug: {free.pop()}}}" for name, profile, role, exposure in cameras)]
    for number in range(12):
        kind = pick.choice(KINDS)
        use = ", use: {exposure_s: 20}" if kind.startswith("camera") else ""
        cable = f", cable: {{length_m: {pick.choice((1, 2.5, 5))}}}" if pick.random() < 0.5 else ""
        lines.append(f"  {kind.split('-')[0]}-{number}: {{profile: {kind}, plug: {free.pop()}{cable}{use}}}")
    lines += ["power:", "  supplies: {supply: {volts: 13.2, amps: 10}}", "  leads:"]
    lines += [f"    lead-{n}: {{from: supply, to: {name}, length_m: 2, gauge_awg: 18, fuse_amps: 5}}"
              for n, (name, *_) in enumerate(cameras)]
    return "\n".join(lines) + "\n"
