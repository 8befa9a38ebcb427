"""The picture *volts along the leads*: metres from the supply against volts, a step at every fuse, contact and box.

A line is the way to one plug in normal work; the band about it reaches from all at rest to all at their peak. At its
end stand the lowest and highest volts the part works at. Beneath, volts through a usual night. matplotlib draws it; it
is the extra "plot". Texts of files are shown as they are, never read as formulas.
"""

from __future__ import annotations

from io import BytesIO
from typing import TYPE_CHECKING, Any

from topo.draw.look import DARK, LIGHT, Colours
from topo.draw.night_volts import band, bottom
from topo.errors import CommandError
from topo.model.cautions import SHORT
from topo.model.plain import plain

if TYPE_CHECKING:
    from topo.analysis.study import Study
    from topo.model.power import LeadPower, LoadState, PlugPower, SourcePower

WIDE_IN, DOTS = 9.0, 100
PANEL_IN, ROW_IN, NIGHT_IN, FOOT_IN = 2.6, 0.27, 2.1, 0.75
STROKES = ("-", "--", "-.", ":")
"""Ways differ in their strokes, so that colour says nothing alone."""
PLUG_NAME_MOST = 22
MOST_AT_NIGHT = 4

MetresVolts = list[tuple[float, float]]


def volts_picture(study: Study, ending: str, dark: bool = False) -> bytes:
    """The picture as the bytes of an "svg", "png" or "pdf". Raises CommandError where there is nothing to draw."""
    sources = [each for each in study.power.sources if any(_on(study, each))]
    if not sources:
        raise CommandError("no lead of known length and gauge leads from a supply to a part: nothing to draw")
    try:
        import matplotlib
        from matplotlib.figure import Figure
    except ImportError:
        raise CommandError("this picture needs matplotlib: pip install 'topo-rig[plot]'") from None
    colours = DARK if dark and ending != "pdf" else LIGHT
    with matplotlib.rc_context(_settings(colours)):
        night = bool(study.volts_at_night.times_s)
        heights = [max(PANEL_IN, 1.0 + ROW_IN * 2 * len(_on(study, each))) for each in sources]
        heights += [NIGHT_IN] if night else []
        figure = Figure(figsize=(WIDE_IN, sum_of(heights) + FOOT_IN), dpi=DOTS, facecolor=colours.paper,
                        layout="constrained")  # fmt: skip
        axes = figure.subplots(len(heights), 1, squeeze=False, height_ratios=heights)[:, 0]
        for each, axis in zip(sources, axes, strict=False):
            _along(axis, study, each, colours)
        if night:
            _through_night(axes[-1], study, colours)
        figure.suptitle(f"Volts along the leads: {plain(study.rig.name, 60)}", fontsize=12, fontweight="bold")
        figure.supxlabel(SHORT, fontsize=7.5, wrap=True, color=colours.quiet)
        out = BytesIO()
        about = {"svg": {"Date": None}, "pdf": {"CreationDate": None, "ModDate": None}}.get(ending, {"Software": None})
        figure.savefig(out, format=ending, metadata=about)
    return out.getvalue()


def _settings(colours: Colours) -> Any:
    return {"svg.hashsalt": "topo", "svg.fonttype": "path", "text.parse_math": False, "font.size": 9.0,
            "axes.edgecolor": colours.edge, "text.color": colours.ink, "axes.labelcolor": colours.ink,
            "xtick.color": colours.ink, "ytick.color": colours.ink, "axes.facecolor": colours.paper}  # fmt: skip


def sum_of(heights: list[float]) -> float:
    """Inches of all panels."""
    import math

    return math.fsum(heights)


def _on(study: Study, source: SourcePower) -> list[PlugPower]:
    """The plugs of one supply or converter that can be drawn."""
    leads = {each.id: each for each in study.power.leads if each.supply == source.id}
    return [plug for plug in study.power.plugs if plug.lead in leads and plug.volts.typical is not None]


def _along(axis: Any, study: Study, source: SourcePower, colours: Colours) -> None:
    """One panel: every way from a source to a plug, and what each part works at."""
    plugs = _on(study, source)
    ends = []
    for number, plug in enumerate(plugs):
        way = _way(study, plug)
        work, peak = _points(way, "typical"), _points(way, "peak")
        colour = _colour(plug, colours)
        axis.plot(*zip(*work, strict=True), STROKES[number % len(STROKES)], color=colour, linewidth=1.4)
        ends.append((plug, work[-1], peak[-1] if peak else work[-1], colour))
    for lead in study.power.leads:
        if lead.supply == source.id and lead.steps:
            _band(axis, _points([lead], "idle"), _points([lead], "peak"), colours)
    reach = max(at for _, (at, _), _, _ in ends)
    margin = max(reach, 0.3)
    _windows(axis, ends, margin, colours)
    _names(axis, ends, margin, colours)
    axis.set_xlim(-0.02 * margin, 1.85 * margin)
    axis.set_xticks([tick for tick in axis.get_xticks() if 0 <= tick <= reach + 1e-9])
    axis.set_ylabel("volts")
    axis.set_xlabel(f"metres from {plain(source.id, PLUG_NAME_MOST)}", loc="left")
    axis.grid(color=colours.bar, linewidth=0.8)
    axis.set_axisbelow(True)


def _colour(plug: PlugPower, colours: Colours) -> str:
    peak = plug.volts.peak
    low = plug.floor is not None and (peak is None or peak.likely < plug.floor)
    return colours.trouble if low or (plug.ceiling is not None and plug.at_rest.likely > plug.ceiling) else colours.line


def _way(study: Study, plug: PlugPower) -> list[LeadPower]:
    """The leads from the source to a plug."""
    found: list[LeadPower] = []
    here = study.power.lead(plug.lead)
    while here is not None:
        found.insert(0, here)
        ends = {lead.id: lead.ends for lead in study.rig.leads}
        here = next((each for each in study.power.leads if here.source in ends[each.id]), None)
    return found


def _points(way: list[LeadPower], state: LoadState) -> MetresVolts:
    """Metres and likely volts along a way; steps where no metre goes by. Empty where it cannot be fed."""
    points: MetresVolts = []
    for lead in way:
        volts, amps = lead.volts_from.of(state), lead.amps.of(state)
        if volts is None or amps is None:
            return []
        at, here = lead.starts_m, volts.likely
        points.append((at, here))
        for step in lead.steps:
            at, here = at + step.metres, here - amps.likely * step.ohm.likely
            points.append((at, here))
    return points


def _band(axis: Any, idle: MetresVolts, peak: MetresVolts, colours: Colours) -> None:
    if idle and peak:
        xs = [at for at, _ in idle]
        axis.fill_between(xs, [v for _, v in peak], [v for _, v in idle], color=colours.quiet, alpha=0.25, linewidth=0)


def _windows(axis: Any, ends: list[Any], margin: float, colours: Colours) -> None:
    """The lowest and highest volts of each part, at the end of its line."""
    for plug, (at, _), _, colour in ends:
        if plug.floor is not None:
            axis.plot([at - 0.02 * margin, at + 0.03 * margin], [plug.floor] * 2, color=colour, linewidth=2.0)
            axis.plot([at], [plug.floor], "^", color=colour, markersize=5)
        if plug.ceiling is not None:
            axis.plot([at - 0.02 * margin, at + 0.03 * margin], [plug.ceiling] * 2, color=colour, linewidth=2.0)
            axis.plot([at], [plug.ceiling], "v", color=colour, markersize=5)


def _names(axis: Any, ends: list[Any], margin: float, colours: Colours) -> None:
    """Each plug's name and volts at the right, spread so that none covers another, with a thin line to its end."""
    bottom, top = axis.get_ylim()
    ordered = sorted(ends, key=lambda each: (each[1][1], each[0].part))
    for number, (plug, (at, volts), (_, peak), colour) in enumerate(ordered):
        place = bottom + (top - bottom) * (number + 0.5) / len(ordered)
        works = "" if plug.floor is None and plug.ceiling is None else f"; {_window(plug)}"
        shown = f"{plain(plug.part, PLUG_NAME_MOST)} {volts:.2f} V (peak {peak:.2f}{works})"
        axis.annotate(
            shown, (at, volts), (1.10 * margin, place), va="center", fontsize=8, color=colour,
            arrowprops={"arrowstyle": "-", "color": colours.edge, "linewidth": 0.6, "relpos": (0.0, 0.5)},
        )  # fmt: skip


def _window(plug: PlugPower) -> str:
    if plug.floor is None:
        return f"stands {plug.ceiling:g}"
    return f"works from {plug.floor:g}" if plug.ceiling is None else f"works at {plug.floor:g} to {plug.ceiling:g}"


def _through_night(axis: Any, study: Study, colours: Colours) -> None:
    """Volts at the plugs with least to spare, hour by hour: coolers at dusk, slews, focus runs, a battery running
    down."""
    night = study.volts_at_night
    hours = [at / 3600 for at in night.times_s]
    floors = {plug.part: plug.floor for plug in study.power.plugs}
    series = [(name, values) for name, values in night.volts if any(each is not None for each in values)]
    series.sort(key=lambda each: (_spare(each[1], floors.get(each[0])), each[0]))
    for number, (name, values) in enumerate(series[:MOST_AT_NIGHT]):
        stroke = STROKES[number % len(STROKES)]
        likely = [float("nan") if each is None else each.likely for each in values]
        axis.step(hours, likely, stroke, where="post", color=colours.line, linewidth=1.1,
                  label=plain(name, PLUG_NAME_MOST))  # fmt: skip
        if number == 0:
            low, high = band(values)
            axis.fill_between(hours, low, high, step="post", color=colours.quiet, alpha=0.16, linewidth=0)
            if (floor := floors.get(name)) is not None:
                axis.axhline(floor, color=colours.trouble, linewidth=1.0)
                axis.annotate(f"lowest of {plain(name, PLUG_NAME_MOST)}", (hours[-1], floor), ha="right", va="bottom",
                              fontsize=7.5, color=colours.trouble)  # fmt: skip
    known = [floor for name, _ in series[:MOST_AT_NIGHT] if (floor := floors.get(name)) is not None]
    axis.set_ylim(bottom=bottom([values for _, values in series[:MOST_AT_NIGHT]], known))
    axis.set_ylabel("volts")
    axis.set_xlabel("hours of a usual night", loc="left")
    axis.grid(color=colours.bar, linewidth=0.8)
    axis.legend(loc="lower left", bbox_to_anchor=(0, 1.0), ncols=MOST_AT_NIGHT, frameon=False, fontsize=8,
                labelcolor=colours.ink)  # fmt: skip


def _spare(values: Any, floor: float | None) -> float:
    lowest: float = min(each.likely for each in values if each is not None)
    return lowest - (floor if floor is not None else 0.0)
