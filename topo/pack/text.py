"""A post as plain text, 80 columns, meant for about 60 lines: findings that do not fit are named, not told."""

from __future__ import annotations

from collections.abc import Iterable

from topo.pack.post import Post, PostFinding
from topo.words.cells import wrap

COLUMNS = 80
LINES = 62


def post_text(post: Post) -> str:
    """The post as text. A rig with a large tree gives a longer post, never a cut tree."""
    head = [*_labelled("Question", post.question), ""]
    for label, text in post.summary:
        head += _labelled(label, text)
    head += ["", "Wiring (== SuperSpeed, -- USB 2, =- both, -. serial, .. 12 V; ? is not known)"]
    head += [*post.tree.splitlines(), ""]
    foot = [
        *(line for text in post.seen for line in wrap(text, COLUMNS)),
        "Tried (mark what you did)", *_boxes(post.tried),
        "Questions for you", *_listed(post.questions),
        *_labelled("Not known", "; ".join(post.unknown) or "nothing that is usually asked"),
        *_labelled("Taken out", "; ".join(post.removed) or "nothing"),
        *wrap(post.caution, COLUMNS)[: 4 if post.caution else 0],
    ]
    found = _findings(post.told, LINES - len(head) - len(foot))
    return "\n".join(line.rstrip() for line in (*head, *found, "", *foot)) + "\n"


def _labelled(label: str, text: str) -> list[str]:
    first, *rest = wrap(text, COLUMNS - 11)
    return [f"{label + ':':<10} {first}", *(" " * 11 + line for line in rest)]


def _listed(items: Iterable[str]) -> list[str]:
    lines = []
    for number, item in enumerate(items, 1):
        first, *rest = wrap(item, COLUMNS - 3)
        lines += [f"{number}. {first}", *(f"   {line}" for line in rest)]
    return lines


def _boxes(items: Iterable[str]) -> list[str]:
    """Tick boxes, in columns where they fit."""
    lines: list[str] = []
    for item in items:
        box = f"[ ] {item}"
        used = -(-len(lines[-1]) // 27) * 27 if lines else COLUMNS
        if used + len(box) <= COLUMNS:
            lines[-1] = f"{lines[-1]:<{used}}{box}"
        else:
            lines.append(box)
    return lines


def _findings(told: tuple[PostFinding, ...], room: int) -> list[str]:
    """Findings in full while there is room for them (two at least), then the names of the rest."""
    lines = ["Findings"]
    for index, finding in enumerate(told):
        full = _full(finding)
        if index >= 2 and len(lines) + len(full) > room - 1:
            rest = "; ".join(other.head for other in told[index:])
            lines += wrap(f"and {len(told) - index} more (see `topo check rig.yaml`): {rest}", COLUMNS)[:6]
            return lines
        lines += full
    return lines if told else ["Findings: none"]


def _full(finding: PostFinding) -> list[str]:
    lines = [f"* {line}" if index == 0 else f"  {line}"
             for index, line in enumerate(wrap(finding.head, COLUMNS - 2))]
    for label, text in (("", finding.message), ("do: ", finding.fix), ("wrong if: ", finding.refuted_by)):
        lines += [f"  {line}" for line in wrap(label + text, COLUMNS - 2)] if text else []
    return lines
