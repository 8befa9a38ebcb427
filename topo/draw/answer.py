"""What a picture says loudest: the first finding's figure, whom it is about, and what to do. No places, no colours."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from topo.draw.scene import Headline
from topo.draw.words import seconds_text
from topo.model.facts import Figure, Range3
from topo.model.figures import amount
from topo.model.plain import plain
from topo.wiring.instructions import instructions, outcome_of
from topo.words.lists import capital, counted

if TYPE_CHECKING:
    from collections.abc import Sequence

    from topo.model.finding import Finding, Plan

End = Literal["low", "high"]

FIGURES: dict[str, tuple[str, tuple[tuple[str, End], ...]]] = {
    "guiding-shares-link": ("{0} late", (("late at worst, others first", "high"),)),
    "frame-lost": ("{0} of {1} get through", (("gets beside the others", "low"), ("reads out", "high"))),
    "guide-pulse-late": ("{0} late", (("it waits, at most", "high"),)),
    "link-overloaded": ("{0} asked, {1} carried", (("asked, all the time", "high"), ("carries", "low"))),
    "stream-too-slow": ("{0} of {1}", (("gets over the night", "low"), ("asks for", "high"))),
    "slower-than-it-could-be": ("{0}, could be {1}", (("speed", "high"), ("could be", "high"))),
    "cable-too-long": ("{0}, {1} at the most", (("length", "high"), ("longest for its speed", "low"))),
    "would-time-out": ("{0}, waited for {1}", (("with the others", "high"), ("time-out", "low"))),
    "port-current-exceeded": ("{0} drawn, {1} given", (("drawn", "high"), ("may give", "low"))),
    "usb-volts-low": ("{0} at its end", (("volts at its end", "low"),)),
    "volts-out-of-window": ("{0}, needs {1}", (("volts at the peak", "low"), ("lowest it works at", "high"))),
    "volts-too-high": ("{0}, takes {1}", (("volts with nothing drawn", "high"), ("most it can take", "low"))),
    "fuse-does-not-protect": ("fuse {0}, wire {1}", (("fuse", "high"), ("wire's limit", "low"))),
    "short-does-not-blow-fuse": ("a short passes {0}, fuse {1}", (("a short passes", "low"), ("fuse", "high"))),
    "fuse-blows-in-use": ("{1} through a fuse of {0}", (("fuse", "low"), ("at the peak", "high"))),
    "wire-not-fused": ("no fuse, wire {0}", (("wire's limit", "low"),)),
    "wire-runs-hot": ("{1}, wire {0}", (("wire's limit", "low"), ("at the peak", "high"))),
    "contact-overloaded": ("{1}, plug {0}", (("the plug takes", "low"), ("at the peak", "high"))),
    "channel-overloaded": ("{1} of {0}", (("may give", "low"), ("at the peak", "high"))),
    "supply-overloaded": ("{1} of {0}", (("gives", "low"), ("at the peak", "high"))),
    "battery-empty-before-dawn": ("{0} of {1}", (("hours it lasts", "likely"),  # type: ignore[dict-item]
                                                 ("hours of the night", "high"))),
    "buffer-pool-too-small": ("{0} of {1}", (("pool", "low"), ("asked for at once", "high"))),
}
"""The figure that matters of a finding: how it is said, and the figures it is made of, each at its harsh end. Another
finding is named in its own words."""

LOST_FRAMES = {"certain": "frames are lost", "possible": "frames may be lost"}


def answer_of(findings: Sequence[Finding], first: Plan | None, leads: Sequence[str] = ()) -> Headline | None:
    """What is wrong first and what to do first; None where no fault and no risk was found. `leads` are those that the
    first finding sits on."""
    if not findings or findings[0].severity == "note":
        return None
    worst = findings[0]
    steps: tuple[str, ...] = ()
    mind = ""
    if first is not None:
        whole = [plain(step, 400).replace("`", "") for step in instructions(first.proposal)]
        steps = tuple(short_of(step) + "." for step in whole)
        minds = [step.partition(" (")[2].rstrip(".").removesuffix(")") + "." for step in whole if " (" in step]
        minds += [f"Check that the cable reaches: {'; '.join(first.proposal.to_try)}."] if first.proposal.to_try else []
        mind = " ".join(capital(words) for words in (*minds, outcome_of(first).strip()) if words)
    about = said([plain(lead) for lead in leads]) if leads else whom(worst)
    return Headline(worst.severity, figure_of(worst), about, steps, plain(mind, 500))


def short_of(step: str) -> str:
    """A step without what stands in brackets after it, and without its stop."""
    return step.partition(" (")[0].rstrip(".")


def figure_of(finding: Finding) -> str:
    """The figure that matters, in words: `1.5 s late`, `frames may be lost`."""
    words, wanted = FIGURES.get(finding.name, ("", ()))
    found = [_at(finding.figures, name, end) for name, end in wanted]
    if words.startswith("{0} of {1}") and len({text.rpartition(" ")[2] for text in found}) == 1:
        found[0] = found[0].rpartition(" ")[0]  # the unit once
    figure = words.format(*found) if wanted and all(found) else ""
    if finding.name == "frame-lost":
        return LOST_FRAMES[finding.certainty] + (f": {figure}" if figure else "")
    return figure or plain(finding.name).replace("-", " ")


def _at(figures: Sequence[Figure], name: str, end: str) -> str:
    """A figure of that name at one of its ends; empty where there is none."""
    for figure in figures:
        if figure.name == name and not isinstance(figure.value, str) and figure.value is not None:
            value = getattr(figure.value, end) if isinstance(figure.value, Range3) else figure.value
            return seconds_text(value) if figure.unit == "s" else amount(value, figure.unit)
    return ""


def whom(finding: Finding) -> str:
    """Whom a finding is about: `guide-camera meets right-camera`, or the part's name."""
    part, others = plain(finding.part), [plain(other) for other in finding.others]
    if not others or finding.name not in ON_LINKS:
        return part + (f" and {counted(len(others), 'other')}" if others else "")
    return f"{part} meets {said(others)}"


def said(names: Sequence[str]) -> str:
    """Names in a row, at most three of them: `a, b and 2 others`."""
    shown = list(names[:3]) if len(names) <= 3 else [*names[:2], counted(len(names) - 2, "other")]
    return shown[0] if len(shown) == 1 else f"{', '.join(shown[:-1])} and {shown[-1]}"


ON_LINKS = ("frame-lost", "guide-pulse-late", "guiding-shares-link", "link-overloaded", "reservations-refused",
            "serial-line-busy", "stream-too-slow", "translator-crowded")
"""Findings about what shares a link: those of `topo/checks/sharing/`."""
