"""A post as plain text, 80 columns, 60 lines: where there is more to say, less telling things are said shortly."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from topo.pack.post import Post, PostFinding
from topo.words.cells import wrap
from topo.words.glossary import DO, WRONG_IF
from topo.words.lists import counted

COLUMNS = 80
LINES = 60
"""What people read in a forum without scrolling away (our own choice, no source)."""

LEAST_FINDINGS = 6
"""Lines that findings get at least, whatever else there is to say."""

FEW_QUESTIONS = 3


def post_text(post: Post) -> str:
    """The post as text. Of a large rig the 12 V side is left to the picture, then some questions, then all findings
    but the first. The tree of USB is never cut: a rig too large for 60 lines gives a longer post."""
    for feeds, asked in ((post.feeds, len(post.questions)), (post.feeds_in_short, len(post.questions)),
                         (post.feeds_in_short, FEW_QUESTIONS)):
        head, foot = _head(post, feeds), _foot(post, asked)
        room = LINES - len(head) - len(foot) - 1
        if room >= max(LEAST_FINDINGS, sum(len(_full(each)) for each in post.told[:1]) + 1):
            break
    found = _findings(post.told, room)
    return "\n".join(line.rstrip() for line in (*head, *found, "", *foot)) + "\n"


def _head(post: Post, feeds: str) -> list[str]:
    head = [*_labelled("Question", post.question), ""]
    for label, text in post.summary:
        head += _labelled(label, text)
    head += ["", "Wiring (== SuperSpeed, -- USB 2, =- both, -. serial, .. 12 V; ? is not known)"]
    return [*head, *post.tree.splitlines(), *feeds.splitlines(), ""]


def _foot(post: Post, asked: int) -> list[str]:
    return [
        *(line for text in post.seen for line in wrap(text, COLUMNS)),
        "Tried (mark what you did)", *_boxes(post.tried),
        "Questions for you", *_listed(post.questions[:asked]),
        *_labelled("Not known", "; ".join(post.unknown) or "nothing that is usually asked"),
        *_labelled("Taken out", "; ".join(post.removed) or "nothing"),
        *wrap(post.caution, COLUMNS)[: 4 if post.caution else 0],
    ]


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


def _findings(told: Sequence[PostFinding], room: int) -> list[str]:
    """Findings in full while there is room for them, the first at least without what would refute it; of the rest the
    names as far as they fit, and their count."""
    if not told:
        return ["Findings: none"]
    lines = ["Findings"]
    for index, finding in enumerate(told):
        left = told[index + 1:]
        full = _full(finding)
        if len(lines) + len(full) + min(len(left), 1) * 2 <= room:
            lines += full
        elif index == 0:
            lines += _full(finding, refuted=False)
        else:
            return lines + _named(told[index:], max(1, room - len(lines)))
    return lines


def _named(rest: Sequence[PostFinding], most: int) -> list[str]:
    """The names of findings in at most so many lines, as many as fit, and how many more there are."""
    for shown in range(len(rest), 0, -1):
        names = "; ".join(each.head for each in rest[:shown])
        more = f"; and {len(rest) - shown} more" if shown < len(rest) else ""
        lines = wrap(f"Also, in `topo check rig.yaml`: {names}{more}", COLUMNS)
        if len(lines) <= most:
            return lines
    return [f"and {counted(len(rest), 'finding')} more, in `topo check rig.yaml`"]


def _full(finding: PostFinding, refuted: bool = True) -> list[str]:
    lines = [f"* {line}" if index == 0 else f"  {line}"
             for index, line in enumerate(wrap(finding.head, COLUMNS - 2))]
    told = [("", finding.message), (f"{DO}: ", finding.fix)]
    told += [(f"{WRONG_IF}: ", finding.refuted_by)] if refuted else []
    for label, text in told:
        lines += [f"  {line}" for line in wrap(label + text, COLUMNS - 2)] if text else []
    return lines
