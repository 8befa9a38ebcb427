"""The style sheet of the page: light and dark, and a rule for each part that lights up its path. No content."""

from __future__ import annotations

from dataclasses import fields

from topo.draw.choices import choice_rules
from topo.draw.look import DARK, FONT_STACK, LIGHT, Colours
from topo.draw.scene import Scene
from topo.draw.shapes import PAGE_CLASS
from topo.draw.style import style

POLICY = "default-src 'none'; style-src 'unsafe-inline'; img-src data:; base-uri 'none'; form-action 'none'"
"""Nothing is fetched and no script runs, whatever the page may hold."""
MOST_PATHS = 500
"""Parts that get a rule; a browser slows down with thousands."""

SLIM_BELOW = 640
"""Pixels of width from which on down tables fold and the slim picture is shown."""

SCROLLS_BELOW = 896
"""Pixels of width from which on down pictures keep their size and scroll, so that their text stays readable."""

_RULES = """
*{box-sizing:border-box}
body{margin:0 auto;padding:1rem;max-width:66rem;background:var(--paper);color:var(--ink);line-height:1.45}
h1{font-size:1.4rem;margin:.2rem 0}h2{font-size:1.1rem;margin:1.6rem 0 .5rem}h3{font-size:1rem;margin:.2rem 0}
small,.verdict,.hint,figcaption{color:var(--quiet);font-weight:normal;font-size:.85rem}.verdict{font-size:1rem}
figure{margin:1rem 0;overflow-x:auto}svg{display:block}a{color:inherit}
.slim{display:none}a.slim{display:none}
.finding{border-left:.35rem solid var(--edge);padding:.2rem .8rem;margin:.8rem 0}
.fault{border-color:var(--trouble)}.risk{border-left-style:double;border-color:var(--trouble)}
.tag{border:1px solid var(--edge);padding:0 .4rem}
.risk .tag{border-color:var(--trouble);color:var(--trouble)}
.fault .tag{background:var(--trouble);border-color:var(--trouble);color:var(--on_trouble)}
fieldset{border:1px solid var(--edge);padding:.4rem .8rem}input{width:1.1rem;height:1.1rem;margin-right:.5rem}
fieldset div{display:flex;align-items:baseline;padding:.15rem 0}
dl{display:grid;grid-template-columns:max-content 1fr;gap:.2rem .9rem;margin:.6rem 0}dt{color:var(--quiet)}dd{margin:0}
table{border-collapse:collapse;font-size:.9rem}
th,td{text-align:left;vertical-align:top;padding:.15rem .9rem .15rem 0;border-bottom:1px solid var(--edge)}
td{min-width:4.6rem}th{color:var(--quiet);font-weight:normal}td,p,h1,h3,dd,li,label{overflow-wrap:anywhere;}
label,dd{min-width:0}
tr:hover,tr:focus,.finding:hover,.finding:focus{background:var(--bar);outline:none}
.node:target{outline:3px solid var(--ink);outline-offset:3px}
tr,li,dl{break-inside:avoid}h2,h3{break-after:avoid}
@page{size:landscape;margin:10mm}
@media print{html{font-size:13px}svg{break-inside:avoid}
figcaption,.hint,fieldset{display:none}body{padding:0;max-width:none;display:flex;flex-direction:column}
figure{overflow:visible}.plan0,.plan{order:1}figure{margin:0}}
"""
"""On paper the picture comes last, since one that is taller than what is left of a sheet would leave that empty.
It is in bands (`bands.py`), none of which is torn."""
_FOLDED = """
.broad,a.broad{display:none}.slim{display:block}a.slim{display:inline}
thead{display:none}table,tbody,tr,td{display:block;width:100%}tr{padding:.4rem 0;border-bottom:1px solid var(--edge)}
td{border:0;padding:.1rem 0;display:grid;grid-template-columns:8.5rem 1fr}td:empty{display:none}
td:first-child{display:block;font-weight:bold}td:first-child::before{display:none}
td[data-head]::before{content:attr(data-head);color:var(--quiet)}
dl{grid-template-columns:1fr}
"""


def page_style(scene: Scene, choices: int = 0) -> str:
    """The whole style sheet. `choices` are the plans that can be chosen beside the rig as it is."""
    paths = "\n".join(_path(node.key) for node in scene.nodes[:MOST_PATHS])
    return (f":root{{color-scheme:light dark;{_variables(LIGHT)};font-family:{FONT_STACK}}}"
            f"@media (prefers-color-scheme:dark){{:root{{{_variables(DARK)}}}}}"
            f"@media print{{:root{{{_variables(LIGHT)}}}}}{_RULES}"
            f"{style(PAGE_CLASS)}@media screen and (max-width:{SCROLLS_BELOW}px){{.{PAGE_CLASS}{{max-width:none}}}}"
            f"@media screen and (max-width:{SLIM_BELOW}px){{{_FOLDED}}}{choice_rules(choices)}{paths}")


def _variables(colours: Colours) -> str:
    return ";".join(f"--{field.name}:{getattr(colours, field.name)}" for field in fields(colours))


def _path(key: str) -> str:
    """While a part is pointed at: what is not on its path fades, the wires on it get thick."""
    here = f"body:has(.k-{key}:is(:hover,:focus))"
    return (f"{here} svg :is(.node,.wire):not(.p-{key}){{opacity:.3}}"
            f"{here} svg .wire.p-{key} polyline{{stroke-width:3.5px}}")
