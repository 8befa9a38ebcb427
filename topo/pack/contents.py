"""Everything a pack holds, as bytes by file name. Reads the person's rig through the redactor alone.

The post and the pictures are made from the redacted text, read again like any rig file: what is not in it cannot
reach them.
"""

from __future__ import annotations

import os
from collections import Counter
from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING

from topo.draw.dot import dot_text
from topo.draw.engine import drawn
from topo.draw.picture import picture
from topo.draw.scene import Scene
from topo.draw.shapes import Sheet, sheet_file
from topo.draw.svg import render_svg
from topo.frozen import frozen, replace
from topo.model.finding import Finding
from topo.pack.mapping import ProfileOf
from topo.pack.markdown import post_markdown
from topo.pack.post import post
from topo.pack.redact import Redacted, Tags, redacted
from topo.pack.removed import Removed
from topo.pack.text import post_text
from topo.report.compose import Report
from topo.rigfile.document import RigFile

if TYPE_CHECKING:
    from topo.model.comparison import Comparison
    from topo.model.sighting import Scan

PNG_BYTES = 400_000
"""What forums take as an attached picture without shrinking it (common practice, no source)."""


@frozen
class Hidden:
    """A rig file that may be shown, and what hides the rest of a pack in the same way: tags, counts."""

    rig: Redacted
    tags: Tags
    removed: Removed


@frozen
class HeldScan:
    """A redacted scan held against the redacted rig, its findings, and those the whole scan gave with the whole rig.

    `unchecked` are checks that failed on either, in words.
    """

    scan: Scan
    comparison: Comparison
    findings: Sequence[Finding]
    before: Sequence[Finding]
    unchecked: Sequence[str] = ()


@frozen
class HeldNight:
    """Lines of what evidence says of the redacted rig, its findings there, and those it gave with the whole rig."""

    lines: Sequence[str]
    findings: Sequence[Finding]
    before: Sequence[Finding]


@frozen
class Contents:
    """The files of a pack, what was removed in words, what the person should know, and plugins that failed."""

    files: dict[str, bytes]
    removed: tuple[str, ...]
    warnings: tuple[str, ...]
    unchecked: tuple[str, ...] = ()


def hide_rig(rigfile: RigFile, profile_of: ProfileOf, shipped: Callable[[str], bool]) -> Hidden:
    """The rig file that may be shown. `profile_of` finds any profile, `shipped` tells those that anyone has."""
    removed, tags = Removed(), Tags(os.urandom(16))
    return Hidden(redacted(rigfile, profile_of, shipped, tags, removed), tags, removed)


def hide_scan(scan: Scan, comparison: Comparison, hidden: Hidden) -> Scan:
    """The scan that may be shown; `comparison` holds the whole one against the whole rig, to tell whose devices."""
    from topo.pack.scan import own_devices, redacted_scan

    return redacted_scan(scan, own_devices(comparison), hidden.tags, hidden.removed)


def contents(
    hidden: Hidden, original: Report, report: Report, held: HeldScan | None = None, watch: str | None = None,
    chase: str | None = None, night: HeldNight | None = None, strips: Sheet | None = None,
    advice: Sheet | None = None,
) -> Contents:
    """The files of a pack. `original` is the report of the whole rig, `report` that of the redacted text read again;
    `strips` one exposure's end and `advice` before and after, of the redacted rig.

    Raises ScanError for a watch log that cannot be read.
    """
    removed = hidden.removed
    changed = differences(original.findings, report.findings)
    files = {"rig.yaml": hidden.rig.text.encode("utf-8")}
    failed = tuple(dict.fromkeys((*original.troubles, *report.troubles, *(held.unchecked if held else ()))))
    # Words of a plugin may hold anything; that something failed is what a helper has to know.
    seen = ["Not all was checked: a plugin failed here, and what it looks for was not looked for"] if failed else []
    warnings: tuple[str, ...] = ()
    if held is not None:
        from topo.live import store

        files["scan.json"] = store.dumps(held.scan).encode("utf-8")
        warnings = differences(held.before, held.findings)
        again = held.comparison
        seen.append(f"Scan: {len(again.matches)} parts of the rig found, {len(again.missing)} missing, "
                    f"{len(again.unexpected)} other things plugged in; see scan.json")
        report = replace(report, findings=(*held.findings, *report.findings))
    seen += _noted(watch, chase, hidden)
    if night is not None:
        seen += night.lines
        warnings = (*warnings, *differences(night.before, night.findings))
        report = replace(report, findings=(*night.findings, *report.findings))
    lines = removed.lines()
    scene = picture(report.study, report.findings, first=report.first)
    png = _small_png(scene)
    made = post(report, seen, lines, held is not None, "diagram.png" if png is not None else "diagram.svg")
    if png is not None:
        files["diagram.png"] = png
    files |= {
        "diagram.svg": render_svg(scene),
        "post.txt": post_text(made).encode("utf-8"), "post.md": post_markdown(made).encode("utf-8"),
        "removed.txt": _removed_text(lines).encode("utf-8"),
    }
    if strips is not None:
        files["guiding.svg"] = sheet_file(strips)
    if advice is not None:
        files["advice.svg"] = sheet_file(advice, "advice")
    if png is None:
        warnings = (*warnings, "the rig is too large for a picture in dots of 400 kB; diagram.svg holds it")
    return Contents(files, lines, (*changed, *warnings), failed)


def _noted(watch: str | None, chase: str | None, hidden: Hidden) -> list[str]:
    """What a watch log and a chase tell, in lines."""
    lines: list[str] = []
    if watch is not None:
        from topo.pack.watched import watched

        lines += watched(watch, dict(hidden.rig.parts), hidden.removed)
    if chase is not None:
        from topo.pack.tried import tried

        lines += tried(chase, dict(hidden.rig.parts), hidden.removed)
    return lines


def differences(before: Sequence[Finding], after: Sequence[Finding]) -> tuple[str, ...]:
    """What redaction changed in the findings, in words: nothing, unless the redactor has a defect."""
    def counted(findings: Sequence[Finding]) -> Counter[tuple[str, str, str]]:
        return Counter((finding.name, finding.severity, finding.certainty) for finding in findings)

    lost, new = counted(before) - counted(after), counted(after) - counted(before)
    return tuple(
        f"the redacted rig {verb} the finding {name} ({severity}, {certainty}); tell it in the post by hand"
        for verb, group in (("loses", lost), ("gains", new)) for name, severity, certainty in sorted(group)
    )


def _small_png(scene: Scene) -> bytes | None:
    """The picture in dots, coarser where it would get too large for a post; None where nothing helps."""
    for dpi in (72, 60, 48):
        png = drawn(dot_text(scene, dpi=dpi), "png")
        if len(png) < PNG_BYTES:
            return png
    return None


def _removed_text(lines: Sequence[str]) -> str:
    head = ("Taken out of this pack before it was written, in counts (the values are nowhere in it):", "")
    foot = ("", "Serial numbers became tags: equal tags, equal numbers. Another pack has other tags.",
            "Do not add where you observe from, and look through the files before you post them.")
    return "\n".join((*head, *(f"- {line}" for line in lines or ("nothing",)), *foot)) + "\n"
