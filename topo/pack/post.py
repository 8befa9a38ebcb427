"""The post: from the report of a redacted rig to what helpers ask for, in their order. Layout is elsewhere.

Order and questions follow what helpers asked back in public threads, counted in the project's notes.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from topo.draw.picture import picture
from topo.draw.scene import Scene
from topo.draw.tree import plain_text, tree_lines
from topo.model.cautions import SHORT
from topo.model.facts import value_of
from topo.model.figures import UNKNOWN, percent, seconds
from topo.model.finding import Finding
from topo.model.plain import plain
from topo.pack.unknown import questions, unknown
from topo.report.compose import Report

TRIED = (
    "a short cable on that leg", "the device alone", "another socket or controller", "another computer",
    "another supply, volts under load", "a lower transfer limit",
)
PLUGIN_TEXT = "a plugin found this; its words are left out"


@dataclass(frozen=True, slots=True)
class PostFinding:
    """A finding as the post tells it."""

    head: str
    message: str
    refuted_by: str
    fix: str


@dataclass(frozen=True, slots=True)
class Post:
    """All of a post. `tree` is text of at most 80 columns; `questions` are for the person to answer."""

    question: str
    summary: tuple[tuple[str, str], ...]
    tree: str
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
        summary=_summary(report, scene), tree=_tree(scene), told=tuple(map(_told, report.findings)), tried=TRIED,
        questions=questions(report.study, has_scan), unknown=unknown(report.study), removed=tuple(removed),
        seen=tuple(seen), caution=SHORT if _speaks_of_power(report) else "", picture=picture_file,
    )


def _tree(scene: Scene) -> str:
    """The wiring alone: no title, no findings of parts (they follow), figures on every leg."""
    nodes = tuple(replace(node, marks=()) for node in scene.nodes)
    wires = tuple(
        wire if wire.kind == "inside" else replace(wire, length=wire.length or "? m")
        if wire.kind != "power" else wire for wire in scene.wires
    )
    bare = replace(scene, title="", verdict="", told=(), cautions=(), nodes=nodes, wires=wires)
    return plain_text(tree_lines(bare, 76, ascii_only=True, details=False)).strip("\n")


def _summary(report: Report, scene: Scene) -> tuple[tuple[str, str], ...]:
    rig = report.study.rig
    computer = rig.computer
    system = value_of(computer.facts.os, f"system {UNKNOWN}")
    hubs = [f"{plain(hub.id)} {_powered(value_of(hub.facts.powered))}" for hub in rig.hubs]
    supplies = [f"{plain(s.id)} {s.volts:g} V" + ("" if s.amps is None else f" {s.amps:g} A") for s in rig.supplies]
    return (
        ("Verdict", scene.verdict),
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
        told.append(f"{plain(device.id)} ({device.role}) {speed}, exposure "
                    + (UNKNOWN if exposure is None else f"{exposure:g} s"))
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
        chance = "" if device.chance is None else f", in {percent(device.chance)} of downloads"
        told.append(f"{plain(device.id)} up to {seconds(late.high)} late{chance}; lost: {device.lost}{nothing}")
    return "; ".join(told) or UNKNOWN


def _told(finding: Finding) -> PostFinding:
    head = f"{finding.severity}, {finding.certainty}: {plain(finding.name, 60)} at {plain(finding.part, 64)}"
    if finding.supplied_by and not finding.supplied_by.startswith("topo"):
        return PostFinding(head, PLUGIN_TEXT, "", "")
    fix = finding.fix.text if finding.fix else ""
    if finding.fix is not None and finding.fix.plan is not None:
        fix += " (computed: clears it)"
    return PostFinding(head, plain(finding.message, 400), plain(finding.refuted_by, 300) or UNKNOWN, plain(fix, 300))


def _speaks_of_power(report: Report) -> bool:
    rig = report.study.rig
    return bool(rig.supplies or rig.leads or rig.hubs) or any(
        figure.unit in ("A", "mA", "V", "W") for finding in report.findings for figure in finding.figures)
