"""Every free socket tried for a new device, ranked by what it does to the whole rig, with one line of why for each."""

from __future__ import annotations

import math
from collections.abc import Iterator

from topo.analysis.study import Study
from topo.errors import CommandError
from topo.frozen import frozen, replace
from topo.model.facts import Fact
from topo.model.finding import Finding
from topo.model.plain import plain
from topo.model.rig import COMPUTER, Part, Plug, Rig
from topo.model.speed import Speed
from topo.place.candidates import Candidate, candidates
from topo.place.consequence import Consequence, consequence, fresh_of, gone_findings, impossible, in_words
from topo.place.examiner import Examine
from topo.place.proposals import span
from topo.place.slower import made_slower
from topo.wiring.bought import best_behind, bought_hub, carried, free_name, hub_speed, hub_words
from topo.wiring.reach import Reach, ends_elsewhere, reach


@frozen
class Option:
    """One way to plug a part in: the socket, the rig with it, what it comes to, in pieces why it ranks where it does.

    `buy` names what would have to be bought (a hub, a longer cable); None where everything is there. `brings` are the
    faults and risks that come with it. `disturbs` is (faults and risks it brings, cameras that image or guide, other
    parts the night hangs on) among what moves onto a bought hub: the fewer the better, before all else.
    """

    plug: str
    rig: Rig
    study: Study
    findings: tuple[Finding, ...]
    consequence: Consequence
    why: tuple[str, ...]
    alike: int
    reach: Reach
    buy: str | None = None
    brings: tuple[Finding, ...] = ()
    disturbs: tuple[int, int, int] = (0, 0, 0)

    @property
    def is_at_hand(self) -> bool:
        """Whether nothing has to be bought, and the socket is not in another place."""
        return self.buy is None and self.reach.verdict != "elsewhere"


@frozen
class Placement:
    """All ways to plug a part in, best first; the sockets ruled out, each with its reason; the rig before it."""

    part: Part
    options: tuple[Option, ...]
    ruled_out: tuple[tuple[str, str], ...]
    before: Consequence

    @property
    def everywhere(self) -> tuple[str, ...]:
        """What holds whichever way is taken, so that it ranks none before another; empty where there is one way."""
        if len(self.options) < 2:
            return ()
        return tuple(piece for piece in self.options[0].why if all(piece in other.why for other in self.options))


def behind(option: Option, above: Option) -> str:
    """Why an option stands behind the one above it where all that is told of both is the same."""
    now, then = option.consequence, above.consequence
    for field, words in (("notes", "brings another note"), ("busiest", "its busiest link gets fuller"),
                         ("download_s", "downloads take longer"), ("depth", "one hub more in a row")):  # fmt: skip
        if getattr(now, field) > getattr(then, field):
            return words
    return "as good as the one above"


def place(
    rig: Rig,
    part: Part,
    examine: Examine,
    cable_m: float | None = None,
    near: str | None = None,
    kind: str | None = None,
) -> Placement:
    """Tries a part in every free socket. Raises CommandError where its id is in use or `near` is no part.

    The part is new to the rig, or stands in it with no plug (an orphan of plan B, with all that hangs on it). Where
    `near` is not told, what works at the telescope is taken to sit beside the imaging camera, as far as sockets in
    another place go (`reach.py`): these come last, however good they are. `kind` is the kind of socket an orphan's plug
    fits (usb, serial).
    """
    if any(part.id == other.id and other.plug is not None for other in rig.parts) or part.id == COMPUTER:
        raise CommandError(f"the rig has a part called {plain(part.id)} already; give another name with --name")
    if part.interface == "none":
        raise CommandError(f"{plain(part.id)} uses no USB, so it goes into no socket")
    if near is not None and all(near != other.id for other in rig.parts):
        raise CommandError(f"no part is called {plain(near)}")
    before = Study(rig)
    now = _Now(examine, before, examine(before))
    new = all(part.id != other.id for other in rig.parts)
    beside = near or (_beside(before, part) if new else None)
    found, ruled_out = candidates(before.topology, part, cable_m, near, beside, kind)
    options, refused = [], list(ruled_out)
    for candidate in found:
        option = _option(rig, part, candidate, now)
        if bad := impossible(now.findings, option.findings):
            refused.append((option.plug, bad[0].message))
        else:
            options.append(option)
    if not options or any(reason.startswith("a ") and "cable" in reason for _, reason in refused):
        options += _longer_cables(rig, part, refused, now, cable_m, near)
    if new and not any(option.is_at_hand for option in options):
        options += _with_a_hub(rig, part, now, beside)
    order = {option.plug: index for index, option in enumerate(options)}
    ranked = sorted(
        options,
        key=lambda option: (
            option.reach.verdict == "elsewhere",
            option.buy is not None,
            option.disturbs,
            (option.consequence.faults, option.consequence.risks),
            _wasted(option),
            option.consequence,
            option.reach.verdict == "try",
            order[option.plug],
        ),
    )
    return Placement(part, tuple(ranked), tuple(refused), consequence(before, now.findings))


def _wasted(option: Option) -> bool:
    """Whether a part takes a SuperSpeed socket it can make no use of, while others may need it."""
    return _is_wasted(option.study, option.plug)


def _is_wasted(study: Study, plug: str) -> bool:
    above, _, name = plug.partition("/")
    socket = study.rig.part(above).socket(name)
    parts = (part for part in study.rig.plugged if str(part.plug) == plug)
    own = next((best_behind(study.topology, part.id) for part in parts), None)
    return socket is not None and own is not None and socket.speed.is_superspeed and not own.is_superspeed


AT_THE_TELESCOPE = (
    "imaging", "guiding", "mount", "focuser", "rotator", "filter-wheel", "dew", "power", "flat-panel",
)  # fmt: skip
"""Roles whose parts sit on the telescope or its mount."""


def _beside(study: Study, part: Part) -> str | None:
    """The part at the telescope that a new one is taken to sit beside: the first camera that images, else guides."""
    if part.role not in AT_THE_TELESCOPE:
        return None
    wired = [p.id for role in ("imaging", "guiding") for p in study.of_role(role) if study.topology.leg(p.id)]
    return wired[0] if wired else None


@frozen
class _Now:
    """The rig before anything is placed, with its findings, and how to find them."""

    examine: Examine
    study: Study
    findings: tuple[Finding, ...]


def plugged(part: Part, above: str, socket: str) -> Part:
    """The part with its plug in a socket."""
    return replace(part, plug=Plug(above, socket))


def _option(
    rig: Rig, part: Part, candidate: Candidate, now: _Now, buy: str | None = None
) -> Option:
    with_part = rig.with_part(plugged(part, candidate.above, candidate.socket.name))
    study = Study(with_part)
    findings = now.examine(study)
    return Option(
        candidate.plug,
        with_part,
        study,
        findings,
        consequence(study, findings),
        _why(study, part, now.study, now.findings, findings, candidate),
        candidate.alike,
        candidate.reach,
        buy,
        fresh_of(now.findings, findings),
    )


def _why(study: Study, part: Part, before: Study, had: tuple[Finding, ...], findings: tuple[Finding, ...],
         candidate: Candidate) -> tuple[str, ...]:  # fmt: skip
    """In pieces: what comes and goes with this socket, what the device gets there, guiding, reach of the cable."""
    fresh = fresh_of(had, findings)
    gone = tuple(finding for finding in gone_findings(had, findings) if finding.severity != "note")
    pieces = [f"brings {in_words(fresh)}" if fresh else "brings no fault or risk"]
    pieces += [f"takes away {in_words(gone)}"] if gone else []
    device = next((d for d in study.devices if d.id == part.id), None)
    if device is not None and device.speed is not None:
        pieces.append(_speed_words(device.speed, device.could_be))
    was, now = _late(before), _late(study)
    if abs(now - was) > 0.0005:
        pieces.append(_late_words(now, was))
    elif study.of_role("guiding"):
        pieces.append("guiding as before" if before.of_role("guiding") else "guiding shares nothing scarce")
    if _is_wasted(study, candidate.plug):
        pieces.append("takes a USB 3 socket it makes no use of")
    way = candidate.reach
    if way.verdict == "elsewhere" and way.across is not None:
        pieces.append(f"in another place: the long leg of {plain(way.across)} lies between")
    if way.verdict == "try" and way.most_m is not None:
        pieces.append(f"check the reach: up to {way.most_m:.2g} m may be needed")
    return tuple(pieces)


def _late(study: Study) -> float:
    """The longest that guide frames may be late, in seconds."""
    delays = (d.delay_last_s.high for d in study.devices if d.delay_last_s is not None)
    return max(delays, default=0.0)


def _late_words(now_s: float, was_s: float) -> str:
    late = f"up to {now_s:.2g} s late" if math.isfinite(now_s) else "that may never come"
    return f"guide frames {late}, " + (
        f"{was_s:.2g} s without it" if math.isfinite(was_s) else "without it they may never come")


def _speed_words(speed: Speed, could_be: Speed | None) -> str:
    if could_be is not None and speed < could_be:
        return f"runs at {speed.label}, could do {could_be.label}"
    return f"runs at its full {speed.label}"


def _longer_cables(
    rig: Rig,
    part: Part,
    refused: list[tuple[str, str]],
    now: _Now,
    cable_m: float | None,
    near: str | None,
) -> Iterator[Option]:
    """Sockets that only the cable rules out, with a cable that reaches: an option that has to be bought."""
    topology = Study(rig).topology
    too_short = {plug for plug, reason in refused if reason.startswith(f"a {cable_m:g} m cable")} if cable_m else set()
    found, _ = candidates(topology, part, None, near)
    for candidate in found:
        least_m, most_m = candidate.reach.least_m, candidate.reach.most_m
        if candidate.plug in too_short and least_m is not None and most_m is not None:
            longer = replace(part, cable=replace(part.cable, length_m=Fact(most_m, "assumed")))
            candidate = replace(candidate, reach=replace(candidate.reach, verdict="unknown"))
            yield _option(
                rig,
                longer,
                candidate,
                now,
                buy=f"a cable of {span(least_m, most_m)} m",
            )


CAMERAS = ("imaging", "guiding")
NIGHT = ("mount", "network", "storage")
"""What the night hangs on besides cameras."""


def _with_a_hub(rig: Rig, part: Part, now: _Now, beside: str | None) -> Iterator[Option]:
    """A new hub in the socket of a part, which moves onto the hub beside the new one; a hub takes the socket itself.
    The socket is one of the computer's; where the computer is in another place, one of a hub that is not. Nothing that
    makes a device slower."""
    topology = now.study.topology

    def is_here(above: str) -> bool:
        return reach(topology, None, beside, above, None).across is None

    for other in rig.plugged:
        leg = topology.leg(other.id)
        if leg is None or other.plug is None or leg.socket.kind != "usb" or ends_elsewhere(other):
            continue
        if leg.above != COMPUTER and (is_here(COMPUTER) or not is_here(leg.above) or rig.part(leg.above).kind != "hub"):
            continue
        if leg.above == COMPUTER and not is_here(COMPUTER):
            continue
        if part.kind == "hub" and part.sockets:
            option = _option(
                rig.with_part(replace(other, plug=Plug(part.id, part.sockets[0].name))),
                part,
                Candidate(leg.above, leg.socket, 0, Reach("unknown")),
                now,
                buy=f"{plain(other.id)} to move from there onto it",
            )
        else:
            needed = hub_speed(topology, (other.id,), leg.above, leg.socket)
            own = Speed.HIGH if part.own_speed is None else Speed.from_word(part.own_speed.value)
            speed = max(needed, min(own, carried(topology, leg.above, leg.socket)))
            hub = bought_hub(free_name(rig), other.plug, speed=speed)
            option = _option(
                rig.with_part(hub).with_part(plugged(other, hub.id, "1")),
                part,
                Candidate(hub.id, hub.sockets[1], 2, Reach("unknown")),
                now,
                buy=f"{hub_words(speed)} in {plain(str(other.plug))}, with {plain(other.id)} on it",
            )
        if not made_slower(topology, option.study.topology) and not impossible(now.findings, option.findings):
            roles = [rig.part(name).role for name in (other.id, *topology.below(other.id))]
            cameras, others = (sum(role in which for role in roles) for which in (CAMERAS, NIGHT))
            yield replace(option, disturbs=(len(option.brings), cameras, others))
