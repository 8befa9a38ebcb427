"""Who does what in a night: guide cameras, cameras of single frames, copies. Each calls itself on the stage.

A guide camera whose link nobody else will use for a while jumps over its cycles; it knows from the others of its
group how long that is. The time of correction pulses is part of its cycle, drawn at random: without it the phases of
two loops lock, and every meeting of a night is the same.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from random import Random
from typing import TYPE_CHECKING

from topo.model.night import NEVER, Copying, GuideNight, Happening, Late, Shooting, ShootingNight

if TYPE_CHECKING:
    from topo.night.stage import Stage

ON_TIME = 1e-6
"""Seconds by which a frame may differ from its time alone and still count as on time."""

GIVE_UP_S = 60.0
"""How long past its settling time a camera waits for a guide frame before it goes on all the same (common practice)."""


class Guide:
    """A guide camera's loop in time. `alone_s`: its transfer with nothing else on its links, without fixed times."""

    def __init__(self, stage: Stage, name: str, size: float, exposure_s: float, alone_s: float, after_s: float,
                 pulse: tuple[float, float], wait_s: float, dice: Random) -> None:
        self.stage, self.name, self.size = stage, name, size
        self.exposure_s, self.alone_s, self.after_s = exposure_s, alone_s, after_s
        self.pulse, self.wait_s, self.dice = pulse, wait_s, dice
        self.channel, self.group = stage.channels[name], stage.groups[name]
        self.jumps = True
        self.frames = 0
        self.late: list[Late] = []
        self.asked = -1.0
        self.passed = (0.0, 1.0, -1.0)
        """When the first of the frames jumped over last came, seconds from one to the next, when the last came."""
        self.waiting: list[tuple[float, Callable[[float], None]]] = []

    def when_settled(self, at: float, what: Callable[[float], None]) -> None:
        """Calls `what` as the first guide frame after a time comes; it may be one of those that were jumped over."""
        first, step, last = self.passed
        if at > last:
            self.waiting.append((at, what))
        else:
            self.stage.call(max(at, first + max(0.0, math.ceil((at - first) / step)) * step), what)

    def begin(self, now: float) -> None:
        """An exposure starts, after as many whole cycles as nothing happens in."""
        now = self._jump(now)
        self.channel.ahead = now + self.exposure_s
        self.stage.call(now + self.exposure_s, self._read)

    def night(self, until: float) -> GuideNight:
        """What came of it. A frame still awaited at the end never came where its link gives it nothing."""
        late = list(self.late)
        if self.asked >= 0.0:
            due = self.asked + self.alone_s
            by = NEVER if self._gets_nothing() else max(0.0, until - due)
            if by > self.exposure_s + self.alone_s:
                late.append(Late(due + self.after_s, until, by))
        return GuideNight(self.name, self.frames, tuple(late))

    def _gets_nothing(self) -> bool:
        """Whether what it waits behind goes on for ever: a download ends, a stream does not."""
        return self.channel.rate <= 0.0 and all(other is self.channel for other in self.group.bursts)

    def _read(self, now: float) -> None:
        self.asked = now
        self.frames += 1
        self.stage.send(self.name, self.size, self._come)

    def _come(self, now: float, first_lost: float) -> None:
        due = self.asked + self.alone_s
        lost = first_lost < math.inf
        by = now - due
        self.asked = -1.0
        if by > ON_TIME or lost:
            acts = due + self.after_s
            self.late.append(Late(acts, acts, max(0.0, by), 1, lost))
        if self.waiting:
            self._tell_waiting(now)
        then = now + self.after_s + (self.wait_s if lost else max(0.0, self.dice.gauss(*self.pulse)))
        self.channel.ahead = then + self.exposure_s
        if self.group.bursts:  # what runs now may be through by then
            self.stage.call(then, self.begin)
        else:
            self.begin(then)

    def _tell_waiting(self, now: float) -> None:
        told = [what for at, what in self.waiting if at <= now]
        self.waiting = [pair for pair in self.waiting if pair[0] > now]
        for what in told:
            what(now)

    def _jump(self, now: float) -> float:
        """The time to which cycles that meet nothing can be passed over."""
        if not self.jumps:
            return now
        until = self.group.others_ahead(self.channel)
        if until <= now:
            return now
        if self.stage.until < until:
            until = self.stage.until
            if until <= now:
                return now
        rate, behind = self.group.rate_if(self.channel)
        if rate <= 0.0:
            return now
        if self.waiting:
            until = min(until, *(at for at, _ in self.waiting))
        took, flow = self.size / rate, self.channel.flow
        lost = behind and (flow.cap - rate) * self.size / flow.cap > flow.buffer_bytes
        if lost:  # what overflows is not sent
            took = self.size / flow.cap + flow.buffer_bytes / rate
        each = self.exposure_s + took + self.after_s
        mean, scatter = (self.wait_s, 0.0) if lost else self.pulse
        count = int((until - now) / (each + mean)) if math.isfinite(until) else 0
        if count < 1:
            return now
        step = each + mean + (self.dice.gauss(0.0, scatter / math.sqrt(count)) if scatter else 0.0)
        count = min(count, int((until - now) / step))
        if count < 1:
            return now
        first = now + self.exposure_s + took
        self.passed = (first, step, first + (count - 1) * step)
        return self._passed(now, now + count * step, count, took - self.alone_s, lost)

    def _passed(self, now: float, then: float, count: int, by: float, lost: bool) -> float:
        self.frames += count
        if by > ON_TIME or lost:
            first = now + self.exposure_s + self.alone_s + self.after_s
            self.late.append(Late(first, then, max(0.0, by), count, lost))
        return then


class Shoot:
    """A camera of single frames in time: expose, download, pause, and now and then dither, focus, change the filter."""

    def __init__(self, stage: Stage, plan: Shooting, size: float, fixed_s: float, guide: Guide | None) -> None:
        self.stage, self.plan, self.size, self.fixed_s, self.guide = stage, plan, size, fixed_s, guide
        self.channel = stage.channels[plan.camera]
        self.opened = 0.0
        self.closed = 0.0
        self.count = 0
        self.next_focus = plan.focus_every_s or math.inf
        self.soonest = min(plan.exposure_s, plan.focus_exposure_s) if plan.focus_every_s else plan.exposure_s
        self.short_frames = 0
        self.pending = False
        self.held = False
        self.settling = False
        self.pictures: list[tuple[float, float]] = []
        self.downloads: list[tuple[float, float]] = []
        self.lost: list[float] = []
        self.happenings: list[Happening] = []
        self.dark = 0.0

    def open(self, now: float) -> None:
        """The shutter opens."""
        self.opened = now
        self.channel.ahead = now + self.plan.exposure_s
        self.stage.call(now + self.plan.exposure_s, self._close)

    def night(self) -> ShootingNight:
        """What came of it."""
        return ShootingNight(
            self.plan.camera, tuple(self.pictures), tuple(self.downloads), self.dark, tuple(self.lost)
        )

    def _close(self, now: float) -> None:
        if self.pending:  # the last picture is still on its way: the shutter has to stay open until it is through
            self.held = True
            return
        self.pictures.append((self.opened, now))
        self.count += 1
        self.closed = now
        self.pending = True
        self.stage.send(self.plan.camera, self.size, self._come)
        if self.plan.overlapped and self._goes_on(now):
            self.open(now)

    def _goes_on(self, now: float) -> bool:
        """Whether nothing has to be done between this picture and the next."""
        plan = self.plan
        dithers = plan.dither_every and self.count % plan.dither_every == 0
        changes = plan.filter_every and self.count % plan.filter_every == 0
        return not dithers and not changes and now < self.next_focus

    def _come(self, now: float, first_lost: float) -> None:
        self.pending = False
        self.downloads.append((self.closed, now + self.fixed_s))
        if first_lost < math.inf:
            self.lost.append(first_lost)
        if self.plan.overlapped and self.opened >= self.closed:
            self.channel.ahead = self.opened + self.plan.exposure_s
            if self.held:
                self.held = False
                self._close(now)
            return
        self.dark += now + self.fixed_s - self.closed
        then = now + self.fixed_s + self.plan.gap_s
        self.channel.ahead = then + self.soonest
        if self.plan.focus_every_s or not self._goes_on(then):
            self.stage.call(then, self._between)
        else:
            self.opened = then
            self.stage.call(then + self.plan.exposure_s, self._close)

    def _between(self, now: float) -> None:
        """What comes before the next picture: a filter, a focus run, a dither; then the shutter."""
        plan = self.plan
        if plan.filter_every and self.count % plan.filter_every == 0:
            self.happenings.append(Happening("filter-change", now, plan.filter_s, plan.camera))
            now += plan.filter_s
        if now >= self.next_focus:
            self.next_focus = now + plan.focus_every_s
            self.short_frames = plan.focus_frames
            self.happenings.append(Happening("focus-run", now, plan.focus_frames * plan.focus_exposure_s, plan.camera))
            self._focus(now)
            return
        self._dither(now)

    def _focus(self, now: float) -> None:
        """A focus run: short frames, each sent as a whole."""
        if not self.short_frames:
            self._dither(now)
            return
        self.short_frames -= 1
        self.channel.ahead = now + self.plan.focus_exposure_s
        self.stage.call(now + self.plan.focus_exposure_s,
                        lambda at: self.stage.send(self.plan.camera, self.size, self._focused))

    def _focused(self, now: float, first_lost: float) -> None:
        self.channel.ahead = now + self.fixed_s
        self.stage.call(now + self.fixed_s, self._focus)

    def _dither(self, now: float) -> None:
        plan = self.plan
        if not (plan.dither_every and self.count % plan.dither_every == 0):
            self.channel.ahead = now + plan.exposure_s
            if now > self.stage.now:
                self.stage.call(now, self.open)
            else:
                self.open(now)
            return
        self.happenings.append(Happening("dither", now, plan.settle_s, plan.camera))
        self.channel.ahead = now + plan.settle_s + plan.exposure_s
        settled = now + plan.settle_s
        if self.guide is None:
            self.stage.call(settled, self.open)
            return
        count = self.count
        self.settling = True
        self.guide.when_settled(settled, lambda at: self._go_on(at, count))
        self.stage.call(settled + GIVE_UP_S, lambda at: self._go_on(at, count))

    def _go_on(self, now: float, count: int) -> None:
        """The mount has settled after picture `count`, or nobody waits any longer."""
        if self.settling and count == self.count:
            self.settling = False
            self.open(now)


class Copy:
    """A steady flow that comes and goes."""

    def __init__(self, stage: Stage, plan: Copying) -> None:
        self.stage, self.plan = stage, plan
        self.channel = stage.channels[plan.flow]
        self.happenings: list[Happening] = []

    def begin(self, now: float) -> None:
        """It starts to ask."""
        self.stage.switch(self.plan.flow, True)
        self.happenings.append(Happening("copy", now, self.plan.on_s, self.plan.flow))
        self.channel.ahead = now + self.plan.on_s
        self.stage.call(now + self.plan.on_s, self._end)

    def _end(self, now: float) -> None:
        self.stage.switch(self.plan.flow, False)
        self.channel.ahead = now + self.plan.every_s - self.plan.on_s
        self.stage.call(self.channel.ahead, self.begin)
