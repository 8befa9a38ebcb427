"""One self-contained HTML page of a rig: the picture, the findings, the tables. No scripts, nothing fetched.

Pointing at a part, in the picture or in a table, lights up its path by style rules alone.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

from topo.draw.choices import PlanPanel, choices_html, figure_of_two
from topo.draw.escape import escaped_text, prose
from topo.draw.layout import place
from topo.draw.page_style import POLICY, page_style
from topo.draw.paint import painted
from topo.draw.picture import picture
from topo.draw.scene import Scene
from topo.draw.shapes import PAGE_CLASS, Sheet, sheet_svg
from topo.frozen import frozen, replace
from topo.model.cautions import CAUTIONS
from topo.model.facts import Figure, Range3
from topo.model.figures import figure_words, mb_per_s, megabytes, percent, seconds
from topo.model.finding import Finding
from topo.model.outcome import DeviceOutcome, LinkOutcome
from topo.wiring.instructions import as_computed
from topo.words.glossary import (
    ALONE,
    ASKED,
    AVERAGE,
    BASIS,
    CARRIES,
    DO,
    DO_FIRST,
    FULL,
    LINK,
    LOST,
    NOW,
    ONCE_DONE,
    SERVES,
    TOGETHER,
    WRONG_IF,
)
from topo.words.lists import counted

if TYPE_CHECKING:
    from topo.analysis.study import Study
    from topo.model.finding import Plan

WIDE, SLIM = 850, 340
"""Pixels of the picture on a broad page, and on a phone."""


@frozen
class PageTold:
    """What the page tells beside the study and its findings, in words and sheets that are made already.

    `remarks` are assumptions and troubles, `first` what to do first, `guiding` what becomes of it, `night` one
    exposure's end as it is, `timeline` that of a night that is over as an `svg` element, `choices` the plans to choose
    among with `searched` on what was looked at, `failures` what stops when something fails (what, what stops, what
    to do), `unjudged` what of the power could not be judged.
    """

    remarks: tuple[str, ...] = ()
    first: tuple[str, ...] = ()
    guiding: tuple[str, ...] = ()
    night: Sheet | None = None
    timeline: str = ""
    choices: tuple[PlanPanel, ...] = ()
    searched: str = ""
    failures: tuple[tuple[str, str, str], ...] = ()
    unjudged: str = ""
    plan: Plan | None = None


def render_page(study: Study, findings: Sequence[Finding], told: PageTold = PageTold()) -> bytes:  # noqa: B008 - it is frozen
    """The page as UTF-8."""
    scene = picture(study, findings, WIDE, told.plan)
    keys = {node.part: node.key for node in reversed(scene.nodes) if node.kind != "controller"}
    answer = None if scene.answer is None else replace(scene.answer, steps=(), mind="")  # the page says it above
    bare = replace(scene, told=(), cautions=(), verdict="", answer=answer)
    now = (figure_of_two(painted(place(bare)), painted(place(replace(bare, width_px=SLIM))), "picture")
           + "".join(_night(told.night)))
    body = [
        f"<h1>{escaped_text(scene.title)}</h1>", f"<p class=verdict>{escaped_text(scene.verdict)}</p>",
        *_said(DO_FIRST.capitalize(), told.first), *choices_html(now, told.choices),
        f"<p class=hint>{prose(told.searched)} Point at a part to see its path.</p>",
        *_findings(findings, keys), *_said("Guiding", told.guiding), *_timeline(told.timeline),
        *_volts(study, told.unjudged), *_plan_b(told.failures),
        *_devices(study.devices, keys), *_links(study.links), *_remarks(told.remarks), *_cautions(scene, findings),
    ]
    head = (
        f'<meta charset="utf-8"><meta http-equiv="Content-Security-Policy" content="{POLICY}">'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        '<meta name="referrer" content="no-referrer">'
        f"<title>{escaped_text(scene.title)}</title><style>{page_style(scene, len(told.choices))}</style>"
    )
    page = f'<!doctype html>\n<html lang="en"><head>{head}</head>\n<body>\n' + "\n".join(body) + "\n</body></html>\n"
    return page.encode("utf-8", "backslashreplace")


def _said(title: str, words: Sequence[str]) -> Iterable[str]:
    """A heading with its sentences, the first of them loudest; nothing where there are none."""
    if words:
        first, *more = words
        yield f"<h2>{title}</h2><p><strong>{prose(first)}</strong></p>"
        yield "".join(f"<p>{prose(text)}</p>" for text in more)


def _night(sheet: Sheet | None) -> Iterable[str]:
    if sheet is not None:
        yield f"<h2>Guiding while a picture downloads</h2><figure>{sheet_svg(sheet, 'night', PAGE_CLASS)}</figure>"


def _timeline(figure: str) -> Iterable[str]:
    if figure:
        yield ("<h2>The night</h2><figure>" + figure + "<figcaption>By the evidence: bars where a part was there, busy "
               "or away, marks where something went wrong.</figcaption></figure>")


def _findings(findings: Sequence[Finding], keys: dict[str, str]) -> Iterable[str]:
    yield f"<h2>{counted(len(findings), 'finding')}</h2>"
    for number, finding in enumerate(findings, 1):
        key = keys.get(finding.part)
        lights = f" k-{key}" if key else ""
        yield (f'<section class="finding {finding.severity}{lights}" tabindex=0><h3><span class=tag>'
               f"{finding.severity} {number}</span> {escaped_text(finding.name)} <small>{finding.certainty}, at "
               f"{_to_part(finding.part, key)}{_where(finding)}{_by(finding)}</small></h3>"
               f"<p>{prose(finding.message)}</p>")
        if finding.fix is not None:
            done = "" if finding.fix.plan is None else f" {as_computed(finding.fix.plan, finding)}"
            yield f"<p><b>{DO.capitalize()}</b> {prose(finding.fix.text)}{done}</p>"
        yield _figures(finding)
        if finding.refuted_by:
            yield f"<p><b>{WRONG_IF.capitalize()}</b> {prose(finding.refuted_by)}</p>"
        if finding.tested_by:
            yield f"<p><b>Test</b> {prose(finding.tested_by)}</p>"
        yield "</section>"


def _to_part(part: str, key: str | None) -> str:
    """A part's name, and a link to it in the picture: in the broad one, or in the slim one where that is shown."""
    if key is None:
        return escaped_text(part)
    return "".join(f'<a class={name} href="#picture-{name}-{key}">{escaped_text(part)}</a>'
                   for name in ("broad", "slim"))


def _by(finding: Finding) -> str:
    return f", from plugin {escaped_text(finding.supplied_by)}" if finding.supplied_by else ""


def _where(finding: Finding) -> str:
    return f", line {finding.place.line}" if finding.place.line else ""


def _figures(finding: Finding) -> str:
    if not finding.figures:
        return ""
    after = {figure.name: figure for figure in finding.fix.after} if finding.fix else {}
    rows = [(escaped_text(figure.name), _figure(figure), _figure(after.get(figure.name)) if after else "",
             BASIS[figure.basis])
            for figure in finding.figures]
    return _table(("figure", NOW, *((ONCE_DONE,) if after else ()), "basis"),
                  [("", tuple(cell for index, cell in enumerate(row) if after or index != 2)) for row in rows])


def _figure(figure: Figure | None) -> str:
    return "–" if figure is None else escaped_text(figure_words(figure))


def _devices(devices: Sequence[DeviceOutcome], keys: dict[str, str]) -> Iterable[str]:
    rows = []
    for device in devices:
        key = keys.get(device.id)
        rows.append((f"k-{key}" if key else "", (
            escaped_text(device.id), device.role, "<br>".join(map(escaped_text, device.path)) or "not on USB",
            _speed(device), megabytes(device.frame_bytes) if device.frame_bytes else "",
            _range(device.alone_s), _range(device.together_s), _range(device.delay_last_s),
            "" if device.lost == "no" else LOST[device.lost],
        )))
    yield "<h2>Devices</h2>"
    yield _table(("part", "role", "path", "speed", "frame", ALONE, TOGETHER, "late by", "lost"), rows)


def _speed(device: DeviceOutcome) -> str:
    if device.speed is None:
        return ""
    could = device.could_be
    return device.speed.label + (f", could be {could.label}" if could and could > device.speed else "")


def _range(value: Range3 | None) -> str:
    return "" if value is None else seconds(value)


def _links(links: Sequence[LinkOutcome]) -> Iterable[str]:
    yield "<h2>Links</h2>"
    yield _table((LINK, SERVES, CARRIES, ASKED, FULL, f"{AVERAGE} (misleads)"), [("", (
        escaped_text(link.label), escaped_text(", ".join(link.carries)),
        mb_per_s(link.expected_mb_per_s), mb_per_s(link.asked_mb_per_s) if link.carries else "",
        percent(link.load_peak), percent(link.load_average),
    )) for link in links])


def _volts(study: Study, unjudged: str) -> Iterable[str]:
    """Volts at each 12 V plug, and what could not be judged."""
    plugs = [each for each in study.power.plugs if each.volts.peak is not None]
    if plugs:
        yield "<h2>Volts</h2><p>At each 12 V plug, likely: in normal work, and with all at their peak.</p>"
        yield _table(("plug", "in work", "at the peak", "works from"), [("", (
            escaped_text(each.part), _likely(each.volts.typical), _likely(each.volts.peak),
            "" if each.floor is None else f"{each.floor:g} V",
        )) for each in plugs])
    if unjudged:
        yield f"<h2>Not judged</h2><p>{prose(unjudged)}</p>"


def _likely(value: Range3 | None) -> str:
    return "" if value is None else f"{value.likely:.1f} V"


def _plan_b(failures: Sequence[tuple[str, str, str]]) -> Iterable[str]:
    if failures:
        yield "<h2>Plan B</h2><p>Pictures or guiding stop when one of these fails.</p>"
        yield _table(("when this fails", "this stops", "do meanwhile"), [
            ("", tuple(map(escaped_text, row))) for row in failures])


def _table(heads: Sequence[str], rows: Sequence[tuple[str, Sequence[str]]]) -> str:
    """A table; each row with its class. Cells are HTML already, and know their head, for where rows fold."""
    top = "".join(f"<th>{head}</th>" for head in heads)
    body = "".join(f'<tr class="{kind}"' + (" tabindex=0" if kind else "") + ">"
                   + "".join(f'<td data-head="{head}">{cell}</td>' if cell else "<td></td>"
                             for head, cell in zip(heads, cells, strict=True)) + "</tr>" for kind, cells in rows)
    return f"<table><thead><tr>{top}</tr></thead><tbody>{body}</tbody></table>"


def _remarks(remarks: Sequence[str]) -> Iterable[str]:
    if remarks:
        yield "<h2>Guesses and remarks</h2><ul>"
        yield from (f"<li>{prose(text)}</li>" for text in remarks)
        yield "</ul>"


def _cautions(scene: Scene, findings: Sequence[Finding]) -> Iterable[str]:
    if scene.cautions or any(finding.has_power_figure for finding in findings):
        yield "<h2>Power</h2><ul>"
        yield from (f"<li>{prose(text)}</li>" for text in CAUTIONS)
        yield "</ul>"
