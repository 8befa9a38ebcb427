"""A study: one rig with everything computed from it. Checks, reports and pictures read it; nothing changes it."""

from __future__ import annotations

import copy
import itertools
from functools import cached_property
from typing import TYPE_CHECKING

from topo.analysis.cut import cut, groups
from topo.analysis.devices import EachDevice
from topo.analysis.levels import Level, knows_links, levels
from topo.analysis.links import asked_of, link_outcomes
from topo.analysis.pairs import Shared, shared_links
from topo.frozen import replace
from topo.model.night import DISCIPLINES
from topo.model.power import PowerOutcome
from topo.night.planned import nights_of
from topo.night.situation import costs, lateness_of
from topo.night.verdict import delay_of, guided, harmless, is_trouble, severity_of
from topo.progress import at
from topo.serial.lines import serial_lines
from topo.usb.traffic import traffic
from topo.wiring.apply import apply
from topo.wiring.topology import Topology

if TYPE_CHECKING:
    from collections.abc import Iterable

    from topo.analysis.pulses import PulseOutcome
    from topo.model.change import SetCable, SetUse
    from topo.model.facts import Range3
    from topo.model.feeds import Lead
    from topo.model.finding import Severity
    from topo.model.line import SerialLine
    from topo.model.night import Cost, Guided, GuideDelay, Lateness
    from topo.model.outcome import DeviceOutcome, LinkOutcome, Lost
    from topo.model.power import PowerNight, UsbPower
    from topo.model.rig import Device, Part, Rig
    from topo.model.traffic import Flow, Traffic
    from topo.night.moment import CloseUp
    from topo.night.outcome import Nights
    from topo.night.situation import Situation


_count = itertools.count(1)


class Study:
    """Everything computed of a rig. Raises CommandError where its plugs run in a loop.

    `links`, `devices`, `guided` and `shared` follow the order of the file. `what_if` studies the rig after a change,
    for checks whose finding is about another night (a leg that carries no SuperSpeed any more).
    """

    def __init__(self, rig: Rig, topology: Topology | None = None) -> None:
        """`topology` is that of the rig, where who asks has made it already."""
        at("rigs computed", next(_count))
        self.rig = rig
        self.topology = Topology(rig) if topology is None else topology
        self._studied: dict[tuple[object, ...], Study] = {}
        self._delays: dict[str, GuideDelay] = {}
        self._verdicts: dict[str, Guided] = {}
        self._severities: dict[str, Severity | None] = {}

    def __deepcopy__(self, memo: dict[int, object]) -> Study:
        """A study of a copy of the rig that shares nothing with this one, for code that is not trusted to only read."""
        return Study(copy.deepcopy(self.rig, memo))

    @cached_property
    def lines(self) -> tuple[SerialLine, ...]:
        """Every serial line with somebody on it."""
        return serial_lines(self.topology)

    @cached_property
    def traffic(self) -> Traffic:
        """Resources and flows."""
        return traffic(self.topology, self.lines)

    @cached_property
    def _flows(self) -> dict[str, Flow]:
        return {flow.device: flow for flow in self.traffic.flows}

    @cached_property
    def levels(self) -> tuple[Level, ...]:
        """The low, likely and high end of what is uncertain."""
        return levels(self.traffic)

    @cached_property
    def shared(self) -> tuple[Shared, ...]:
        """Which guide camera shares which scarce links with which flow."""
        return shared_links(self.topology, self.traffic, self.levels)

    @cached_property
    def nights(self) -> Nights:
        """The nights as planned, ready to be simulated."""
        return nights_of(self.topology, self.traffic)

    @cached_property
    def delays(self) -> tuple[GuideDelay, ...]:
        """How late the frames of each guide camera of single frames may come. No night is simulated for it."""
        return tuple(map(self._delay, self._guides))

    @cached_property
    def guided(self) -> tuple[Guided, ...]:
        """What the night does to each guide camera of single frames and, through it, to the pictures."""
        return tuple(map(self._verdict, self._guides))

    @property
    def guides(self) -> Iterable[str]:
        """The guide cameras of single frames that are known, in the order of the file."""
        return self._guides

    @cached_property
    def _guides(self) -> dict[str, None]:
        """The guide cameras of single frames that are known, in the order of the file."""
        return dict.fromkeys(each.camera for each in self.nights.plan.guiding)

    def close_up(self, guide: str, camera: str) -> CloseUp | None:
        """The worst end of an exposure of a camera beside a guide camera; None where either takes no single frames."""
        from topo.night.moment import close_up

        shot = next((each for each in self.nights.plan.shooting if each.camera == camera), None)
        if guide not in self._guides or shot is None:
            return None
        flow = self.flow(camera)
        download_s = 0.0 if flow is None or not flow.is_burst else self._outcomes.together_s(flow).high
        return close_up(self._situation(guide), self._delay(guide), shot, download_s)

    @cached_property
    def worst_close_up(self) -> CloseUp | None:
        """That of the guide camera that sharing hits most; None where no guide camera is there beside pictures."""
        from topo.night.moment import worst_of

        found = worst_of((self._situation(guide), self._delay(guide)) for guide in self._guides)
        return None if found is None else self.close_up(*found)

    def close_ups(self, then: Study | None) -> tuple[CloseUp | None, CloseUp | None]:
        """`worst_close_up`, and the same in the rig with something done."""
        here = self.worst_close_up
        return here, None if here is None or then is None else then.close_up(here.guide, here.camera)

    def _situation(self, camera: str) -> Situation:
        if camera not in self._guides:
            raise KeyError(camera)
        return self._outcomes.situation(camera)

    def _delay(self, camera: str) -> GuideDelay:
        if camera not in self._delays:
            self._delays[camera] = delay_of(self._situation(camera), *self._outcomes.loss(self._devices[camera]))
        return self._delays[camera]

    def _verdict(self, camera: str) -> Guided:
        if camera not in self._verdicts:
            found = guided(self._situation(camera), self._delay(camera))
            sure = found.severity is None or self.knows_links(camera)  # what is assumed of links is the harsher of both
            self._verdicts[camera] = found if sure else replace(found, certainty="possible")
        return self._verdicts[camera]

    @cached_property
    def devices(self) -> tuple[DeviceOutcome, ...]:
        """Every device of the rig."""
        return tuple(map(self._outcomes.of, self.rig.devices))

    @cached_property
    def _outcomes(self) -> EachDevice:
        return EachDevice(self.topology, self.traffic, self.levels, self.nights, self.delay_of)

    @cached_property
    def links(self) -> tuple[LinkOutcome, ...]:
        """Every link that carries something or has something reserved."""
        return link_outcomes(self.traffic, self.levels, self.devices)

    @cached_property
    def leads(self) -> dict[str, Lead]:
        """The leads of the 12 V side by their ids."""
        return {lead.id: lead for lead in self.rig.leads}

    @cached_property
    def power(self) -> PowerOutcome:
        """Amps and volts on the 12 V side."""
        if not self.rig.has_power_side:
            return PowerOutcome()
        from topo.power.dc import power_of

        return power_of(self.rig)

    @cached_property
    def power_night(self) -> PowerNight:
        """How batteries get through a usual night, and what falls out in it."""
        from topo.power.through_night import what_falls_out

        return what_falls_out(self.rig)

    @cached_property
    def volts_at_night(self) -> PowerNight:
        """The same, with volts at every plug."""
        from topo.power.through_night import night_power

        return night_power(self.rig)

    @cached_property
    def usb_power(self) -> tuple[UsbPower, ...]:
        """The 5 V of every USB plug."""
        from topo.power.vbus import usb_power

        return usb_power(self.topology, frozenset(end for lead in self.rig.leads for end in lead.ends))

    @cached_property
    def pulses(self) -> tuple[PulseOutcome, ...]:
        """What each serial line does to the guide pulses that go over it."""
        if not any(line.pulse is not None and line.askers for line in self.lines):
            return ()
        from topo.analysis.pulses import pulse_outcomes

        return pulse_outcomes(self.topology, self.lines, self.nights.plan)

    def fed_otherwise(self, rig: Rig) -> Study:
        """The study of a rig that differs in nothing but what supplies and leads are: what hangs on none of that is
        not computed anew, nor other nights that were asked of this one."""
        found = copy.copy(self)
        found.rig = rig
        for name in ("leads", "power", "power_night", "volts_at_night"):
            found.__dict__.pop(name, None)
        return found

    def device(self, part_id: str) -> DeviceOutcome:
        """The outcome of one device. Raises KeyError."""
        return self._outcomes.of(self._devices[part_id])

    def loss(self, part_id: str) -> Lost:
        """Whether a device loses frames of single pictures. Raises KeyError."""
        return self._outcomes.loss(self._devices[part_id])[0]

    def verdict_on(self, camera: str) -> Guided | None:
        """What the night does to one guide camera; None where it is none, or takes no frames that are known."""
        return self._verdict(camera) if camera in self._guides else None

    def severity_on(self, camera: str) -> Severity | None:
        """The severity of `verdict_on` a guide camera, told sooner; None where it is none."""
        if camera in self._verdicts or camera not in self._guides:
            known = self._verdicts.get(camera)
            return None if known is None else known.severity
        if camera not in self._severities:
            self._severities[camera] = severity_of(self._situation(camera))
        return self._severities[camera]

    def delay_of(self, camera: str) -> GuideDelay | None:
        """How late one guide camera's frames may come; None where it is none, or takes no frames that are known."""
        return self._delay(camera) if camera in self._guides else None

    def knows_links(self, part_id: str) -> bool:
        """Whether nothing is assumed of who shares the links of a device's data, and how; True where it has none."""
        flow = self.flow(part_id)
        return flow is None or knows_links(self.traffic, flow)

    def plainly_loses(self, part_id: str) -> bool:
        """Whether a device loses frames at every end of what is seen, wired as it is taken to be. Raises KeyError."""
        return self._outcomes.plainly_loses(self._devices[part_id])

    def loses(self, part_id: str) -> bool:
        """Whether the outcome of a device says that it loses frames, or may. Raises KeyError."""
        return self._outcomes.loses(self._devices[part_id])

    def alone_s(self, part_id: str) -> Range3 | None:
        """Seconds that a frame of a device takes alone; None where it moves no frames."""
        flow = self.flow(part_id)
        return self._outcomes.alone_s(flow) if flow is not None and flow.frame_bytes > 0 else None

    def asked_mb_per_s(self, part_id: str) -> float:
        """What a device asks for, MB/s. Raises KeyError where it moves nothing."""
        return self._outcomes.asked[part_id] / 1e6

    def busiest(self, here: frozenset[str] | None = None) -> float:
        """The busiest link (of those that begin at these parts), as the share of what it is likely to deliver that is
        asked of it at the most."""
        return max((
            self._asked[each.id] / each.expected_mb_per_s.likely for each in self.traffic.resources
            if here is None or not here.isdisjoint(each.legs)
        ), default=0.0)

    @cached_property
    def _asked(self) -> dict[str, float]:
        return asked_of(self.traffic, {name: each / 1e6 for name, each in self._outcomes.asked.items()})

    def may_lose(self, part_id: str) -> bool:
        """Whether `loss` of a device is not no, told sooner. Raises KeyError."""
        return self._outcomes.may_lose(self._devices[part_id])

    def is_trouble(self, camera: str) -> bool:
        """Whether a little tells that `verdict_on` a guide camera is a fault or a risk; False proves nothing."""
        return camera in self._guides and is_trouble(self._situation(camera))

    def minds_sharing(self, camera: str) -> bool:
        """Whether a guide camera loses frames by what it shares, or may, or that could do harm by their lateness."""
        return camera in self._guides and (self.may_lose(camera) or not harmless(self._situation(camera)))

    def lateness(self, camera: str) -> tuple[Lateness, ...]:
        """How late a guide camera's frames come, fair and others first, over many phases. Raises KeyError."""
        here = self._situation(camera)
        return tuple(lateness_of(here, discipline) for discipline in DISCIPLINES)

    def likely_cost(self, guide: str, camera: str) -> Cost | None:
        """What sharing does to one camera's pictures as likely, over many nights; None where none of them ends in what
        is simulated. Raises KeyError."""
        return costs(self._situation(guide).waiting, camera, "likely")

    def link(self, link_id: str) -> LinkOutcome:
        """The outcome of one link. Raises KeyError."""
        return next(link for link in self.links if link.id == link_id)

    def link_label(self, link_id: str) -> str:
        """What one link is called. Raises KeyError."""
        return self._labels[link_id]

    def flow(self, part_id: str) -> Flow | None:
        """What a device moves, or None."""
        return self._flows.get(part_id)

    def of_role(self, *roles: str) -> tuple[Part, ...]:
        """The devices with one of these roles, in the order of the file."""
        return tuple(part for part in self.rig.devices if part.role in roles)

    def what_if(self, change: SetCable | SetUse, *beside: str) -> Study:
        """What a change of one part's cable or setting does to all that hangs on its controller, and on those of the
        parts `beside`; what hangs on others is left out (`cut.py`). Remembered, since checks ask the same again."""
        key = change, *beside
        if key not in self._studied:
            wanted = {change.part, *beside}
            together = {n for names in self._groups.values() if not wanted.isdisjoint(names) for n in names}
            alone = apply(cut(self.rig, frozenset(together)), change)
            self._studied[key] = Study(alone, Topology(alone, self.topology))
        return self._studied[key]

    @cached_property
    def _groups(self) -> dict[str, list[str]]:
        return groups(self.topology)

    @cached_property
    def _labels(self) -> dict[str, str]:
        return {resource.id: resource.label for resource in self.traffic.resources}

    @cached_property
    def _devices(self) -> dict[str, Device]:
        return {device.id: device for device in self.rig.devices}
