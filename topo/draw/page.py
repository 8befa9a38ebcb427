"""One self-contained HTML page of a rig: the picture, the findings, the tables. No scripts, nothing fetched.

Pointing at a part, in the picture or in a table, lights up its path by style rules alone.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from html import escape
from typing import TYPE_CHECKING

from topo.draw.page_style import POLICY, page_style
from topo.draw.picture import picture
from topo.draw.scene import Scene
from topo.draw.shapes import Sheet, sheet_svg
from topo.draw.svg import svg_text
from topo.frozen import replace
from topo.model.cautions import CAUTIONS, POWER_UNITS
from topo.model.facts import Figure, Range3
from topo.model.figures import figure_words, mb_per_s, megabytes, percent, seconds
from topo.model.finding import Finding
from topo.model.outcome import DeviceOutcome, LinkOutcome
from topo.model.plain import plain
from topo.words.glossary import (
    ALONE,
    ASKED,
    AVERAGE,
    BASIS,
    CARRIES,
    CLEARS,
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



def render_page(
    study: Study, findings: Sequence[Finding], remarks: Sequence[str] = (), night: Sheet | None = None,
    timeline: str = "", first: Sequence[str] = (), guiding: Sequence[str] = (),
) -> bytes:
    """The page as UTF-8. `first` is what to do first and `guiding` what becomes of it, in sentences; `remarks` are
    assumptions and troubles in words; `night` the strips of one exposure's end; `timeline` that of a night that is
    over, as an `svg` element."""
    scene = picture(study, findings, width_px=1000)
    bare = replace(scene, told=(), cautions=())
    keys = {node.part: node.key for node in scene.nodes if node.kind not in ("controller", "again")}
    body = [
        f"<h1>{_e(scene.title)}</h1>", f"<p class=verdict>{_e(scene.verdict)}</p>",
        *_said(DO_FIRST.capitalize(), first),
        f"<figure>{svg_text(bare, 'picture')}<figcaption>Point at a part to see its path.</figcaption></figure>",
        *_findings(findings, keys), *_said("Guiding", guiding), *_night(night), *_timeline(timeline),
        *_devices(study.devices, keys), *_links(study.links), *_remarks(remarks), *_cautions(scene, findings),
    ]
    head = (
        f'<meta charset="utf-8"><meta http-equiv="Content-Security-Policy" content="{POLICY}">'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        '<meta name="referrer" content="no-referrer">'
        f"<title>{_e(scene.title)}</title><style>{page_style(scene)}</style>"
    )
    page = f'<!doctype html>\n<html lang="en"><head>{head}</head>\n<body>\n' + "\n".join(body) + "\n</body></html>\n"
    return page.encode("utf-8", "backslashreplace")


def _said(title: str, words: Sequence[str]) -> Iterable[str]:
    """A heading with its sentences, the first of them loudest; nothing where there are none."""
    if words:
        first, *more = words
        yield f"<h2>{title}</h2><p><strong>{_prose(first)}</strong></p>"
        yield "".join(f"<p>{_prose(text)}</p>" for text in more)


def _night(sheet: Sheet | None) -> Iterable[str]:
    if sheet is not None:
        yield f"<h2>Guiding while a picture downloads</h2><figure>{sheet_svg(sheet, 'night')}</figure>"


def _timeline(figure: str) -> Iterable[str]:
    if figure:
        yield ("<h2>The night</h2><figure>" + figure + "<figcaption>By the evidence: bars where a part was there, busy "
               "or away, marks where something went wrong.</figcaption></figure>")


def _e(text: str) -> str:
    return escape(plain(text, 4000), quote=True)


def _prose(text: str) -> str:
    """A sentence of ours: what stands between backticks is to be typed."""
    return re.sub(r"`([^`]+)`", r"<code>\1</code>", _e(text))


def _findings(findings: Sequence[Finding], keys: dict[str, str]) -> Iterable[str]:
    yield f"<h2>{counted(len(findings), 'finding')}</h2>"
    for finding in findings:
        key = keys.get(finding.part)
        lights = f" k-{key}" if key else ""
        yield (f'<section class="finding {finding.severity}{lights}" tabindex=0><h3><span class=tag>'
               f"{finding.severity}</span> {_e(finding.name)} <small>{finding.certainty}, at {_e(finding.part)}"
               f"{_where(finding)}{_by(finding)}</small></h3><p>{_prose(finding.message)}</p>")
        if finding.fix is not None:
            done = f" {CLEARS}" if finding.fix.plan is not None else ""
            yield f"<p><b>{DO.capitalize()}</b> {_prose(finding.fix.text)}{done}</p>"
        yield _figures(finding)
        if finding.refuted_by:
            yield f"<p><b>{WRONG_IF.capitalize()}</b> {_prose(finding.refuted_by)}</p>"
        if finding.tested_by:
            yield f"<p><b>Test</b> {_prose(finding.tested_by)}</p>"
        yield "</section>"


def _by(finding: Finding) -> str:
    return f", from plugin {_e(finding.supplied_by)}" if finding.supplied_by else ""


def _where(finding: Finding) -> str:
    return f", line {finding.place.line}" if finding.place.line else ""


def _figures(finding: Finding) -> str:
    if not finding.figures:
        return ""
    after = {figure.name: figure for figure in finding.fix.after} if finding.fix else {}
    rows = [(_e(figure.name), _figure(figure), _figure(after.get(figure.name)) if after else "", BASIS[figure.basis])
            for figure in finding.figures]
    return _table(("figure", NOW, *((ONCE_DONE,) if after else ()), "basis"),
                  [("", tuple(cell for index, cell in enumerate(row) if after or index != 2)) for row in rows])


def _figure(figure: Figure | None) -> str:
    return "–" if figure is None else _e(figure_words(figure))


def _devices(devices: Sequence[DeviceOutcome], keys: dict[str, str]) -> Iterable[str]:
    rows = []
    for device in devices:
        key = keys.get(device.id)
        rows.append((f"k-{key}" if key else "", (
            _e(device.id), device.role, "<br>".join(_e(plug) for plug in device.path) or "not on USB",
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
        _e(link.label), _e(", ".join(link.carries)),
        mb_per_s(link.expected_mb_per_s), mb_per_s(link.asked_mb_per_s) if link.carries else "",
        percent(link.load_peak), percent(link.load_average),
    )) for link in links])


def _table(heads: Sequence[str], rows: Sequence[tuple[str, Sequence[str]]]) -> str:
    """A table; each row with its class. Cells are HTML already."""
    top = "".join(f"<th>{head}</th>" for head in heads)
    body = "".join(f'<tr class="{kind}"' + (" tabindex=0" if kind else "") + ">"
                   + "".join(f"<td>{cell}</td>" for cell in cells) + "</tr>" for kind, cells in rows)
    return f"<div class=wide><table><thead><tr>{top}</tr></thead><tbody>{body}</tbody></table></div>"


def _remarks(remarks: Sequence[str]) -> Iterable[str]:
    if remarks:
        yield "<h2>Guesses and remarks</h2><ul>"
        yield from (f"<li>{_prose(text)}</li>" for text in remarks)
        yield "</ul>"


def _cautions(scene: Scene, findings: Sequence[Finding]) -> Iterable[str]:
    if scene.cautions or any(figure.unit in POWER_UNITS for f in findings for figure in f.figures):
        yield "<h2>Power</h2><ul>"
        yield from (f"<li>{_prose(text)}</li>" for text in CAUTIONS)
        yield "</ul>"
