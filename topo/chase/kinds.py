"""Kinds of suspects, one entry each: how likely before anything is known, what it reaches, what mends it. The priors.

To change a prior, change `weight` here (or the factor of a symptom in `symptoms.py`). All weights are common practice,
no source; only their ratios count, and being off by a factor of three hardly changes which test comes next. They
were anchored at how many public threads and manuals advise a fix (supply 12, short cable 10, transfer limit 10, another
socket 8): counts of sources, not how often things fail.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import field

from topo.chase import reach
from topo.chase.wires import Wires, Wiring
from topo.frozen import frozen
from topo.model.chase import Victims


@frozen
class SuspectKind:
    """A kind of suspect. `words` and `fix` name the piece as `{piece}`; `pieces` finds what this rig has of it.

    `reach` gives the devices that show the trouble in a wiring. `electrical`: whoever it reaches drops off the bus.
    `contact`: touching it may heal it for a while. `causes` gives factors for symptoms that do not list it, `tells`
    chances of looks that do not list it. `relief` is what the person may stop worrying about once this is the name.
    """

    name: str
    weight: float
    words: str
    fix: str
    pieces: Callable[[Wires, Victims], tuple[str, ...]]
    reach: Callable[[Wiring, str], frozenset[str]]
    electrical: bool = False
    contact: bool = False
    power: bool = False
    causes: Mapping[str, float] = field(default_factory=dict)
    tells: Mapping[str, tuple[float, ...]] = field(default_factory=dict)
    relief: str = ""

    def said(self, words: str, piece: str) -> str:
        """Words of this kind with the piece filled in."""
        return words.format(piece=piece.replace(reach.BETWEEN, " and ") if self.name == "sharing" else piece)


KINDS: tuple[SuspectKind, ...] = (
    SuspectKind(
        "cable", 10, "the cable of {piece}, or one of its plugs",
        "Put a new, short cable of the same grade on {piece}, and relieve its plugs of all pull.",
        reach.legs, reach.cable, electrical=True, contact=True,
    ),
    SuspectKind(
        "superspeed", 4, "the SuperSpeed pairs of the cable of {piece}",
        "Put a USB 3 cable of at most 2 m on {piece}; until then it runs at USB 2 and shares that bus.",
        reach.fast_legs, reach.superspeed, electrical=True, contact=True,
    ),
    SuspectKind(
        "socket", 6, "the socket {piece}",
        "Leave the socket {piece} empty: tape over it, and use another.",
        reach.sockets, reach.socket, electrical=True, contact=True,
    ),
    SuspectKind(
        "hub", 5, "the hub {piece} itself (chip, cold, wet)",
        "Replace {piece} by a hub rated for the cold, or plug what matters straight into the computer.",
        reach.hubs, reach.hub, electrical=True,
    ),
    SuspectKind(
        "hub-sag", 5.6, "the supply of the hub {piece}, which sags when a load steps",
        "Feed {piece} by a lead or a supply of its own, thicker and shorter.",
        reach.fed_hubs, reach.hub_sag, electrical=True, power=True,
    ),
    SuspectKind(
        "hub-dead", 2.4, "the supply of the hub {piece}, which gives nothing",
        "Replace the supply of {piece} by one of the volts and polarity on its label.",
        reach.fed_hubs, reach.hub_dead, electrical=True, power=True,
    ),
    SuspectKind(
        "controller", 2, "the computer's controller {piece}",
        "Use sockets of another controller, and renew the computer's firmware.",
        reach.controllers, reach.controller, electrical=True,
    ),
    SuspectKind(
        "device", 4, "{piece} itself",
        "{piece} needs its maker: newer firmware first, then repair.",
        reach.devices, reach.device, electrical=True,
    ),
    SuspectKind(
        "lead", 3, "a contact of the 12 V lead {piece}: plug or fuse holder",
        "Make new contacts on {piece}: crimped, of the right size, with the same fuse as before.",
        reach.leads, reach.lead, electrical=True, contact=True, power=True,
    ),
    SuspectKind(
        "supply", 3, "the supply {piece}, which sags under load",
        "Take a supply with twice the amps for {piece}, or put heaters and coolers on one of their own.",
        reach.supplies, reach.supply, electrical=True, power=True,
    ),
    SuspectKind(
        "sharing", 8, "sharing one bus: {piece}",
        "Put one of {piece} on another bus: `topo rewire` and `topo place` say which plug.",
        reach.pairs, reach.sharing,
        relief="No part is broken: sound parts want one bus at the same moment.",
    ),
    SuspectKind(
        "limit", 12, "the transfer limit in the driver of {piece}, set too high",
        "Leave the limit of {piece} at the value that held, and write it down.",
        reach.limited, reach.limit, relief="No part is broken: it is a setting.",
    ),
    SuspectKind(
        "suspend", 5, "power saving of the computer",
        "Leave power saving off for these parts, and look at the effective value after the next start.",
        reach.sleepy, reach.suspend, relief="No part is broken: it is a setting.",
    ),
    SuspectKind(
        "asleep", 3, "power saving of the computer, which puts {piece} to sleep",
        "Leave power saving off for {piece}, and look at the effective value after the next start.",
        reach.awake_by_role, reach.asleep, causes={"fails-after-idle": 6},
        relief="No part is broken: it is a setting.",
    ),
    SuspectKind(
        "port-name", 6, "the name by which the program of {piece} opens it",
        "Let the program of {piece} open the name that lasts: `topo names` shows it; label the socket.",
        reach.talkers, reach.port_name, causes={"port-gone": 3, "wrong-answers": 6, "port-in-use": 0.7},
        relief="No part is broken: a program opens the wrong name.",
    ),
    SuspectKind(
        "holder", 4, "another program or service that has the port of {piece}",
        "Stop that program or service for good, or tell it to leave {piece} alone: `topo explain may-be-probed`.",
        reach.talkers, reach.holder,
        causes={"port-in-use": 8, "port-gone": 1.5, "wrong-answers": 0.7, "fails-after-idle": 0.3},
        relief="No part is broken: two programs want one port.",
    ),
    SuspectKind(
        "radio", 3, "the 2.4 GHz radio beside USB 3",
        "Stay at 5 GHz or on a wire, or put the radio on a short extension away from USB 3 plugs.",
        reach.wireless, reach.radio,
    ),
    SuspectKind(
        "sky", 6, "mount or sky, no wire at all",
        "Look at balance, backlash, wind and seeing; the wires are cleared.",
        reach.guided, reach.sky, relief="This is not the USB: no cable, hub or camera is at fault.",
    ),
    SuspectKind(
        "host", 6, "the computer itself (program, processor, disk, buffers)",
        "Renew the driver and the program, save to a faster disk, and stop what else runs at night.",
        reach.whole, reach.host,
    ),
    SuspectKind(
        "other", 5, "something that is not listed here",
        "Ask others: `topo pack` writes down what was tried. What is cleared need not be tried again.",
        reach.whole, reach.everything,
    ),
)
"""Every kind, in the order of listing."""

KIND_OF = {kind.name: kind for kind in KINDS}
