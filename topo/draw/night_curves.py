"""How late guide frames come: for each way of sharing the share of frames that come later than a time."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from topo.draw.look import Colours
from topo.draw.metrics import shortened
from topo.draw.night_axes import placed
from topo.draw.strip import MARGIN_LEFT, STRIP_INNER
from topo.model.night import DISCIPLINES, NEVER
from topo.model.plain import plain

if TYPE_CHECKING:
    from topo.night.tonight import GuideTonight
    from topo.report.tonight import TonightReport

HEAD, PLOT, FOOT = 30.0, 150.0, 52.0
CURVES_HIGH = HEAD + PLOT + FOOT
LOWEST = 1e-4
"""The least share of frames that is drawn: one in ten thousand."""

MOST = 2
"""Guide cameras that get a plot; a rig has seldom more."""

WAYS = {"fair": ("served fairly", "-"), "last": ("served last", (0, (5, 2)))}
PARTS = ((0.1, "a tenth of a cycle"), (0.5, "half"), (1.0, "one cycle"))


def draw_curves(figure: Any, report: TonightReport, top: float, high: float, colours: Colours) -> None:
    """One plot for each guide camera, side by side."""
    guides = report.now.guides[:MOST]
    room = (STRIP_INNER - 70.0 * (len(guides) - 1)) / len(guides)
    for number, guide in enumerate(guides):
        left = MARGIN_LEFT + number * (room + 70.0)
        axes = placed(figure, (left, top + HEAD, room, PLOT), high)
        _plot(axes, guide, colours)
        words = shortened(f"How late the frames of {plain(guide.camera)} come", room, 13.0)
        axes.set_title(words, loc="left", fontsize=10, fontweight="bold", pad=8)


def _plot(axes: Any, guide: GuideTonight, colours: Colours) -> None:
    finite = [at for curve in guide.curves for at, _ in curve if at < NEVER]
    right = max(*finite, 1.1 * guide.cycle_s)
    for discipline, curve in zip(DISCIPLINES, guide.curves, strict=True):
        words, dashes = WAYS[discipline]
        ink = colours.guiding if discipline == "fair" else colours.trouble
        xs, ys = _stairs(curve, right)
        words += "" if curve[0][1] > 0.0 else ": none late"
        axes.plot(xs, ys, color=ink, linestyle=dashes, linewidth=1.8, label=words, drawstyle="steps-post")
    axes.set_yscale("log")
    axes.set_ylim(LOWEST, 1.6)
    axes.set_yticks([1.0, 0.1, 0.01, 1e-3, 1e-4], ["all", "1 in 10", "1 in 100", "1 in 1000", "1 in 10,000"])
    axes.set_yticks([], minor=True)
    axes.set_xlim(0.0, right)
    for part, words in PARTS:
        at = part * guide.cycle_s
        axes.axvline(at, color=colours.edge, linewidth=0.8, linestyle=(0, (2, 2)))
        axes.annotate(words, (at, LOWEST), xytext=(2, 4), textcoords="offset points", fontsize=8, color=colours.quiet)
    axes.set_xlabel("seconds late or more; all nights, all levels of throughput", fontsize=8)
    axes.legend(loc="lower right", bbox_to_anchor=(1.0, 1.0), ncols=2, frameon=False, fontsize=8,
                labelcolor=colours.ink, handlelength=3, borderpad=0)


def _stairs(curve: tuple[tuple[float, float], ...], right: float) -> tuple[list[float], list[float]]:
    """The curve within the plot; frames that never come keep it up to the right edge."""
    points = [(at, max(share, LOWEST / 10)) for at, share in curve if at < NEVER]
    last = points[-1][1] if points else LOWEST / 10
    points.append((right, last))
    return [at for at, _ in points], [share for _, share in points]
