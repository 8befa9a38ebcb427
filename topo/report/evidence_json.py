"""The evidence as one JSON object, `topo.evidence.1`. Its schema stands beside this file, in `evidence.schema.json`.

Times are seconds on the common clock, null where a file could not be joined. Ranges are [low, likely, high].
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from topo.report.asjson import finding_object, rounded

if TYPE_CHECKING:
    from topo.model.answers import Answers, Away, DropGroup, FileTold, Known, Link
    from topo.report.evidence import EvidenceReport

FORMAT_EVIDENCE = "topo.evidence.1"


def evidence_json(told: EvidenceReport) -> dict[str, Any]:
    """The evidence as a dictionary for `json.dumps`, with the keys of the schema in a fixed order."""
    report = told.report
    return {
        "format": FORMAT_EVIDENCE,
        "rig": report.rig if report else None,
        "file": report.file if report else None,
        "verdict": report.verdict if report else None,
        **answers_object(told.answers),
        "findings": [finding_object(finding) for finding in report.findings] if report else [],
        "plugins_failed": list(told.troubles),
    }


def answers_object(answers: Answers) -> dict[str, Any]:
    """What was answered: the keys from `clock` to `notes`."""
    return {
        "clock": answers.axis,
        "zone_s": rounded(answers.zone_s),
        "covered_s": None if answers.covered is None else [seconds(end) for end in answers.covered],
        "files": [_file(file) for file in answers.files],
        "dropped": [_group(group) for group in answers.groups],
        "did_not_come_up": [
            {"place": woe.path, "part": woe.part, "told": dict(woe.kinds), "errors": list(woe.errors),
             "settled": woe.settled, "where": _where(woe.file, woe.line)} for woe in answers.ports],
        "counted": [{"kind": each.kind, "place": each.path, "part": each.part, "count": each.count,
                     "where": _where(each.file, each.line)} for each in answers.counted],
        "port_names": [{"place": each.path, "part": each.part, "names": list(each.names),
                        "where": _where(each.file, each.line)} for each in answers.port_names],
        "taken_from_driver": [
            {"place": each.path, "part": each.part, "driver": each.driver, "program": each.program,
             "count": each.count, "where": _where(each.file, each.line)} for each in answers.taken],
        "computer": [
            {"what": each.kind, "at_s": seconds(each.at_s), "until_s": seconds(each.until_s),
             "by_s": rounded(each.seconds), "where": _where(each.file, each.line)} for each in answers.happenings],
        "not_seen": list(answers.unseen),
        "between_scans": [
            {"before": each.before, "after": each.after,
             "changes": [{"place": one.path or None, "part": one.part, "what": one.words} for one in each.changes]}
            for each in answers.between],
        "guiding": [
            {"source": each.source, "frames": each.frames, "cadence_s": rounded(each.cadence_s),
             "late": len(each.late), "lost": len(each.lost), "jumps": len(each.jumps), "unit": each.unit or None}
            for each in answers.guiding],
        "lined_up": [_link(link) for link in answers.links],
        "over_nights": [
            {"clock": each.clock, "nights": each.nights, "in_nights": each.hits, "events": each.events,
             "at_s": rounded(each.at_s), "within_s": rounded(each.spread_s), "p": rounded(each.p),
             "fits_as_well": list(each.alike)} for each in answers.nights],
        "refuted": [{"cause": each.cause, "part": each.part or None, "because": each.because, "limit": each.limit}
                    for each in answers.refuted],
        "measured": [_known(each) for each in answers.known],
        "request_waits": [
            {"device": each.device, "part": each.part, "kind": each.kind, "endpoint": each.endpoint & 127,
             "direction": "in" if each.endpoint & 128 else "out" if each.endpoint else "both",
             "requests": each.requests, "wait_s": [seconds(each.low_s), seconds(each.median_s), seconds(each.high_s)]}
            for each in answers.waits],
        "notes": list(answers.notes),
    }


def seconds(value: float | None) -> float | None:
    """A time to the microsecond; None for one that is not known."""
    return None if value is None or not abs(value) < 1e11 else round(value, 6)


def _where(file: str, line: int) -> dict[str, Any]:
    return {"file": file, "line": line}


def _file(file: FileTold) -> dict[str, Any]:
    return {
        "name": file.name, "kind": file.kind or None, "reader": file.reader or None, "from_s": seconds(file.first_s),
        "to_s": seconds(file.last_s), "uncertainty_s": rounded(file.give_s), "joined_by": file.joined_by or None,
        "events": file.events, "skipped": list(file.skipped), "problem": file.problem or None,
    }


def _group(group: DropGroup) -> dict[str, Any]:
    return {
        "at_s": seconds(group.at_s), "kind": group.kind, "asleep": group.drops[0].asleep,
        "common": group.common or None, "common_part": group.common_part, "controller": group.controller or None,
        "stayed": list(group.stayed), "in_stages": group.staged, "both_sides": group.both_sides,
        "left": [_away(drop) for drop in group.drops],
    }


def _away(drop: Away) -> dict[str, Any]:
    return {
        "place": drop.path, "part": drop.part, "at_s": seconds(drop.at_s), "uncertainty_s": rounded(drop.give_s),
        "own_clock_s": seconds(drop.own_s), "clock": drop.clock, "away_s": rounded(drop.away_s),
        "device_number": drop.number, "where": _where(drop.file, drop.line),
    }


def _link(link: Link) -> dict[str, Any]:
    return {
        "glitch": link.glitch, "with": link.cause, "verdict": link.verdict, "why": link.why or None,
        "hits": link.hits, "of": link.count, "by_chance": rounded(link.expected), "share_of_time": rounded(link.share),
        "interval": [rounded(link.low), rounded(link.high)], "p_corrected": rounded(link.p),
        "p_shift": rounded(link.p_shift), "p_within_cycles": rounded(link.p_cycle), "questions": link.questions,
        "needed": link.needed, "caused_at_most": rounded(link.bound), "delay_s": rounded(link.delay_s),
        "clock_uncertainty_s": rounded(link.give_s), "overlaps": list(link.overlaps),
    }


def _known(each: Known) -> dict[str, Any]:
    return {
        "device": each.device, "part": each.part, "what": each.what, "value": [rounded(end) for end in each.value],
        "unit": each.unit, "count": each.count, "fact": each.fact or None,
        "planned": None if each.planned is None else [rounded(end) for end in each.planned],
    }
