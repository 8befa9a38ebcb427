"""The timeline of a night: a row for each part with its state, downloads and other actions, guide error beneath.

matplotlib draws it; it is the extra "plot". Texts of files are shown as they are, never read as formulas.
"""

from __future__ import annotations

import re
from html import escape
from io import BytesIO
from typing import TYPE_CHECKING, Any

from topo.errors import CommandError
from topo.model.plain import plain

if TYPE_CHECKING:
    from topo.model.answers import Answers, TimelineRow

WIDE_IN, ROW_IN, HEAD_IN = 9.0, 0.34, 1.1
DOTS = 100
INK, PAPER, QUIET = "#1b1b1b", "#fbfaf7", "#8a857c"
STATES = {"there": "#dcdfd3", "busy": "#5d7fa3", "away": "#b4552d", "asleep": "#c9c4b8", "untold": "#fbfaf7"}
LEGEND = {"there": "there", "away": "away", "asleep": "computer asleep", "untold": "no file tells"}
"""States that are told in words; a state that is not told is hatched, so that nobody takes it for health."""
UNSEEN = "not seen in any file"
SIGNS = {"dropped": ("v", "#b4552d"), "late": ("|", "#6a4c93"), "lost": ("x", "#b4552d"), "jump": ("^", "#2f6f5e"),
         "over-current": ("*", "#b4552d"), "reset": (".", "#8a857c"), "no answer": ("1", "#8a857c")}
"""Marks differ in shape as well as in colour."""
LIFTS = {"late": -0.22, "jump": 0.22}
"""Marks of one row that come often stand apart from each other."""
ON_DARK = {INK: "#e9e6df", PAPER: "#16181b", QUIET: "#98938a", "#5d7fa3": "#7fa3c9", "#b4552d": "#e0794b",
        "#c9c4b8": "#44474c", "#dcdfd3": "#2b302c", "#6a4c93": "#b79be6", "#2f6f5e": "#62b79f"}
"""Each colour, and the one that stands for it where the reader's screen is dark."""
MARKER = re.compile(r'(<path id="m[0-9a-f]+" d="[^"]*") style="[^"]*"')
MOST_ROW_NAME = 26


def timeline(answers: Answers, ending: str) -> bytes:
    """The timeline as the bytes of a "png", "svg" or "html". Raises CommandError where there is nothing to draw."""
    if not answers.rows and not answers.errors:
        raise CommandError("nothing in these files has a time on the common clock, so there is no timeline to draw")
    if ending == "png":
        return _drawn(answers, "png")
    if ending == "svg":
        text = _drawn(answers, "svg").decode("utf-8")
        return (text[: text.index("<svg")] + _for_dark(text[text.index("<svg"):])).encode()
    inside = timeline_figure(answers)
    head = '<!doctype html>\n<html lang="en"><head><meta charset="utf-8"><title>Timeline of a night</title>' \
        '<meta http-equiv="Content-Security-Policy" content="default-src \'none\'; style-src \'unsafe-inline\'">' \
        f"<style>body{{background:{PAPER};color:{INK};margin:1em;font-family:sans-serif}}" \
        "svg{max-width:100%;height:auto}@media(prefers-color-scheme:dark)" \
        f"{{body{{background:{ON_DARK[PAPER]};color:{ON_DARK[INK]}}}}}</style></head><body>\n"
    return (head + inside + f"\n<p>{escape(_clock(answers))}</p></body></html>\n").encode()


def timeline_figure(answers: Answers) -> str:
    """The timeline as an `svg` element for a page. Raises CommandError where there is nothing to draw."""
    if not answers.rows and not answers.errors:
        raise CommandError("nothing in these files has a time on the common clock, so there is no timeline to draw")
    text = _drawn(answers, "svg").decode("utf-8")
    return _for_dark(text[text.index("<svg"):])


def _for_dark(svg: str) -> str:
    """The `svg` element with rules for dark screens; a viewer that knows none shows it on its own light ground."""
    rules = "".join(
        f'svg.timeline [style*="{what}: {light}"]{{{what}:{dark} !important}}'
        for light, dark in ON_DARK.items() for what in ("fill", "stroke"))
    rules += "".join(f'svg.timeline [fill="{light}"]{{fill:{dark} !important}}' for light, dark in ON_DARK.items()
                     if f'fill="{light}"' in svg)  # the ground of what is hatched
    svg = MARKER.sub(r"\1", svg)  # a sign takes its colour from where it is used, which the rules reach
    style = f"<style>svg.timeline{{max-width:100%;height:auto}}@media(prefers-color-scheme:dark){{{rules}}}</style>"
    begin = svg.index(">") + 1
    return svg[:begin].replace("<svg", '<svg class="timeline"', 1) + style + svg[begin:]


def _drawn(answers: Answers, form: str) -> bytes:
    try:
        import matplotlib
        from matplotlib.figure import Figure
    except ImportError:
        raise CommandError("a timeline needs matplotlib: pip install 'topo-rig[plot]'") from None
    beneath = 1.3 if answers.errors else 0.0
    high = HEAD_IN + ROW_IN * max(1, len(answers.rows)) + beneath
    settings: Any = {"svg.hashsalt": "topo", "svg.fonttype": "path", "text.parse_math": False, "font.size": 9.0,
                "axes.edgecolor": QUIET, "text.color": INK, "axes.labelcolor": INK, "xtick.color": INK,
                "ytick.color": INK}
    with matplotlib.rc_context(settings):
        figure = Figure(figsize=(WIDE_IN, high), dpi=DOTS, facecolor=PAPER, layout="constrained")
        ratios = [max(1.0, ROW_IN * len(answers.rows)), beneath] if beneath else [1.0]
        axes = figure.subplots(len(ratios), 1, sharex=True, squeeze=False, height_ratios=ratios)[:, 0]
        start = _start(answers)
        _rows(axes[0], answers.rows, start)
        if beneath:
            _errors(axes[1], answers, start)
        axes[-1].set_xlabel(_clock(answers))
        out = BytesIO()
        about = {"Date": None} if form == "svg" else {"Software": None}
        figure.savefig(out, format=form, metadata=about)
    return out.getvalue()


def _start(answers: Answers) -> float:
    """The full hour, or for short nights the minute, that hours are counted from."""
    times = [end for row in answers.rows for stretch in row.stretches for end in stretch[:2]]
    times += [at for row in answers.rows for at, _ in row.marks] + [at for _, at, _ in answers.errors]
    first = min(times)
    return first - first % 3600 if answers.axis in ("utc", "local") else first


def _clock(answers: Answers) -> str:
    from datetime import UTC, datetime, timedelta

    start = _start(answers)
    if answers.axis in ("utc", "local") and 0 <= start < 4e9:
        at = (datetime(1970, 1, 1, tzinfo=UTC) + timedelta(seconds=start)).strftime("%Y-%m-%d %H:%M")
        return f"hours after {at} {'UTC' if answers.axis == 'utc' else 'local time'}"
    return "hours after the first event"


def _rows(axes: Any, rows: tuple[TimelineRow, ...], start: float) -> None:
    axes.set_facecolor(PAPER)
    for number, row in enumerate(rows):
        by_state: dict[str, list[tuple[float, float]]] = {}
        for begin, end, state in row.stretches:
            by_state.setdefault(state, []).append(((begin - start) / 3600, max((end - begin) / 3600, 0.0)))
        for state, bars in by_state.items():
            _bars(axes, number, state, bars)
        if {state for *_, state in row.stretches} == {"untold"} and not row.marks:
            middle = (row.stretches[0][0] + row.stretches[-1][1]) / 2
            axes.text((middle - start) / 3600, number, UNSEEN, ha="center", va="center", color=INK, fontsize=8.0,
                      bbox={"facecolor": PAPER, "edgecolor": "none", "pad": 1.5})
        by_sign: dict[str, list[float]] = {}
        for at, what in row.marks:
            by_sign.setdefault(what, []).append((at - start) / 3600)
        for what, places in by_sign.items():
            sign, colour = SIGNS[what]
            lift = LIFTS.get(what, 0.0)
            axes.plot(places, [number + lift] * len(places), sign, color=colour, markersize=6.0, label=what)
    axes.set_yticks(range(len(rows)), [plain(row.name, MOST_ROW_NAME) for row in rows])
    axes.set_ylim(len(rows) - 0.4, -0.6)
    axes.grid(axis="x", color=STATES["asleep"], linewidth=0.5)
    axes.set_axisbelow(True)
    handles, labels = axes.get_legend_handles_labels()
    states = {state for row in rows for *_, state in row.stretches}
    for state in (state for state in LEGEND if state in states):
        handles.append(axes.broken_barh([], (0, 0), **_look(state)))
        labels.append(LEGEND[state])
    unique = dict(zip(labels, handles, strict=True))
    if unique:
        axes.legend(unique.values(), unique.keys(), loc="lower left", bbox_to_anchor=(0, 1.0), ncols=len(unique),
                    frameon=False)


def _bars(axes: Any, number: int, state: str, bars: list[tuple[float, float]]) -> None:
    axes.broken_barh(bars, (number - 0.3, 0.6), **_look(state))


def _look(state: str) -> dict[str, Any]:
    if state == "untold":
        return {"facecolor": STATES[state], "edgecolor": STATES["asleep"], "linewidth": 0.0, "hatch": "////"}
    return {"facecolor": STATES[state], "edgecolor": STATES[state], "linewidth": 0.8}


def _errors(axes: Any, answers: Answers, start: float) -> None:
    axes.set_facecolor(PAPER)
    axes.plot([(at - start) / 3600 for _, at, _ in answers.errors], [size for *_, size in answers.errors],
              color=SIGNS["late"][1], linewidth=0.7)
    unit = next((unit for unit, *_ in answers.errors if unit), "")
    axes.set_ylabel(f"guide error{f', {unit}' if unit else ''}")
    axes.set_ylim(bottom=0)
    axes.grid(color=STATES["asleep"], linewidth=0.5)
