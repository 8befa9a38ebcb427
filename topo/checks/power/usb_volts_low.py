"""A part gets fewer than the volts USB promises, at the end of its cable.

A USB 3 device has to work at 4.00 V at its own end (USB 3.1 11.4.2), a USB 2 device at 4.40 V (USB 2.0 7.2.2). A socket
has 5 V, and may have no more than 4.45 V on USB 3 and 4.75 V on USB 2. The rest goes in the cable: 900 mA over 3 m of
28 AWG cost 1.4 V. Below its volts a camera drops out, mostly when it starts to read out or when it is cold; a hub
without a supply hands on what little reaches it.

A fault where it is so from a socket of 5 V; a risk where only from one at the low end of the standard; a note where
that is the low end of USB 3 and the part runs at USB 2, whose own standard promises it more. Cables of unknown gauge
or length are listed as not judged.

Wrong if a meter between cable and device shows more volts under load.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial
from typing import TYPE_CHECKING

from topo.checks.cases import rig
from topo.frozen import replace
from topo.model.change import Proposal, SetCable
from topo.model.check import Case, Check
from topo.model.facts import Fact, Figure
from topo.model.finding import Finding
from topo.model.plain import plain
from topo.usb.limits import DEVICE_VOLTS_USB3
from topo.words.apart import apart

if TYPE_CHECKING:
    from topo.analysis.study import Study
    from topo.model.power import UsbPower

THICKER_AWG = (24, 22, 20)
"""Power wires of USB cables that are easy to come by."""


def find(study: Study) -> Iterator[Finding]:
    """One finding for each part with too few volts."""
    for usb in study.usb_power:
        if usb.volts is None or usb.volts.low >= usb.floor:
            continue
        from topo.checks.power_help import fixed  # only here: few rigs come so far

        is_likely = usb.volts.likely < usb.floor
        part = study.rig.part(usb.part)
        shown = usb.volts.likely if is_likely else usb.volts.low
        yield Finding(
            name="usb-volts-low",
            severity="fault" if is_likely else "note" if _promised_more(study, usb) else "risk",
            certainty="certain" if usb.volts.high < usb.floor else "possible",
            part=usb.part,
            place=part.place,
            message=f"{plain(usb.part)} {'gets' if is_likely else 'may get'} {apart(shown, usb.floor, 2)} V over its "
            f"cable, and a USB device needs {usb.floor:.2f} V.",
            figures=_figures(usb),
            refuted_by="a meter between cable and device shows more volts under load",
            fix=fixed(
                _offers(study, usb), partial(_again, usb.part),
                "Use a shorter cable, or one with thicker power wires; or put a hub with its own supply near it.",
            ),
        )  # fmt: skip


def _promised_more(study: Study, usb: UsbPower) -> bool:
    """A device that runs at USB 2 in a USB 3 socket: its own standard promises it 4.75 V there, the socket's 4.45 V."""
    leg = study.topology.leg(usb.part)
    return leg is not None and leg.socket.speed.is_superspeed and usb.floor > DEVICE_VOLTS_USB3


def _figures(usb: UsbPower) -> tuple[Figure, ...]:
    return (
        Figure("volts at its end", usb.volts, "V", usb.volts_basis),
        Figure("volts at the socket", usb.volts_at_socket, "V", "profile"),
        Figure("drawn with all behind it", usb.drawn_ma, "mA", usb.drawn_basis),
    )


def _again(part: str, study: Study) -> tuple[Figure, ...]:
    usb = next((each for each in study.usb_power if each.part == part), None)
    return () if usb is None or usb.volts is None else _figures(usb)


def _offers(study: Study, usb: UsbPower) -> Iterator[Proposal]:
    """The same cable with thicker power wires."""
    cable = study.rig.part(usb.part).cable
    if cable.gauge_awg is None or cable.length_m is None:
        return
    for gauge in THICKER_AWG:
        if gauge < cable.gauge_awg.value:
            words = f"a cable of {cable.length_m.value:g} m with power wires of {gauge} AWG for {plain(usb.part)}"
            yield Proposal((SetCable(usb.part, replace(cable, gauge_awg=Fact(gauge, "declared"))),), (words,))


def _rig(gauge: int, bus_ma: int, length_m: float = 3) -> str:
    cable = f"{{length_m: {length_m:g}, gauge_awg: {gauge}, grade: usb3}}"
    return rig(f"a: {{speed: super, bus_ma: {bus_ma}, plug: computer/usb3-1, cable: {cable}}}")


CHECK = Check(
    name="usb-volts-low",
    summary="a part gets fewer than the volts USB promises, at the end of its cable",
    tested_by="`topo watch RIG` notes each drop through a night, with the time",
    explanation=__doc__,
    severities=("fault", "risk", "note"),
    find=find,
    scope="controller",
    cases=(
        Case("300 mA over 3 m of 24 AWG", _rig(24, 300), 0),
        Case("900 mA over 3 m of 28 AWG", _rig(28, 900), 1),
        Case("900 mA over 2 m of 24 AWG, from a socket of 4.45 V", _rig(24, 900, 2), 1),
    ),
)
