"""Things of the 12 V side in words: what two plans are told apart by."""

from __future__ import annotations

from topo.model.declare import known
from topo.model.feeds import Converter, Lead, PowerBox, Supply, TerminalBlock
from topo.model.rig import Rig

FeedThing = Supply | TerminalBlock | PowerBox | Converter | Lead


def power_things(rig: Rig) -> tuple[FeedThing, ...]:
    """Everything between the plugs of the 12 V side, in the order they are listed."""
    return (*rig.supplies, *rig.blocks, *rig.boxes, *rig.converters, *rig.leads)


def power_words(thing: FeedThing) -> str:
    """All that is said of a thing, in one line."""
    words = [_head(thing)]
    if isinstance(thing, Supply) and thing.amps is not None:
        words.append(f"{thing.amps:g} A")
    words += [_said(name, fact.value) for name, fact in known(thing.facts)]
    if isinstance(thing, PowerBox):
        words += [f"channel {name} ({', '.join(_said(key, fact.value) for key, fact in known(facts))})"
                  for name, facts in thing.channels]  # fmt: skip
    return ", ".join(words)


def _head(thing: FeedThing) -> str:
    if isinstance(thing, Supply):
        return f"supply of {thing.volts:g} V"
    if isinstance(thing, Lead):
        begins = thing.source if thing.socket is None else f"{thing.source}/{thing.socket}"
        return f"lead from {begins} to {', '.join(thing.ends)}"
    if isinstance(thing, Converter):
        return f"converter to {thing.volts:g} V"
    return "block" if isinstance(thing, TerminalBlock) else "box"


_SHORT = {"length_m": "{} m", "gauge_awg": "AWG {}", "area_mm2": "{} mm²", "fuse_amps": "fuse {} A"}


def _said(name: str, value: object) -> str:
    text = f"{value:g}" if isinstance(value, float) else "yes" if value is True else str(value)
    return _SHORT[name].format(text) if name in _SHORT else f"{name.replace('_', ' ')} {text}"
