"""The style sheet of every SVG: each colour a variable, set for light, for dark and for paper. No shapes."""

from __future__ import annotations

from topo.draw.look import DARK, LIGHT, Colours, names_by_colour

SVG = "http://www.w3.org/2000/svg"


def style(prefix: str) -> str:
    """The style sheet; its classes are `f-NAME` for a fill and `s-NAME` for a line, within the class `prefix`."""
    names = list(names_by_colour(LIGHT).values())

    def variables(colours: Colours) -> str:
        return ";".join(f"--{prefix}-{name}:{getattr(colours, name)}" for name in names)

    rules = [f".{prefix}{{{variables(LIGHT)};max-width:100%;height:auto}}"]
    rules += [f".{prefix} .f-{name}{{fill:var(--{prefix}-{name})}}.{prefix} .s-{name}{{stroke:var(--{prefix}-{name})}}"
              for name in names]
    rules.append(f"@media (prefers-color-scheme:dark){{.{prefix}{{{variables(DARK)}}}}}")
    rules.append(f"@media print{{.{prefix}{{{variables(LIGHT)}}}}}")
    return "\n".join(rules)
