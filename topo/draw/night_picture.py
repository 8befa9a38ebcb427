"""The pictures of a night on one sheet: one exposure's end, how late guide frames come, volts where power is known, how
full each link is.

matplotlib draws it; it is the extra "plot". Everything is placed in pixels on a sheet of fixed width, so that text is
as large as in the other pictures. An SVG carries both looks and follows the viewer; paper is always light.
"""

from __future__ import annotations

import re
import warnings
from io import BytesIO
from typing import TYPE_CHECKING, Any

from topo.draw.look import DARK, LIGHT, Colours, names_by_colour
from topo.draw.night_curves import CURVES_HIGH, draw_curves
from topo.draw.night_loads import draw_loads, night_loads
from topo.draw.night_volts import draw_volts, volts_high
from topo.draw.shapes import Sheet, Slab, Stroke, Words
from topo.draw.strip import STRIP_WIDTH
from topo.draw.strips import strips_of
from topo.draw.style import style
from topo.errors import CommandError

if TYPE_CHECKING:
    from topo.report.tonight import TonightReport

DOTS_PER_INCH = 100
SHEET_GAP = 16.0
SALT = "topo"


def night_picture(report: TonightReport, ending: str, dark: bool) -> bytes:
    """The sheet as the bytes of a "png", "svg" or "pdf". Raises CommandError where matplotlib is not installed."""
    try:
        import matplotlib
        from matplotlib.figure import Figure
    except ImportError:
        raise CommandError("pictures of a night need matplotlib: pip install 'topo-rig[plot]'") from None
    colours = DARK if dark and ending != "svg" else LIGHT
    settings: Any = {
        "svg.hashsalt": SALT, "svg.fonttype": "path", "text.parse_math": False, "font.size": 8.0, "pdf.fonttype": 42,
        "axes.edgecolor": colours.edge, "text.color": colours.ink, "axes.labelcolor": colours.quiet,
        "xtick.color": colours.quiet, "ytick.color": colours.quiet, "axes.facecolor": colours.paper,
        "axes.spines.top": False, "axes.spines.right": False, "axes.linewidth": 0.8, "lines.solid_capstyle": "butt",
    }
    sheets = strips_of(report.end_now, report.end_then, report.steps)
    loads = night_loads(report)
    curves = CURVES_HIGH if report.now.guides else 0.0
    volts = volts_high(report.power)
    high = SHEET_GAP + sum(int(sheet.height + SHEET_GAP) for sheet in sheets) + curves + volts + loads.high
    with matplotlib.rc_context(settings):
        inches = STRIP_WIDTH / DOTS_PER_INCH, high / DOTS_PER_INCH
        figure = Figure(figsize=inches, dpi=DOTS_PER_INCH, facecolor=colours.paper)
        top = SHEET_GAP
        for sheet in sheets:
            _draw_sheet(_axes(figure, 0.0, top, STRIP_WIDTH, sheet.height, high), sheet, colours)
            top += int(sheet.height + SHEET_GAP)
        if curves:
            draw_curves(figure, report, top, high, colours)
            top += curves
        if report.power is not None and volts:
            draw_volts(figure, report.power, top, high, colours)
            top += volts
        draw_loads(figure, loads, report.labels, top, high, colours)
        out = BytesIO()
        about = {"svg": {"Date": None}, "pdf": {"CreationDate": None, "Producer": None, "Creator": None}}
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # a sign that the font lacks is drawn as a box
            figure.savefig(out, format=ending, metadata=about.get(ending, {"Software": None}), facecolor=colours.paper)
    return _both_looks(out.getvalue(), report.rig) if ending == "svg" else out.getvalue()


def _axes(figure: Any, left: float, top: float, width: float, height: float, high: float) -> Any:
    """Axes in pixels from the sheet's top left, with pixels of their own, y downwards, and nothing drawn yet."""
    axes = figure.add_axes((left / STRIP_WIDTH, 1.0 - (top + height) / high, width / STRIP_WIDTH, height / high))
    axes.set_xlim(0.0, width)
    axes.set_ylim(height, 0.0)
    axes.axis("off")
    return axes


def _draw_sheet(axes: Any, sheet: Sheet, colours: Colours) -> None:
    """The shapes of a sheet; one pixel is 0.72 points at 100 dots to the inch."""
    from matplotlib.lines import Line2D
    from matplotlib.patches import Rectangle

    point = 72.0 / DOTS_PER_INCH
    for number, shape in enumerate(sheet.flat):
        if isinstance(shape, Slab):
            axes.add_patch(Rectangle((shape.x, shape.y), shape.width, shape.height, zorder=number + 1, linewidth=point,
                                     facecolor=_colour(colours, shape.fill), edgecolor=_colour(colours, shape.edge)))
        elif isinstance(shape, Stroke):
            xs, ys = zip(*shape.points, strict=True)
            axes.add_line(Line2D(xs, ys, color=_colour(colours, shape.ink), linewidth=shape.width * point,
                                 zorder=number + 1, linestyle=(0, (4, 3)) if shape.dash else "solid"))
        else:
            _text(axes, shape, colours, number + 1, point)


def _text(axes: Any, shape: Words, colours: Colours, zorder: float, point: float) -> None:
    side = {"start": "left", "middle": "center", "end": "right"}[shape.anchor]
    axes.text(shape.x, shape.y, shape.text, fontsize=shape.size * point, color=_colour(colours, shape.ink), ha=side,
              va="baseline", zorder=zorder, fontweight="bold" if shape.bold else "normal", parse_math=False)


def _colour(colours: Colours, ink: str) -> str:
    return getattr(colours, ink) if ink else "none"


def _both_looks(drawn: bytes, title: str) -> bytes:
    """An SVG of matplotlib's with each colour of the house a variable, set for light, for dark and for paper."""
    from xml.sax.saxutils import escape

    text = drawn.decode("utf-8")
    for value, name in names_by_colour(LIGHT).items():
        text = re.sub(re.escape(value), f"var(--night-{name},{value})", text, flags=re.IGNORECASE)
    head = f"<title>{escape(title)}: a night</title><style>{escape(style('night'))}</style>"
    at = text.index(">", text.index("<svg")) + 1
    opening = text[text.index("<svg"):at]
    return (text[: text.index("<svg")] + opening[:-1] + ' class="night" role="img">' + head + text[at:]).encode()
