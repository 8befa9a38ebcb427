"""The night of a rig: who does what, as the file plans it, and as most people do it where the file is silent.

`nights_of` is the one verb: a wired rig and its traffic become `Nights`, the plan with its links at three levels. What
was assumed is listed in words in the plan.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from typing import TYPE_CHECKING, TypeVar

from topo.model.facts import Fact, Range3, value_of
from topo.model.figures import amount
from topo.model.night import SEEING, Copying, Guiding, Mount, NightPlan, Shooting
from topo.model.rig import Device, NightWishes, Rig
from topo.model.traffic import Traffic
from topo.night.casting import SCREEN, casts_of
from topo.night.mounts import mount_motion, mount_of_guide
from topo.night.outcome import Nights
from topo.usb.traffic import screen_traffic

if TYPE_CHECKING:
    from topo.night.run import Cast
    from topo.wiring.topology import Topology

T = TypeVar("T")

HOURS = 8.0
GAP_S = 0.5
GUIDE_EXPOSURE_S = 2.0
EXPOSURE_S = 120.0
FRAMES_PER_FILTER, FILTER_S = 20, 5.0
DITHER_EVERY, SETTLE_S = 3, 10.0
FOCUS_EVERY_MIN, FOCUS_FRAMES, FOCUS_EXPOSURE_S = 60.0, 9, 4.0
SCREEN_MB_PER_S = 1.0
"""What a night is like where nobody said: common practice, no source."""

MOST_CYCLES = 60_000.0
"""Exposures and copies simulated of a night; one with more is cut short. Guiding each 0.5 s for 8 h fits."""

OVERHEAD_S = Range3(0.1, 0.3, 0.75)
GAIN = Range3(0.4, 0.7, 0.9)
NOISE_ARCSEC = Range3(0.2, 0.3, 0.6)
TIMEOUT_S = Range3(5.0, 10.0, 15.0)
"""A guide loop of which nothing is said: published settings and issue threads of guide programs; star noise is common
practice. The low end of star noise is the harsh one: large noise hides lateness."""


def nights_of(topology: Topology, traffic: Traffic) -> Nights:
    """The nights of a rig as planned, ready to be simulated."""
    rig = topology.rig
    remote = rig.night.remote
    screen = Traffic((), ())
    if remote is not None:
        screen = screen_traffic(topology, remote.through, remote.mb_per_s or SCREEN_MB_PER_S)
    casts = casts_of(rig, traffic, screen)
    return Nights(_Planner(rig, casts["likely"]).plan(), casts)


def simulated_s(
    seconds: float, cameras: Iterable[Guiding | Shooting], copying: Iterable[Copying], alone_s: Mapping[str, float]
) -> float:
    """How much of a night is simulated with these cameras and copies: no more than `MOST_CYCLES` of them together."""
    rate = math.fsum(1.0 / (each.exposure_s + alone_s[each.camera]) for each in cameras)
    rate += math.fsum(1.0 / each.every_s for each in copying)
    return min(seconds, MOST_CYCLES / rate) if rate > 0.0 else seconds


class _Planner:
    """Reads the wishes of a rig and notes what it had to assume."""

    def __init__(self, rig: Rig, cast: Cast) -> None:
        self.rig, self.cast = rig, cast
        self.wishes: NightWishes = rig.night
        self.assumed: list[str] = []
        bursts = {flow.name for flow in cast.flows if not flow.steady}
        self.cameras = [part for part in rig.devices if part.id in bursts]
        self.guides = [part for part in self.cameras if part.role == "guiding"]

    def plan(self) -> NightPlan:
        """All of it. What was assumed stands in the order in which it was asked for."""
        facts = self.wishes.facts
        hours = self._or(facts.hours, HOURS, f"{HOURS:g} hours of pictures")
        guiding = tuple(self._guiding(part) for part in self.guides)
        shooting = tuple(self._shooting(part) for part in self.cameras if part.role != "guiding")
        seeing = SEEING if facts.seeing_arcsec is None else Range3.of(facts.seeing_arcsec.value)
        if facts.seeing_arcsec is None and guiding and shooting:
            self._note(f"stars {SEEING.low:g} to {SEEING.high:g} arcsec wide")
        copying = self._copying(shooting, hours * 3600.0)
        seconds = self._bounded(hours * 3600.0, (*guiding, *shooting), copying)
        return NightPlan(seconds, shooting, guiding, copying, seeing, tuple(dict.fromkeys(self.assumed)),
                         hours * 3600.0)

    def _bounded(self, seconds: float, cameras: Sequence[Guiding | Shooting], copying: Sequence[Copying]) -> float:
        """Less of the night where exposures are so short that all of it would take too long to simulate."""
        most = simulated_s(seconds, cameras, copying, self.cast.alone_s)
        if most < seconds:
            self._note(f"the first {amount(most, 's')} stand for the night, since exposures are that short")
        return min(seconds, most)

    # -- cameras ----------------------------------------------------------------------------------------------------

    def _guiding(self, part: Device) -> Guiding:
        facts = self.wishes.facts
        mount = mount_motion(mount_of_guide(self.rig, part))
        exposure = self._exposure(part, GUIDE_EXPOSURE_S)
        overhead = part.use.gap_s or facts.guide_overhead_s
        return Guiding(
            part.id, exposure, self._marked(mount),
            self._range(overhead, OVERHEAD_S, "guide cycles with {} s besides exposure and transfer"),
            self._range(facts.guide_gain, GAIN, "a guiding gain of {}"),
            self._range(facts.star_noise_arcsec, NOISE_ARCSEC, "a guide star that jumps by {} arcsec between frames"),
            self._range(facts.guide_timeout_s, TIMEOUT_S, "guiding that gives a frame up {} s after its exposure"),
            value_of(facts.guide_wait_s, 0.0),
        )

    def _marked(self, mount: Mount) -> Mount:
        if not mount.known:
            swing, period = mount.peak_to_peak_arcsec, mount.period_s
            self._note(f"a mount that swings by {swing.low:g} to {swing.high:g} arcsec in {period.low:g} to "
                       f"{period.high:g} s")
        return mount

    def _shooting(self, part: Device) -> Shooting:
        facts = self.wishes.facts
        exposure = self._exposure(part, EXPOSURE_S)
        pictures = part.role == "imaging"
        gap = value_of(part.use.gap_s)
        if gap is None:
            gap = GAP_S if pictures else 0.0
            if pictures:
                self._note(f"{GAP_S:g} s from a download to the next exposure")
        if not pictures:
            return Shooting(part.id, exposure, gap, pictures=False)
        guide = self._guide_of()
        roles = {device.role for device in self.rig.devices}
        overlapped = self._or(facts.overlapped, False, "a shutter that stays closed while a picture downloads")
        dither, settle = self._dithers(guide is not None)
        focus = 0.0
        if "focuser" in roles or facts.focus_every_min is not None:
            focus = self._or(facts.focus_every_min, FOCUS_EVERY_MIN, f"a focus run each {FOCUS_EVERY_MIN:g} minutes")
        filters = 0
        if "filter-wheel" in roles or facts.frames_per_filter is not None:
            filters = self._or(facts.frames_per_filter, FRAMES_PER_FILTER, f"{FRAMES_PER_FILTER} pictures a filter")
        return Shooting(
            part.id, exposure, gap, True, overlapped, guide, dither, settle, focus * 60.0,
            value_of(facts.focus_frames, FOCUS_FRAMES), value_of(facts.focus_exposure_s, FOCUS_EXPOSURE_S),
            filters, value_of(facts.filter_change_s, FILTER_S),
        )

    def _dithers(self, guided: bool) -> tuple[int, float]:
        """Pictures from one dither to the next, and seconds of settling."""
        facts = self.wishes.facts
        every = value_of(facts.dither_every)
        if every is None:
            every = DITHER_EVERY if guided else 0
            if every:
                self._note(f"a dither after each {every} pictures")
        settle = value_of(facts.settle_s)
        if settle is None:
            settle = SETTLE_S
            if every:
                self._note(f"{SETTLE_S:g} s of settling after a dither")
        return every, settle

    def _guide_of(self) -> str | None:
        """The guide camera that a dither is settled by: the only one, else the first of the file."""
        if len(self.guides) > 1:
            self._note(f"dithers that wait for {self.guides[0].id}")
        return self.guides[0].id if self.guides else None

    def _exposure(self, part: Device, usual: float) -> float:
        exposure = value_of(part.use.exposure_s)
        if exposure is None:
            self._note(f"{usual:g} s of exposure of {part.id}")
        return usual if exposure is None else exposure

    # -- copying ----------------------------------------------------------------------------------------------------

    def _copying(self, shooting: tuple[Shooting, ...], seconds: float) -> tuple[Copying, ...]:
        """Copies that come and go. Those without a plan go on all night, as does the screen."""
        steady = {flow.name: flow.cap for flow in self.cast.flows if flow.steady}
        wishes = {each.part: each for each in self.wishes.copying}
        found = []
        for part in self.rig.devices:
            rate, wish = steady.get(part.id), wishes.get(part.id)
            if rate is None or part.role not in ("network", "storage"):
                continue
            if wish is None:
                self._note(f"copying by {part.id} all night")
            elif wish.for_s is not None and wish.every_s is not None:
                found.append(Copying(part.id, min(wish.for_s, wish.every_s), wish.every_s))
            elif wish.when == "never":
                found.append(Copying(part.id, 0.0, 2.0 * seconds))
            elif wish.when == "each-picture":
                found += self._each_picture(part.id, rate, shooting)
        if SCREEN in steady and self.wishes.remote is not None and self.wishes.remote.mb_per_s is None:
            self._note(f"a remote desktop of {SCREEN_MB_PER_S:g} MB/s")
        return tuple(found)

    def _each_picture(self, name: str, rate: float, shooting: tuple[Shooting, ...]) -> tuple[Copying, ...]:
        """As long as all pictures of one round take at its rate, once in the shortest round; all the time if longer."""
        rounds = [(each.exposure_s + each.gap_s + self.cast.alone_s[each.camera], self.cast.sizes[each.camera])
                  for each in shooting if each.pictures]
        if not rounds:
            return (Copying(name, 0.0, 2.0 * self.wishes_seconds),)
        every = min(took for took, _ in rounds)
        takes = max(size * every / took / rate for took, size in rounds) * len(rounds)
        return (Copying(name, takes, every),) if takes < every else ()

    @property
    def wishes_seconds(self) -> float:
        """The night in seconds."""
        return value_of(self.wishes.facts.hours, HOURS) * 3600.0

    # -- what is assumed --------------------------------------------------------------------------------------------

    def _note(self, words: str) -> None:
        self.assumed.append(words)

    def _or(self, fact: Fact[T] | None, usual: T, words: str) -> T:
        if fact is None:
            self._note(words)
            return usual
        return fact.value

    def _range(self, fact: Fact[float] | None, usual: Range3, words: str) -> Range3:
        if fact is not None:
            return Range3.of(fact.value)
        self._note(words.format(f"{usual.low:g} to {usual.high:g}"))
        return usual
