"""A chase as a page to print and take outside: suspects, and the first three tests as a tree. No scripts.

Every text passes `_e`: names of parts come from a file.
"""

from __future__ import annotations

from html import escape

from topo.chase.ending import ranked
from topo.chase.follow import ChaseStep, fixes_of
from topo.chase.tree import Twig, tree_of
from topo.chase.words import UNLIKELY, minutes, named, percent
from topo.draw.page_style import POLICY
from topo.model.cautions import CAUTIONS
from topo.model.chase import GOES, MOVES, STAYS, Test
from topo.model.plain import plain
from topo.words.lists import capital

_STYLE = """
:root{color-scheme:light dark}*{box-sizing:border-box}
body{margin:0 auto;padding:1rem;max-width:60rem;font-family:"DejaVu Sans",Arial,sans-serif;line-height:1.4;
background:#fff;color:#111}
h1{font-size:1.4rem;margin:.2rem 0}h2{font-size:1.1rem;margin:1.2rem 0 .4rem}
table{border-collapse:collapse}td{padding:.1rem .6rem .1rem 0;vertical-align:top}
.bar{width:12rem}.bar div{border:1px solid #111;background:#777;height:.8rem}
ul{list-style:none;margin:0;padding:0}ul ul{margin:.2rem 0 .4rem 1rem;padding-left:.9rem;border-left:2px solid #777}
li{margin:.35rem 0}ul ul ul li{break-inside:avoid}.box{display:inline-block;width:.9rem;height:.9rem;
border:1px solid #111;margin-right:.4rem;vertical-align:-.1rem}.mind{font-size:.9em}
li,td,p{overflow-wrap:anywhere}
@media (prefers-color-scheme:dark){body{background:#111;color:#eee}.bar div,.box{border-color:#eee}}
@page{margin:14mm}
h2{break-after:avoid}
@media print{body{background:#fff;color:#111;padding:0;font-size:10pt}.bar div,.box{border-color:#111}}
"""


def chase_page(step: ChaseStep, rig_file: str) -> bytes:
    """The page as UTF-8."""
    seen = "; ".join(symptom.words for symptom in step.symptoms)
    title = f"Chase: {step.rig.name}"
    body = [
        f"<h1>{_e(title)}</h1>",
        f"<p>{_e(capital(seen))}: {_e(', '.join(step.victims))}. How often: {_e(step.rhythm.said)}.</p>",
        "<h2>Suspects</h2>", *_suspects(step), "<h2>The next tests</h2>",
        f"<ul class=tree><li>{_twig(step, tree_of(step.belief, step.answers, step.said.cannot))}</li></ul>",
        "<p>Before each test put back what the one before it changed, unless it says to leave it.</p>",
        f"<p>After each test, in this order: <code>topo chase {_e(rig_file)} --saw yes</code>, or moved, or no:7 after "
        "7 quiet minutes; of a look its own word.</p>",
        "<h2>On power</h2>", "<ul>", *(f"<li>{_e(text)}</li>" for text in CAUTIONS), "</ul>",
    ]
    head = (
        f'<meta charset="utf-8"><meta http-equiv="Content-Security-Policy" content="{POLICY}">'
        f'<meta name="viewport" content="width=device-width, initial-scale=1"><title>{_e(title)}</title>'
        f"<style>{_STYLE}</style>"
    )
    page = f'<!doctype html>\n<html lang="en"><head>{head}</head>\n<body>\n' + "\n".join(body) + "\n</body></html>\n"
    return page.encode("utf-8", "backslashreplace")


def _e(text: str) -> str:
    return escape(plain(text, 4000).replace("`", "").replace(" %", "\N{NO-BREAK SPACE}%"), quote=True)


def _suspects(step: ChaseStep) -> list[str]:
    rows = [
        f"<tr><td>{_e(percent(chance).strip())}</td>"
        f"<td class=bar><div style=\"width:{max(1.0, chance * 100):.0f}%\"></div></td>"
        f"<td>{_e(named(step.case, group))}</td></tr>"
        for group, chance in ranked(step.belief) if chance >= UNLIKELY
    ]
    return ["<table>", *rows, "</table>"]


def _twig(step: ChaseStep, twig: Twig) -> str:
    """What to do here, and below it what each outcome leads to."""
    case, option, end = step.case, twig.choice.option, twig.choice.ending
    if end is not None:
        what = " or ".join(named(case, group) for group in end.groups)
        fixes = " ".join(fix for group in end.groups for fix in fixes_of(case, group))
        return f"<b>{'It is' if end.named else 'Left:'}</b> {_e(what)}. {_e(fixes)}"
    if option is None or not twig.after:
        likeliest, chance = ranked(twig.belief)[0]
        return f"ask topo again. Likeliest then: {_e(named(case, likeliest))} ({_e(percent(chance).strip())})."
    test = case.tests[option.number]
    wait = "" if test.is_look else f" Watch {_e(', '.join(test.watch))} for {minutes(option.wait)}."
    mind = f" <span class=mind>{_e(test.caution)}</span>" if test.caution else ""
    below = "".join(
        f"<li><b>{_e(_when(test, outcome))}</b> ({_e(percent(chance).strip())}): {_twig(step, then)}</li>"
        for outcome, chance, then in twig.after
    )
    again = "Leave it so and watch on: " if option.number == twig.belief.standing and not test.is_look else ""
    return f"<span class=box></span>{again}{_e(test.words)}{wait}{mind}<ul>{below}</ul>"


def _when(test: Test, outcome: str) -> str:
    return {STAYS: "If still seen", MOVES: "If it moved", GOES: "If gone"}.get(outcome, f"If {outcome}")
