"""Plans to choose among on the page, each with its picture, its words and its strip: radio buttons and style rules.

No script: what is chosen is shown by `:checked`. Only what a plan changes is drawn again.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from topo.draw.bands import bands_of
from topo.draw.escape import escaped_text, prose
from topo.draw.shapes import PAGE_CLASS, Sheet, sheet_svg
from topo.frozen import frozen

MOST_CHOICES = 7


@frozen
class PlanPanel:
    """One plan: its steps in sentences, what comes of it as pairs of a word and a sentence, and its sheets: before and
    after as wide and as narrow as the page may be, and one exposure's end with the plan done."""

    steps: tuple[str, ...]
    told: tuple[tuple[str, str], ...]
    wide: Sheet | None = None
    narrow: Sheet | None = None
    strip: Sheet | None = None


def choices_html(now: str, choices: Sequence[PlanPanel]) -> Iterable[str]:
    """A set of radio buttons, and beneath it what is chosen; `now` is the rig as it is."""
    if not choices:
        yield now
        return
    yield "<fieldset class=choices><legend>Choose what to see</legend>"
    for number, label in enumerate(("Now", *(f"Plan {each}" for each in range(1, len(choices) + 1)))):
        steps = "" if not number else f" <small>{escaped_text(_short(choices[number - 1].steps))}</small>"
        checked = "" if number else " checked"
        yield (f"<div><input type=radio name=plan id=plan{number}{checked}><label for=plan{number}>{label}{steps}"
               "</label></div>")
    yield f"</fieldset><div class=plan0>{now}</div>"
    for number, choice in enumerate(choices, 1):
        yield f"<div class=\"plan plan{number}\">{''.join(_choice(choice, number))}</div>"


def _short(steps: Sequence[str]) -> str:
    return " ".join(step.partition(" (")[0].rstrip(".") + "." for step in steps)


def _choice(choice: PlanPanel, number: int) -> Iterator[str]:
    yield f"<h3>Plan {number}</h3>"
    yield "".join(f"<p><strong>{prose(step)}</strong></p>" for step in choice.steps)
    yield figure_of_two(choice.wide, choice.narrow, f"plan-{number}")
    yield "<dl>" + "".join(f"<dt>{word}</dt><dd>{prose(text)}</dd>" for word, text in choice.told) + "</dl>"
    if choice.strip is not None:
        yield f"<figure>{sheet_svg(choice.strip, f'strip-{number}', PAGE_CLASS)}</figure>"


def figure_of_two(wide: Sheet | None, narrow: Sheet | None, prefix: str) -> str:
    """A picture in two widths, of which a style rule shows one; the wide one in bands that fit a sheet of paper."""
    both = [f"<div class={name}>{_in_bands(sheet, f'{prefix}-{name}', name == 'broad')}</div>"
            for name, sheet in (("broad", wide), ("slim", narrow)) if sheet is not None]
    return f"<figure>{''.join(both)}</figure>" if both else ""


def _in_bands(sheet: Sheet, prefix: str, cut: bool) -> str:
    bands = bands_of(sheet) if cut else ()
    if len(bands) < 2:
        return sheet_svg(sheet, prefix, PAGE_CLASS)
    return "".join(sheet_svg(sheet, prefix, PAGE_CLASS, band) for band in bands)


def choice_rules(count: int) -> str:
    """The style rules that show the plan that is chosen, and the rig as it is where a link leads into it."""
    if not count:
        return ""
    others = ",".join(f".plan{number}" for number in range(count + 1))
    shown = "".join(f"body:has(#plan{number}:checked) .plan{number}{{display:block}}" for number in range(count + 1))
    return f"{others}{{display:none}}{shown}.plan0:has(:target){{display:block}}"
