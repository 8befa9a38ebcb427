"""The style sheet of the page: light and dark, and a rule for each part that lights up its path. No content."""

from __future__ import annotations

from dataclasses import fields

from topo.draw.look import DARK, FONT_STACK, LIGHT, Colours
from topo.draw.scene import Scene

POLICY = "default-src 'none'; style-src 'unsafe-inline'; img-src data:; base-uri 'none'; form-action 'none'"
"""Nothing is fetched and no script runs, whatever the page may hold."""
MOST_PATHS = 500
"""Parts that get a rule; a browser slows down with thousands."""

_RULES = """
*{box-sizing:border-box}
body{margin:0 auto;padding:1rem;max-width:66rem;background:var(--paper);color:var(--ink);line-height:1.45}
h1{font-size:1.4rem;margin:.2rem 0}h2{font-size:1.1rem;margin:1.6rem 0 .5rem}h3{font-size:1rem;margin:.2rem 0}
small,.verdict,figcaption{color:var(--quiet);font-weight:normal}
figure{margin:1rem 0;overflow-x:auto}svg{display:block}
.finding{border-left:.35rem solid var(--edge);padding:.2rem .8rem;margin:.8rem 0}
.fault{border-color:var(--trouble)}.risk{border-left-style:double;border-color:var(--trouble)}
.tag{border:1px solid var(--edge);padding:0 .4rem}
.risk .tag{border-color:var(--trouble);color:var(--trouble)}
.fault .tag{background:var(--trouble);border-color:var(--trouble);color:var(--on_trouble)}
.wide{overflow-x:auto}table{border-collapse:collapse;font-size:.9rem}
th,td{text-align:left;vertical-align:top;padding:.15rem .9rem .15rem 0;border-bottom:1px solid var(--edge)}
th{color:var(--quiet);font-weight:normal}td,p,h1,h3{overflow-wrap:anywhere}
tr:hover,tr:focus,.finding:hover,.finding:focus{background:var(--bar);outline:none}
@media print{figcaption{display:none}}
"""


def page_style(scene: Scene) -> str:
    """The whole style sheet."""
    paths = "\n".join(_path(node.key) for node in scene.nodes[:MOST_PATHS])
    return (f":root{{color-scheme:light dark;{_variables(LIGHT)};font-family:{FONT_STACK}}}"
            f"@media (prefers-color-scheme:dark){{:root{{{_variables(DARK)}}}}}"
            f"@media print{{:root{{{_variables(LIGHT)}}}}}{_RULES}{paths}")


def _variables(colours: Colours) -> str:
    return ";".join(f"--{field.name}:{getattr(colours, field.name)}" for field in fields(colours))


def _path(key: str) -> str:
    """While a part is pointed at: what is not on its path fades, the wires on it get thick."""
    here = f"body:has(.k-{key}:is(:hover,:focus))"
    return (f"{here} svg :is(.node,.wire):not(.p-{key}){{opacity:.3}}"
            f"{here} svg .wire.p-{key} path{{stroke-width:3.5px}}")
