"""The post: from the report of a redacted rig to what helpers ask for, in their order. Layout is elsewhere.

Order and questions follow what helpers asked back in public threads, counted in the project's notes.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Literal

from topo.draw.legs import SERIAL_LINE
from topo.draw.picture import picture
from topo.draw.scene import Load, Scene
from topo.draw.tree import plain_text, tree_lines
from topo.frozen import frozen, replace
from topo.model.cautions import SHORT
from topo.model.facts import value_of
from topo.model.figures import UNKNOWN, seconds
from topo.model.plain import plain
from topo.pack.unknown import questions, unknown
from topo.report.compose import Report
from topo.report.families import families
from topo.wiring.instructions import as_computed
from topo.words.lists import counted, of_100, some_of
from topo.words.verdicts import verdict_words

if TYPE_CHECKING:
    from topo.report.families import Family

TRIED = (
    "a short cable on that leg", "the device alone", "another socket or controller", "another computer",
    "another supply, volts under load", "a lower transfer limit",
)
MOST_ALSO = 6

BUSY_LINE = 0.25
"""A serial line that is used less than this is not told of."""

PLUGIN_TEXT = "a plugin found this; its words are left out"


@frozen
class PostFinding:
    """A finding as the post tells it."""

    head: str
    message: str
    fix: str
    refuted_by: str


@frozen
class Post:
    """All of a post. `tree` is text of at most 80 columns, `feeds` that of the 12 V side, and `feeds_in_short` a line
    in its place; `questions` are for the person to answer, the most telling first."""

    question: str
    summary: tuple[tuple[str, str], ...]
    tree: str
    feeds: str
    feeds_in_short: str
    told: tuple[PostFinding, ...]
    tried: tuple[str, ...]
    questions: tuple[str, ...]
    unknown: tuple[str, ...]
    removed: tuple[str, ...]
    seen: tuple[str, ...]
    caution: str
    picture: str


def post(report: Report, seen: Sequence[str], removed: Sequence[str], has_scan: bool,
         picture_file: str = "diagram.png") -> Post:
    """The post of a report. `seen` are lines about a scan and a watch; `removed` what was taken out, in counts."""
    scene = picture(report.study, report.findings, first=report.first)
    return Post(
        question="(say here in one sentence what goes wrong and what you expected)",
        summary=_summary(report), tree=_tree(scene, "usb"), feeds=_tree(scene, "power"),
        feeds_in_short=_feeds_in_short(report), told=tuple(map(_told, families(report.findings))), tried=TRIED,
        questions=questions(report.study, has_scan), unknown=unknown(report.study), removed=tuple(removed),
        seen=tuple(seen), caution=SHORT if _speaks_of_power(report) else "", picture=picture_file,
    )


def _tree(scene: Scene, side: Literal["usb", "power"]) -> str:
    """The wiring alone, USB or 12 V: no title, no findings of parts (they follow), figures on every leg."""
    wires = tuple(
        wire if wire.kind in ("inside", "power")
        else replace(wire, length=wire.length or "? m", load=_worth_a_word(wire.load))
        for wire in scene.wires if (wire.kind == "power") == (side == "power")
    )
    ends = {key for wire in wires for key in (wire.above, wire.below)}
    fed = {key for wire in scene.wires if wire.kind == "power" for key in (wire.above, wire.below)}
    nodes = tuple(
        replace(node, marks=()) for node in scene.nodes
        if node.key in ends or (side == "usb" and node.key not in fed)
    )
    bare = replace(scene, title="", verdict="", told=(), cautions=(), nodes=nodes, wires=wires)
    return plain_text(tree_lines(bare, 76, ascii_only=True, details=False)).strip("\n")


def _worth_a_word(load: Load | None) -> Load | None:
    """The load of a leg; none where it is a serial line with room to spare, since most have one."""
    return None if load is not None and load.text.startswith(SERIAL_LINE) and load.share < BUSY_LINE else load


def _summary(report: Report) -> tuple[tuple[str, str], ...]:
    rig = report.study.rig
    computer = rig.computer
    system = value_of(computer.facts.os, f"system {UNKNOWN}")
    hubs = [f"{plain(hub.id)} {_powered(value_of(hub.facts.powered))}" for hub in rig.hubs]
    supplies = [f"{plain(s.id)} {s.volts:g} V" + ("" if s.amps is None else f" {s.amps:g} A") for s in rig.supplies]
    return (
        ("Verdict", verdict_words(report.findings, not report.troubles)),
        ("Computer", f"{plain(computer.profile) if computer.profile else f'kind {UNKNOWN}'}, {system}, "
                     f"{len(rig.devices)} devices, {len(rig.hubs)} hubs"),
        ("Cameras", _cameras(report)),
        ("Guiding", _guiding(report)),
        ("Power", "; ".join((*hubs, *supplies)) or UNKNOWN),
    )


def _powered(powered: bool | None) -> str:
    if powered is None:
        return f"supply {UNKNOWN}"
    return "powered" if powered else "bus-powered"


def _cameras(report: Report) -> str:
    told = []
    for device in report.study.devices:
        if device.role not in ("imaging", "guiding"):
            continue
        speed = device.speed.label if device.speed else f"speed {UNKNOWN}"
        use = report.study.rig.device(device.id).use
        exposure = value_of(use.exposure_s)
        told.append(f"{plain(device.id)} ({device.role}) {speed}, "
                    + (f"exposure {UNKNOWN}" if exposure is None else f"{exposure:g} s each"))
    return "; ".join(told) or UNKNOWN


def _guiding(report: Report) -> str:
    told = []
    for device in report.study.devices:
        late = device.delay_last_s
        if device.role != "guiding" or late is None:
            continue
        if late.high <= 0:
            told.append(f"{plain(device.id)} is held up by nothing")
            continue
        judged = report.study.verdict_on(device.id)
        nothing = "" if judged is None or judged.severity or judged.delay.lost != "no" else "; not seen in the stars"
        chance = "" if device.chance is None else f", at {of_100(device.chance)} downloads"
        lost = {"no": "", "possible": "; frames may be lost", "certain": "; frames are lost"}[device.lost]
        told.append(f"{plain(device.id)} up to {seconds(late.high)} late{chance}{lost}{nothing}")
    return "; ".join(told) or UNKNOWN


def _told(family: Family) -> PostFinding:
    """A finding, and the parts of those that are like it."""
    finding = family.finding
    also = f", also {some_of([each.part for _, each in family.alike], MOST_ALSO)}" if family.alike else ""
    head = f"{finding.severity}, {finding.certainty}: {plain(finding.name, 60)} at {plain(finding.part, 64)}{also}"
    if finding.supplied_by and not finding.supplied_by.startswith("topo"):
        return PostFinding(head, PLUGIN_TEXT, "", "")
    # the cautions of power stand once, at the end
    fix = "" if finding.fix is None else plain(finding.fix.text.replace(f" {SHORT}", ""), 300)
    if finding.fix is not None and finding.fix.plan is not None:
        fix += f" {as_computed(finding.fix.plan, finding)}"
    return PostFinding(head, plain(finding.message, 400), fix, plain(finding.refuted_by, 300) or UNKNOWN)


def _feeds_in_short(report: Report) -> str:
    rig = report.study.rig
    fed = counted(len(rig.leads), "lead")
    return f"12 V: {fed} from {some_of([each.id for each in rig.supplies], MOST_ALSO)}, all in rig.yaml and the picture"


def _speaks_of_power(report: Report) -> bool:
    rig = report.study.rig
    return bool(rig.has_power_side or rig.hubs) or any(
        figure.unit in ("A", "mA", "V", "W") for finding in report.findings for figure in finding.figures)
