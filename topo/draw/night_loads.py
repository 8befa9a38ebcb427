"""How full each link is through one night, with dithers, focus runs and losses; and one minute of it close up."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from topo.draw.look import Colours
from topo.draw.metrics import shortened
from topo.draw.night_axes import placed
from topo.draw.strip import MARGIN_LEFT, STRIP_INNER, STRIP_WIDTH
from topo.frozen import frozen
from topo.model.plain import plain
from topo.night.loads import LinkLoad, loads_of
from topo.night.run import Draw, run_night

if TYPE_CHECKING:
    from topo.model.night import Night
    from topo.report.tonight import TonightReport

HEAD, MARKS, ROW, NAME, FOOT = 34.0, 30.0, 46.0, 16.0, 40.0
MOST_STRIPS = 5
LEAST_PEAK = 0.1
"""Links that are never fuller than this are not drawn."""

STEPS, MINUTE_STEPS = 480, 900
MINUTE_S = 60.0
SIGNS = {"dither": ("v", "dither"), "focus-run": ("s", "focus run"), "filter-change": ("|", "filter")}
LOST_SIGN = "x"


@frozen
class NightLoads:
    """What the strips show: one night, the links that are worth a strip, and a minute of the same, from `at_s` on."""

    night: Night
    links: tuple[LinkLoad, ...]
    minute: tuple[LinkLoad, ...]
    at_s: float

    @property
    def high(self) -> float:
        """Pixels that the strips need."""
        rows = len(self.links) + len(self.minute)
        return 2.0 * (HEAD + FOOT) + rows * ROW + MARKS if self.links else 0.0


def night_loads(report: TonightReport) -> NightLoads:
    """One night of a report, likely throughput, guide frames last."""
    cast = report.nights.casts["likely"]
    night = run_night(report.nights.plan, cast, "last", Draw(report.now.seed), trace=True)
    links = _chosen(loads_of(night, cast, 0.0, night.seconds, STEPS))
    at = _minute_of(night)
    close = {link.link: link for link in loads_of(night, cast, at, at + MINUTE_S, MINUTE_STEPS)}
    return NightLoads(night, links, _chosen(tuple(close[link.link] for link in links)), at)


def draw_loads(
    figure: Any, loads: NightLoads, labels: Mapping[str, str], top: float, high: float, colours: Colours
) -> None:
    """The night, and the minute about the first loss or the latest frame of it."""
    if not loads.links:
        return
    _title(figure, top, high, "How full each link is: dark the mean, light the peak of each step")
    axes = placed(figure, (MARGIN_LEFT, top + HEAD, STRIP_INNER, MARKS), high)
    _marks(axes, loads.night, colours)
    top += HEAD + MARKS
    _strips(figure, loads.links, labels, (top, high), (loads.night.seconds / 3600.0, "hours"), colours)
    top += len(loads.links) * ROW + FOOT
    if not loads.minute:
        return
    _title(figure, top, high, f"One minute of it, {loads.at_s / 3600.0:.2f} h after the start")
    _strips(figure, loads.minute, labels, (top + HEAD, high), (MINUTE_S, "seconds"), colours)


def _strips(
    figure: Any, links: tuple[LinkLoad, ...], labels: Mapping[str, str], place: tuple[float, float],
    span: tuple[float, str], colours: Colours,
) -> None:
    top, high = place
    for index, link in enumerate(links):
        axes = placed(figure, (MARGIN_LEFT, top + index * ROW + NAME, STRIP_INNER, ROW - NAME - 6.0), high)
        _strip(axes, link, labels.get(link.link, link.link), span[0], colours)
        axes.tick_params(labelbottom=index == len(links) - 1, labelsize=7)
        if index == len(links) - 1:
            axes.set_xlabel(span[1], fontsize=8)


def _title(figure: Any, top: float, high: float, words: str) -> None:
    figure.text(MARGIN_LEFT / STRIP_WIDTH, 1.0 - (top + 18.0) / high, words, fontsize=10, fontweight="bold",
                parse_math=False)


def _chosen(links: tuple[LinkLoad, ...]) -> tuple[LinkLoad, ...]:
    """The fullest links, in the order of the rig."""
    full = sorted(links, key=lambda link: (-max(link.peak), -max(link.mean)))[:MOST_STRIPS]
    kept = {link.link for link in full if max(link.peak) >= LEAST_PEAK}
    return tuple(link for link in links if link.link in kept)


def _strip(axes: Any, link: LinkLoad, label: str, span: float, colours: Colours) -> None:
    step = span / len(link.mean)
    xs = [number * step for number in range(len(link.mean) + 1)]
    axes.fill_between(xs, [*link.peak, link.peak[-1]], step="post", color=colours.edge, alpha=0.45, linewidth=0)
    axes.fill_between(xs, [*link.mean, link.mean[-1]], step="post", color=colours.imaging, linewidth=0)
    axes.set_xlim(0.0, span)
    axes.set_ylim(0.0, 1.05)
    axes.set_yticks([0.0, 1.0], ["", "full"])
    axes.axhline(1.0, color=colours.edge, linewidth=0.6, linestyle=(0, (2, 2)))
    words = shortened(plain(label), STRIP_INNER, 10.5)
    axes.set_title(words, loc="left", fontsize=8, pad=2, color=colours.quiet)


def _marks(axes: Any, night: Night, colours: Colours) -> None:
    """What happens, above the strips."""
    axes.axis("off")
    axes.set_xlim(0.0, night.seconds / 3600.0)
    axes.set_ylim(0.0, 1.0)
    for kind, (sign, words) in SIGNS.items():
        at = [each.at_s / 3600.0 for each in night.happenings if each.kind == kind]
        if at:
            axes.plot(at, [0.3] * len(at), sign, color=colours.line, markersize=4, label=words, fillstyle="none",
                      markeredgewidth=0.9)
    lost = [late.at_s / 3600.0 for guide in night.guiding for late in guide.late if late.lost]
    lost += [at / 3600.0 for shot in night.shooting for at in shot.lost]
    if lost:
        axes.plot(lost, [0.8] * len(lost), LOST_SIGN, color=colours.trouble, markersize=5, label="frame lost")
    if lost or night.happenings:
        axes.legend(loc="lower left", bbox_to_anchor=(0.0, 0.85), ncols=5, frameon=False, fontsize=7.5,
                    labelcolor=colours.ink, borderpad=0, handletextpad=0.2)


def _minute_of(night: Night) -> float:
    """The start of the minute that tells most: about the latest frame, a loss before any other."""
    late = [(one.lost, min(one.by_s, 1e6), -one.at_s) for guide in night.guiding for one in guide.late]
    begins = [span[0] for shot in night.shooting for span in shot.downloads]
    middle = -max(late)[2] if late else begins[len(begins) // 2] if begins else 0.0
    return max(0.0, min(middle - MINUTE_S / 2.0, night.seconds - MINUTE_S))
