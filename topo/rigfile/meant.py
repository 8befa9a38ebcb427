"""What people write for the words a key takes: `camera` for a role, `usb3` for a speed. Hints only; nothing is changed.

Words of the trade and of the USB standards; no maker's names.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

_IMAGING, _NETWORK, _STORAGE = ("imaging",), ("network",), ("storage",)
_ROLES: Mapping[str, tuple[str, ...]] = {
    **dict.fromkeys(("camera", "cam", "ccd", "cmos"), ("imaging", "guiding")),
    **dict.fromkeys(("main", "main-camera", "primary", "image", "planetary", "planet", "solar", "lunar"), _IMAGING),
    **dict.fromkeys(("deep-sky", "video", "lucky-imaging"), _IMAGING),
    **dict.fromkeys(("guide", "guider", "guide-camera", "guide-cam", "oag", "off-axis"), ("guiding",)),
    **dict.fromkeys(("tracker", "telescope", "eq", "goto"), ("mount",)),
    **dict.fromkeys(("focus", "focus-motor", "autofocus"), ("focuser",)),
    **dict.fromkeys(("wheel", "filter", "filters", "filterwheel"), ("filter-wheel",)),
    **dict.fromkeys(("heater", "dew-heater", "dew-controller", "dew-strap", "heaters"), ("dew",)),
    **dict.fromkeys(("power-box", "powerbox", "psu", "supply", "battery"), ("power",)),
    **dict.fromkeys(("wifi", "wi-fi", "wlan", "lan", "ethernet", "bluetooth", "radio", "internet"), _NETWORK),
    **dict.fromkeys(("disk", "disc", "ssd", "hdd", "drive", "usb-disk", "usb-stick", "stick", "backup"), _STORAGE),
    **dict.fromkeys(("flat", "flats", "cover", "panel"), ("flat-panel",)),
    **dict.fromkeys(("all-sky", "allsky", "adapter", "serial-adapter", "serial", "gps", "keyboard"), ("other",)),
}
_SPEEDS: Mapping[str, tuple[str, ...]] = {
    **dict.fromkeys(("1.5mb/s", "1.5"), ("low",)),
    **dict.fromkeys(("usb1", "usb1.0", "usb1.1", "1", "1.1", "12", "12mb/s", "12mbit/s", "12mbps"), ("full",)),
    **dict.fromkeys(("usb2", "usb2.0", "2", "2.0", "480", "480mb/s", "480mbit/s", "480mbps", "hi"), ("high",)),
    **dict.fromkeys(("usb3", "usb3.0", "usb3.1", "3", "3.0", "3.1", "5", "5gb/s", "5gbit/s", "5gbps"), ("super",)),
    **dict.fromkeys(("5000", "usb3gen1", "usb3.1gen1", "usb3.2gen1", "superspeed", "ss"), ("super",)),
    **dict.fromkeys(("10", "10gb/s", "10gbit/s", "10gbps", "10000"), ("super-plus",)),
    **dict.fromkeys(("usb3gen2", "usb3.1gen2", "usb3.2gen2", "superspeed+", "superspeedplus"), ("super-plus",)),
}  # fmt: skip
_GRADES: Mapping[str, tuple[str, ...]] = {
    **dict.fromkeys(("2", "2.0", "usb2.0", "high", "480"), ("usb2",)),
    **dict.fromkeys(("3", "3.0", "usb3.0", "usb3.1", "usb3.2", "super", "superspeed", "5gb/s"), ("usb3",)),
}
_MODES: Mapping[str, tuple[str, ...]] = {
    **dict.fromkeys(("stream", "streaming", "live", "planetary", "ser", "movie", "film"), ("video",)),
    **dict.fromkeys(("single", "photo", "stills", "frames", "exposure", "deep-sky", "long"), ("still",)),
}
_WORDS = {"role": _ROLES, "speed": _SPEEDS, "hub_speed": _SPEEDS, "grade": _GRADES, "mode": _MODES}


def meant_by(key: str, value: str) -> str:
    """The hint for a word that is not one of a key's own and has one meaning here; empty for any other."""
    word = value.strip().lower()
    folded = "-".join(word.replace("_", " ").split())
    if key == "grade" and folded in ("active", "optical", "fibre", "fiber"):
        return "a cable with a repeater inside is `active: true`"
    if key in ("speed", "hub_speed", "grade"):
        folded = folded.replace("-", "")
    found = _WORDS.get(key, {}).get(folded, ())
    return "write " + " or ".join(f"`{key}: {each}`" for each in found) if found else ""


_KEYS: tuple[tuple[str, tuple[str, ...], str], ...] = (
    (
        "width_px",
        ("megapixels", "megapixel", "mp", "mpix", "resolution", "pixels", "size", "sensor"),
        "write `width_px` and `height_px`, the pixels across and down",
    ),
    (
        "plug",
        ("port", "socket", "connected_to", "plugged_into", "usb", "usb_port", "connection", "parent"),
        "write `plug: PART/SOCKET`, for instance computer/usb3-1",
    ),
    ("role", ("type", "kind", "does"), "the key is `role`"),
    ("computer", ("laptop", "pc", "mini_pc", "minipc", "host", "notebook", "desktop"), "the key is `computer`"),
    (
        "supplies",
        ("battery", "supply", "psu", "power_supply", "mains"),
        "each goes under `supplies:`, with a name of its own and its volts",
    ),
    ("radio_2g4", ("wifi", "wi_fi", "wlan"), "2.4 GHz Wi-Fi is `radio_2g4: true`"),
)
"""A key of the schema, what people write for it, and the hint."""


def meant_by_key(key: str, known: Iterable[str]) -> str:
    """The hint for a key that has another name here; empty where none of the keys that may stand here is meant."""
    word = key.lower().replace("-", "_").replace(" ", "_")
    keys = tuple(known)
    return next((hint for right, words, hint in _KEYS if word in words and right in keys), "")
