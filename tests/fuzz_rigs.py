"""Rig files that the schema takes, made from the schema itself: any tree of hubs and devices, any figure in bounds.

Same random state, same text. Half of the figures are ones a person would write, the others go to the bounds.
"""

from __future__ import annotations

import json
import random
from collections.abc import Iterable
from typing import Any

from topo.model.declare import Declared, Record, declared
from topo.model.facts import value_of
from topo.model.profile import Profile
from topo.model.records import ComputerFacts, DeviceFacts, HubFacts, NightFacts, SerialFacts, UseFacts
from topo.model.rig import ROLES

PRINTABLE = "aZ09 .-_:#'\"\\`|<>[]{}()&%$*!?@=+,;~^äßøИ漢主機한é́ﬁ𝔐🔭ªn"
"""Characters a name may hold; among them marks of Markdown, HTML, DOT, YAML and rich, wide and combining ones."""

PLAUSIBLE: dict[str, tuple[Any, ...]] = {
    "width_px": (640, 1280, 1936, 3096, 6248, 9576, 14208), "height_px": (480, 960, 1096, 2080, 4176, 6388, 10656),
    "sample_bits": (8, 10, 12, 14, 16), "readout_mb_per_s": (10, 36.5, 43, 100, 250, 400, 900), "max_fps": (2, 30, 90),
    "frame_memory_mb": (0, 32, 256, 512), "fifo_kb": (0, 4, 16, 512), "hub_ports": (1, 2, 3), "ports": (4, 7, 10),
    "serial_sockets": (1, 4), "exposure_s": (0.01, 0.5, 1, 2, 60, 120, 300), "bin": (1, 2, 4), "gap_s": (0, 1, 5),
    "fps": (5, 30, 120), "limit_mb_per_s": (10, 40, 80), "mb_per_s": (1, 10, 100), "baud": (9600, 115200),
    "polls_per_s": (0, 1, 4, 30), "bytes_out": (3, 12), "bytes_in": (5, 40), "latency_timer_ms": (1, 16),
    "interrupt_bytes": (8, 64), "interrupt_interval_ms": (1, 8, 10), "iso_bytes_per_ms": (200, 3000, 24576),
    "bus_ma": (100, 500, 900), "port_ma": (500, 900, 1500), "drift_arcsec_per_s": (0.2, 1), "endpoints": (2, 4),
    "ready_after_s": (0, 3, 20), "usbfs_memory_mb": (0, 16, 1000), "endpoint_slots": (31, 96, 127),
}  # fmt: skip


class Maker:
    """Makes the text of one rig at a time."""

    def __init__(self, rng: random.Random, profiles: Iterable[Profile]) -> None:
        self.rng = rng
        self.known = {profile.name: profile for profile in profiles}
        self.profiles = {
            kind: tuple(name for name, profile in self.known.items() if profile.kind == kind)
            for kind in ("computer", "hub", "device")
        }

    def rig(self) -> dict[str, Any]:
        """The content of a rig file."""
        rng = self.rng
        self.names: set[str] = {"computer"}
        self.free: list[str] = []
        rig: dict[str, Any] = {"rig": self._name()}
        inline = self._profiles()
        rig["computer"] = self._computer(inline)
        hubs = {self._name(): self._hub(inline) for _ in range(rng.choice((0, 1, 1, 2, 3, 7)))}
        devices = {self._name(): self._device(inline) for _ in range(rng.choice((0, 1, 2, 3, 4, 6, 9, 15)))}
        self._plug(hubs, devices, inline)
        mounts = [name for name, device in devices.items() if device.get("role") == "mount"]
        for device in devices.values():
            if device.get("role") == "guiding" and mounts and rng.random() < 0.6:
                device["guides"] = rng.choice(mounts)
        sections = (("hubs", hubs), ("devices", devices), ("profiles", inline))
        rig.update({key: value for key, value in sections if value or rng.random() < 0.1})
        if rng.random() < 0.4:
            rig["power"] = self._power([*hubs, *devices, "computer"])
        if rng.random() < 0.3:
            rig["night"] = self._night(devices)
        return rig

    def text(self) -> str:
        """The same as a YAML file: one part a line, each in flow style."""
        return as_text(self.rig())

    def _night(self, devices: dict[str, Any]) -> dict[str, Any]:
        """What is planned: facts, and copying by parts that may move files."""
        rng = self.rng
        night = self._facts(NightFacts, 0.3)
        movers = [name for name, device in devices.items() if device.get("role") in ("network", "storage", None)]
        spans = ({"when": "each-picture"}, {"when": "never"}, {"for_s": 60, "every_s": 600}, {"when": "all-night"})
        if movers and rng.random() < 0.6:
            night["copying"] = {rng.choice(movers): rng.choice(spans)}
        if movers and rng.random() < 0.4:
            night["remote_desktop"] = {"through": rng.choice(movers), "mb_per_s": 1}
        return night

    # -- parts ------------------------------------------------------------------------------------------------------

    def _computer(self, inline: dict[str, Any]) -> dict[str, Any]:
        rng = self.rng
        computer = {**self._profile("computer", inline), **self._facts(ComputerFacts, 0.15)}
        if rng.random() < 0.5:
            computer.update(self._ports())
        name = computer.get("profile")
        known = self.known[name].sockets if name in self.known else ()
        ports = (*(socket.name for socket in known), *inline.get(name, {}).get("ports", ()), *computer.get("ports", ()))
        if not ports or rng.random() < 0.02:
            ports = (*ports, *(f"usb{rng.choice('23')}-{n}" for n in range(1, 5)))
        self.free += [f"computer/{port}" for port in dict.fromkeys(ports)]
        return computer

    def _ports(self) -> dict[str, Any]:
        rng = self.rng
        uplinks = (None, "pcie1x1", "pcie2x1", "pcie3x4", "pcie5x16", "0", "0.5", "120", "900")
        controllers = {self._name(): {"uplink": rng.choice(uplinks)} for _ in range(rng.choice((0, 1, 1, 2)))}
        for controller in controllers.values():
            if controller["uplink"] is None:
                del controller["uplink"]
        ports = {}
        for number in range(rng.choice((1, 2, 4, 6))):
            port: dict[str, Any] = {}
            if controllers and rng.random() < 0.7:
                port["controller"] = rng.choice(list(controllers))
            if rng.random() < 0.7:
                port["speed"] = rng.choice(("low", "full", "high", "high", "super", "super", "super-plus"))
            if rng.random() < 0.4:
                port["usb2_bus"] = rng.choice("ab")
            if rng.random() < 0.1:
                port["kind"] = rng.choice(("usb", "serial"))
            ports[rng.choice((f"usb3-{number}", f"usb2-{number}", f"serial-{number}", self._name()))] = port
        found: dict[str, Any] = {"ports": ports}
        if controllers:
            found["controllers"] = controllers
        return found

    def _hub(self, inline: dict[str, Any]) -> dict[str, Any]:
        hub = {**self._profile("hub", inline), **self._facts(HubFacts, 0.35)}
        return self._with_leg(hub)

    def _device(self, inline: dict[str, Any]) -> dict[str, Any]:
        rng = self.rng
        device = self._profile("device", inline)
        if rng.random() < 0.8:
            device["role"] = rng.choice(("imaging", "guiding", *ROLES))
        if device.get("role") in ("imaging", "guiding") and "profile" not in device:
            device.update(speed=rng.choice(("high", "super")), width_px=self._figure("width_px", 1, 200_000, int),
                          height_px=self._figure("height_px", 1, 200_000, int))
        device.update(self._facts(DeviceFacts, rng.choice((0.0, 0.1, 0.4))))
        if rng.random() < 0.7:
            device["use"] = self._facts(UseFacts, 0.4)
        if rng.random() < 0.3:
            device["serial"] = self._facts(SerialFacts, 0.7)
        return self._with_leg(device)

    def _with_leg(self, part: dict[str, Any]) -> dict[str, Any]:
        rng = self.rng
        if rng.random() < 0.5:
            length = rng.choice((0, 0.2, 1, 3, 5.5, 20, 200))
            cable = {"length_m": length, "grade": rng.choice(("usb2", "usb3")), "active": rng.random() < 0.3,
                     "gauge_awg": rng.randint(4, 36)}
            part["cable"] = {key: value for key, value in cable.items() if rng.random() < 0.6}
        if rng.random() < 0.2:
            part["identity"] = {"vendor_id": "00fa", "product_id": rng.choice(("0001", "00E1"))}
            if rng.random() < 0.5:
                part["identity"]["serial"] = self._word()
        if rng.random() < 0.1:
            part["note"] = self._word()
        return part

    def _fact(self, part: dict[str, Any], inline: dict[str, Any], name: str, default: Any) -> Any:
        """A fact of a part, from itself or from its profile."""
        profile = part.get("profile")
        if profile in self.known:
            default = value_of(getattr(self.known[profile].facts, name), default)
        elif profile in inline:
            fact = inline[profile]["facts"].get(name, default)
            default = fact["value"] if isinstance(fact, dict) else fact
        return part.get(name, default)

    def _plug(self, hubs: dict[str, Any], devices: dict[str, Any], inline: dict[str, Any]) -> None:
        """Plugs every part into a socket of one before it, mostly a free one; hubs come before devices."""
        rng = self.rng
        for name, part in (*hubs.items(), *devices.items()):
            if rng.random() < 0.93 and self.free:
                plug = rng.choice(self.free[-12:] if rng.random() < 0.5 else self.free)
                part["plug"] = plug
                if rng.random() < 0.95:
                    self.free.remove(plug)
            if name in hubs:
                self.free += [f"{name}/{n}" for n in range(1, self._fact(part, inline, "ports", 4) + 1)]
                continue
            prefix = "usb3" if self._fact(part, inline, "hub_speed", "").startswith("super") else "usb2"
            self.free += [f"{name}/{prefix}-{n}" for n in range(1, self._fact(part, inline, "hub_ports", 0) + 1)]
            self.free += [f"{name}/serial-{n}" for n in range(1, self._fact(part, inline, "serial_sockets", 0) + 1)]

    def _power(self, parts: list[str]) -> dict[str, Any]:
        rng = self.rng
        supplies: dict[str, Any] = {}
        for _ in range(rng.choice((0, 1, 2))):
            supplies[self._name()] = {"volts": rng.choice((1, 12, 13.2, 60)), "amps": rng.choice((0.01, 5, 1000))}
        leads = {}
        for _ in range(rng.choice((0, 1, 3, 6)) if supplies else 0):
            source, to = rng.choice((*supplies, *parts)), rng.choice(parts)
            if source != to:
                lead = {"length_m": rng.choice((0, 1, 200)), "gauge_awg": rng.randint(4, 36), "fuse_amps": 5}
                kept = {key: value for key, value in lead.items() if rng.random() < 0.6}
                leads[self._name()] = {"from": source, "to": to, **kept}
        return {"supplies": supplies, "leads": leads}

    # -- profiles and figures ---------------------------------------------------------------------------------------

    def _profiles(self) -> dict[str, Any]:
        rng = self.rng
        found: dict[str, Any] = {}
        for _ in range(rng.choice((0, 0, 0, 1, 3))):
            kind = rng.choice(("computer", "hub", "device"))
            model = {"computer": ComputerFacts, "hub": HubFacts, "device": DeviceFacts}[kind]
            facts: dict[str, Any] = self._facts(model, 0.4)
            if rng.random() < 0.3:
                facts = {key: {"value": value, "source": self._word()} for key, value in facts.items()}
            found[self._name()] = {"kind": kind, "facts": facts, "summary": self._word(), "source": self._word()}
            last = found[list(found)[-1]]
            if kind == "device":
                last["role"] = rng.choice(ROLES)
                last["serial"] = self._facts(SerialFacts, 0.3)
            if kind == "computer":
                last.update(self._ports())
        return found

    def _profile(self, kind: str, inline: dict[str, Any]) -> dict[str, Any]:
        chance = self.rng.random()
        if chance < 0.5:
            return {"profile": self.rng.choice(self.profiles[kind])}
        own = [name for name, entry in inline.items() if entry["kind"] == kind]
        return {"profile": self.rng.choice(own)} if own and chance < 0.8 else {}

    def _facts(self, record: type[Record], chance: float) -> dict[str, Any]:
        """Values for some of a class's keys, each within the bounds the class gives."""
        return {
            each.name: self._value(each) for each in declared(record) if self.rng.random() < chance
        }

    def _value(self, each: Declared) -> Any:
        rng = self.rng
        if each.name == "roi":
            return f"{rng.choice((1, 640, 999999))}x{rng.choice((1, 480, 999999))}"
        if each.choices:
            return rng.choice(each.choices)
        if each.type is bool:
            return rng.random() < 0.5
        assert each.bounds.low is not None and each.bounds.high is not None
        return self._figure(each.name, each.bounds.low, each.bounds.high, each.type)

    def _figure(self, name: str, low: float, high: float, kind: type[float]) -> float:
        rng = self.rng
        chance = rng.random()
        if chance < 0.75 and name in PLAUSIBLE:
            return rng.choice(PLAUSIBLE[name])
        if chance < 0.85:
            return rng.choice((low, high))
        least = max(low, 1e-5) if low >= 0 else low
        value = least * (high / least) ** rng.random() if least > 0 else rng.uniform(low, high)
        return int(value) if kind is int else float(f"{min(max(value, low), high):.6g}")

    def _name(self) -> str:
        while True:
            name = self._word()
            if name not in self.names and "/" not in name:
                self.names.add(name)
                return name

    def _word(self) -> str:
        rng = self.rng
        if rng.random() < 0.7:
            return f"{rng.choice(('part', 'cam', 'hub', 'x'))}{rng.randint(0, 9999)}"
        return "".join(rng.choice(PRINTABLE) for _ in range(rng.choice((1, 3, 12, 64)))).strip() or "x"


def as_text(rig: dict[str, Any]) -> str:
    """Content as YAML: a line for each part, so that lines can be moved and doubled."""
    lines = []
    for key, value in rig.items():
        if isinstance(value, dict) and key in ("hubs", "devices", "profiles", "power") and value:
            lines.append(f"{key}:")
            lines += [f"  {_scalar(name)}: {_flow(entry)}" for name, entry in value.items()]
        else:
            lines.append(f"{key}: {_flow(value)}")
    return "\n".join(lines) + "\n"


def _flow(value: Any) -> str:
    if isinstance(value, dict):
        return "{" + ", ".join(f"{_scalar(key)}: {_flow(inner)}" for key, inner in value.items()) + "}"
    return _scalar(value)


def _scalar(value: Any) -> str:
    return json.dumps(value, ensure_ascii=False) if isinstance(value, str) else json.dumps(value)
