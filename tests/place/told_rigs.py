"""Rigs as people own them, each wrong in another way, and `BY_NAME`. No tests here."""

from __future__ import annotations

REFRACTOR = """\
rig: Refractor on a balcony, everything on USB 2
computer: {profile: laptop-2usb3}
hubs:
  hub: {profile: hub-usb2-4port-bus-powered, plug: computer/usb3-1, cable: {length_m: 2, grade: usb2}}
devices:
  main-camera: {profile: camera-apsc-26mp, role: imaging, plug: hub/1, cable: {length_m: 1, grade: usb2},
    use: {exposure_s: 90}}
  guide-camera: {profile: camera-guide-1mp, role: guiding, plug: hub/2, cable: {length_m: 1}, use: {exposure_s: 1}}
  mount: {profile: mount-travel-serial, plug: hub/3}
  focuser: {profile: focuser-serial, plug: hub/4}
"""

CAMERA_WITH_HUB = """\
rig: Camera with sockets on its back
computer: {profile: mini-pc-2usb3-2usb2}
devices:
  main-camera: {profile: camera-apsc-26mp, role: imaging, plug: computer/usb2-1, cable: {length_m: 4.5, grade: usb2},
    use: {exposure_s: 60}}
  guide-camera: {profile: camera-guide-2mp, role: guiding, plug: main-camera/usb2-1, cable: {length_m: 0.5},
    use: {exposure_s: 2}}
  filter-wheel: {profile: filter-wheel-hid, plug: main-camera/usb2-2, cable: {length_m: 0.3}}
  mount: {profile: mount-strain-wave-serial, plug: computer/usb2-2, cable: {length_m: 2}}
"""

SMALL_BOARD = """\
rig: Small board on the tube
computer: {profile: small-board-2usb3-2usb2}
devices:
  main-camera: {profile: camera-fourthirds-16mp, role: imaging, plug: computer/usb3-1, cable: {length_m: 0.5,
    grade: usb3}, use: {exposure_s: 45}}
  guide-camera: {profile: camera-guide-1mp, role: guiding, plug: computer/usb2-1, cable: {length_m: 0.5},
    use: {exposure_s: 1}}
  disk: {profile: ssd-usb3, role: storage, plug: computer/usb3-2, use: {mb_per_s: 15}}
  mount: {profile: mount-travel-serial, plug: computer/usb2-2}
"""

PIER = """\
rig: Pier with a hub for all
computer: {profile: mini-pc-4usb3-2usb2}
hubs:
  hub: {profile: hub-usb3-7port-powered, plug: computer/usb3-1, cable: {length_m: 3, grade: usb3}}
devices:
  main-camera: {profile: camera-fullframe-61mp, role: imaging, plug: hub/1, cable: {length_m: 1.5, grade: usb2},
    use: {exposure_s: 180}}
  guide-camera: {profile: camera-guide-1mp, role: guiding, plug: hub/2, cable: {length_m: 1.5}, use: {exposure_s: 2.5}}
  sky-camera: {profile: camera-allsky-1mp, plug: hub/3, use: {mode: video, fps: 5}}
  mount: {profile: mount-worm-mid-serial, plug: hub/4}
  focuser: {profile: focuser-serial, plug: hub/5}
  weather: {profile: weather-serial, plug: hub/6}
"""

TWO_TELESCOPES = """\
rig: Two telescopes side by side
computer: {profile: mini-pc-4usb3}
hubs:
  left-hub: {profile: hub-usb2-4port-powered, plug: computer/usb3-1, cable: {length_m: 2}}
  right-hub: {profile: hub-usb3-4port-powered, plug: computer/usb3-2, cable: {length_m: 2, grade: usb3}}
devices:
  left-camera: {profile: camera-apsc-26mp, role: imaging, plug: left-hub/1, cable: {length_m: 1},
    use: {exposure_s: 120}}
  right-camera: {profile: camera-inch-20mp, role: imaging, plug: right-hub/1, cable: {length_m: 1, grade: usb3},
    use: {exposure_s: 60}}
  guide-camera: {profile: camera-guide-1mp, role: guiding, plug: left-hub/2, cable: {length_m: 1}, use: {exposure_s: 2}}
  left-focuser: {profile: focuser-serial, plug: left-hub/3}
  right-focuser: {profile: focuser-hid, plug: right-hub/2}
  mount: {profile: mount-worm-premium-serial, plug: computer/usb3-3}
"""

PLANET = """\
rig: Planets by video
computer: {profile: laptop-3usb3}
devices:
  planet-camera: {profile: camera-planet-2mp-usb3, role: imaging, plug: computer/usb3-1, cable: {length_m: 3,
    grade: usb2}, use: {mode: video, fps: 100}}
  guide-camera: {profile: camera-guide-1mp, role: guiding, plug: computer/usb3-2, use: {exposure_s: 0.5}}
  mount: {profile: mount-worm-entry-serial, plug: computer/usb3-3}
"""

REMOTE = """\
rig: Remote site with an extender
computer: {profile: mini-pc-2usb3-2usb2}
hubs:
  extender: {profile: extender-network-usb2-4port, plug: computer/usb2-1, cable: {length_m: 25}}
devices:
  main-camera: {profile: camera-ccd-8mp, role: imaging, plug: extender/1, cable: {length_m: 1}, use: {exposure_s: 300}}
  guide-camera: {profile: camera-guide-1mp, role: guiding, plug: extender/2, cable: {length_m: 1}, use: {exposure_s: 3}}
  mount: {profile: mount-worm-mid-serial, plug: extender/3}
  focuser: {profile: focuser-serial, plug: extender/4}
"""

BATTERY = """\
rig: Travel on a battery
computer: {profile: small-board-shared-bus, all_ports_ma: 1200}
devices:
  main-camera: {profile: camera-apsc-16mp, role: imaging, plug: computer/usb2-1, cable: {length_m: 1},
    use: {exposure_s: 60}, bus_ma: 450}
  guide-camera: {profile: camera-guide-1mp, role: guiding, plug: computer/usb2-2, cable: {length_m: 1},
    use: {exposure_s: 1.5}, bus_ma: 400}
  mount: {profile: mount-travel-serial, plug: computer/usb2-3}
  stick: {profile: stick-usb2, role: storage, plug: computer/usb2-4, use: {mb_per_s: 8}, bus_ma: 400}
power:
  supplies: {battery: {volts: 13.2, amps: 8}}
  leads:
    camera-lead: {from: battery, to: main-camera, length_m: 1.5, gauge_awg: 22}
    mount-lead: {from: battery, to: mount, length_m: 1, gauge_awg: 18, fuse_amps: 5}
"""

SPECTRUM = """\
rig: Spectra of faint stars
computer: {profile: desktop-4usb3-4usb2}
hubs:
  hub: {profile: hub-usb3-4port-powered, plug: computer/usb3-1, cable: {length_m: 4, grade: usb3}}
devices:
  spectrum-camera: {profile: camera-fourthirds-11mp, role: imaging, plug: hub/1, cable: {length_m: 1, grade: usb3},
    use: {exposure_s: 600}}
  slit-camera: {profile: camera-guide-2mp-usb3, role: guiding, plug: hub/2, cable: {length_m: 1, grade: usb2},
    use: {exposure_s: 1}}
  field-camera: {profile: camera-planet-1mp, role: other, plug: hub/3, use: {mode: video, fps: 20}}
  mount: {profile: mount-direct-drive-serial, plug: computer/usb2-1}
"""

DOME = """\
rig: Dome with a computer that others use too
computer: {profile: desktop-4usb3-4usb2, radio_2g4: true}
hubs:
  hub: {profile: hub-usb3-10port-powered, plug: computer/usb3-1, cable: {length_m: 2, grade: usb3}}
devices:
  main-camera: {profile: camera-medium-102mp, role: imaging, plug: hub/1, cable: {length_m: 3, grade: usb3},
    use: {exposure_s: 240}}
  guide-camera: {profile: camera-guide-3mp-usb3, role: guiding, plug: hub/2, cable: {length_m: 3, grade: usb2},
    use: {exposure_s: 2}}
  copy-disk: {profile: disk-usb3, role: storage, plug: hub/3, use: {mb_per_s: 80}}
  radio: {profile: wifi-stick-2g4, role: network, plug: hub/4, use: {mb_per_s: 3}}
  dome-camera: {profile: camera-webcam-iso, plug: hub/5, use: {mode: video, fps: 15}}
  mount: {profile: mount-worm-premium-serial, plug: hub/6}
"""

CHAIN = """\
rig: Hubs behind hubs
computer: {profile: laptop-2usb3}
hubs:
  one: {profile: hub-usb2-4port-powered, plug: computer/usb3-1}
  two: {profile: hub-usb2-4port-bus-powered, plug: one/1}
  three: {profile: hub-usb2-4port-bus-powered, plug: two/1}
devices:
  main-camera: {profile: camera-apsc-26mp, role: imaging, plug: three/1, use: {exposure_s: 30}}
  guide-camera: {profile: camera-guide-1mp, role: guiding, plug: three/2, use: {exposure_s: 1}}
  mount: {profile: mount-strain-wave-serial, plug: two/2}
  focuser: {profile: focuser-serial-fast, plug: two/3}
"""

LONG_CABLES = """\
rig: The computer in the warm room
computer: {profile: mini-pc-4usb3-2usb2}
hubs:
  far: {profile: cable-active-usb2, plug: computer/usb2-1, cable: {length_m: 10}}
  hub: {profile: hub-usb2-4port-powered, plug: far/1, cable: {length_m: 1}}
devices:
  main-camera: {profile: camera-apsc-26mp, role: imaging, plug: hub/1, cable: {length_m: 1}, use: {exposure_s: 120}}
  guide-camera: {profile: camera-guide-1mp, role: guiding, plug: hub/2, cable: {length_m: 1}, use: {exposure_s: 2}}
  mount: {profile: mount-worm-mid-serial, plug: hub/3}
  focuser: {profile: focuser-serial, plug: computer/usb3-1, cable: {length_m: 12}}
"""

WIRES = """\
rig: Wires as people make them
computer: {profile: mini-pc-4usb3-2usb2}
devices:
  main-camera: {profile: camera-apsc-26mp, role: imaging, plug: computer/usb3-1, bus_ma: 900, cable: {length_m: 3,
    gauge_awg: 28, grade: usb3}, use: {exposure_s: 120}}
  guide-camera: {profile: camera-guide-1mp, role: guiding, plug: computer/usb2-1, use: {exposure_s: 2}}
  mount: {profile: mount-worm-mid-serial, plug: computer/usb2-2}
  heater: {role: dew, interface: none, amps_typical: 12, amps_peak: 12, volts_min: 10, volts_max: 14}
power:
  supplies: {box: {kind: mains, volts: 14.6, amps: 10, adjustable: true}}
  leads:
    camera-lead: {from: box, to: main-camera, length_m: 2, gauge_awg: 24, fuse_amps: 30}
    heater-lead: {from: box, to: heater, length_m: 1.5, gauge_awg: 20}
    mount-lead: {from: box, to: mount, length_m: 6, area_mm2: 0.5, fuse_amps: 1}
"""

FIELD = """\
rig: Field with a block
computer: {profile: small-board-2usb3-2usb2}
devices:
  main-camera: {profile: camera-fourthirds-16mp, role: imaging, plug: computer/usb3-1, use: {exposure_s: 60}}
  guide-camera: {profile: camera-guide-1mp, role: guiding, plug: computer/usb2-1, use: {exposure_s: 1}}
  mount: {profile: mount-travel-serial, plug: computer/usb2-2}
  strap: {profile: dew-strap, volts_min: 11}
night: {hours: 10}
power:
  supplies: {battery: {volts: 13.2, amps: 40, chemistry: lifepo4, ah: 12, charge_percent: 90}}
  blocks: {block: {}}
  converters: {five: {volts: 5, amps: 3, volts_min: 9, volts_max: 30}}
  leads:
    feed: {from: battery, to: block, length_m: 2, gauge_awg: 16, fuse_amps: 20, fuse_at_m: 0.8}
    camera-lead: {from: block, to: main-camera, length_m: 2, gauge_awg: 22}
    mount-lead: {from: block, to: mount, length_m: 1, gauge_awg: 18, fuse_amps: 5, also: [strap]}
    brick: {from: block, to: five, length_m: 0.5, gauge_awg: 18}
    board: {from: five, to: computer, length_m: 0.5, gauge_awg: 18}
"""

FAR = """\
rig: Everything at the far end of thin wire
computer: {profile: mini-pc-2usb3-2usb2, volts_min: 10}
devices:
  main-camera: {profile: camera-apsc-16mp, role: imaging, plug: computer/usb3-1, use: {exposure_s: 120}}
  mount: {profile: mount-worm-mid-serial, plug: computer/usb2-1}
power:
  supplies: {house: {kind: mains, volts: 13.2, volts_by: meter, amps: 15}}
  blocks: {block: {}}
  leads:
    long: {from: house, to: block, length_m: 15, gauge_awg: 18, fuse_amps: 7}
    a: {from: block, to: main-camera, length_m: 1, gauge_awg: 18}
    b: {from: block, to: mount, length_m: 1, gauge_awg: 18}
    c: {from: block, to: computer, length_m: 1, gauge_awg: 18}
"""

BY_NAME = {
    "refractor": REFRACTOR, "camera-with-hub": CAMERA_WITH_HUB, "small-board": SMALL_BOARD, "pier": PIER,
    "two-telescopes": TWO_TELESCOPES, "planet": PLANET, "remote": REMOTE, "battery": BATTERY, "spectrum": SPECTRUM,
    "dome": DOME, "chain": CHAIN, "long-cables": LONG_CABLES,
    "wires": WIRES, "field": FIELD, "far": FAR,
}  # fmt: skip
"""Every rig of this file."""
