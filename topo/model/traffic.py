"""Resources and flows: what the USB room hands on. From here on the arithmetic would work for water."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from topo.frozen import frozen

if TYPE_CHECKING:
    from topo.model.facts import Basis, Range3
    from topo.model.line import SerialLine

LinkKind = Literal["usb2-bus", "translator", "superspeed", "uplink", "serial-line"]
Direction = Literal["both", "in", "out"]
FlowKind = Literal["still", "video", "serial", "network", "storage"]


@frozen
class Resource:
    """A link with a capacity.

    Capacity is bus time: seconds per second that flows may use, at the low, likely and high end of what hosts are
    seen to deliver, after periodic reservations came off. `ceiling_mb_per_s` is what the protocol allows a single
    bulk flow; `expected_mb_per_s` what hosts are seen to deliver. `legs` are the parts whose plug starts this link
    (one for a SuperSpeed leg, several for a bus). `reserved` is the share taken by periodic endpoints, `streamed` what
    isochronous streams take of it.
    """

    id: str
    kind: LinkKind
    direction: Direction
    label: str
    ceiling_mb_per_s: float
    expected_mb_per_s: Range3
    capacity: Range3
    reserved: float = 0.0
    legs: tuple[str, ...] = ()
    basis: Basis = "profile"
    assumption: str = ""
    streamed: float = 0.0


@frozen
class Use:
    """A flow's use of a resource: seconds of bus time for each payload byte."""

    resource: str
    seconds_per_byte: float


@frozen
class Flow:
    """Data a device moves. Rates are payload bytes per second.

    A burst flow (`still`) moves `frame_bytes` each `period_s`; a steady one (`video`, `serial`, …) asks for
    `demand_bytes_per_s` all the time. `cap_bytes_per_s` is the most its source gives (readout, settings);
    `fixed_s` a time each frame costs besides its bytes, ascending. Flows that compete for a resource get payload in
    proportion to `weight` (hosts serve endpoints in turn, a packet each, so the packet size is the weight).
    """

    device: str
    kind: FlowKind
    direction: Literal["in", "out"]
    frame_bytes: float
    period_s: float | None
    demand_bytes_per_s: float
    cap_bytes_per_s: float
    fixed_s: Range3
    weight: float
    uses: tuple[Use, ...]
    basis: Basis = "profile"

    @property
    def is_burst(self) -> bool:
        """True for frames that come one at a time, with the link idle between them."""
        return self.kind == "still"


@frozen
class Traffic:
    """All resources, flows and serial lines of a rig, in the order of the file. A line that is polled is a resource."""

    resources: tuple[Resource, ...]
    flows: tuple[Flow, ...]
    lines: tuple[SerialLine, ...] = ()
