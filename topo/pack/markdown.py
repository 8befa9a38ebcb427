"""A post as Markdown. Every text is escaped, so that no name can become markup, a link or a mention."""

from __future__ import annotations

import re
from collections.abc import Sequence

from topo.pack.post import Post, PostFinding
from topo.pack.text import FEW_QUESTIONS, LINES
from topo.pack.unknown import MOST_QUESTIONS
from topo.words.glossary import DO, WRONG_IF

MOST_IN_FULL = 4
"""Findings told in full; of the rest the names."""


def post_markdown(post: Post) -> str:
    """The post as Markdown, the tree in a fence that nothing in it can close. Shortened as the plain text is."""
    lines: list[str] = []
    short = post.feeds_in_short
    for feeds, asked, told in ((post.feeds, MOST_QUESTIONS, MOST_IN_FULL), (short, MOST_QUESTIONS, MOST_IN_FULL),
                               (short, FEW_QUESTIONS, 2), (short, FEW_QUESTIONS, 1)):
        lines = _lines(post, f"{post.tree}\n{feeds}".strip("\n"), asked, told)
        if len(lines) <= LINES:
            break
    return "\n".join(lines) + "\n"


def _lines(post: Post, tree: str, asked: int, told: int) -> list[str]:
    """The post with so many questions and so many findings in full."""
    fence = "`" * max(3, 1 + max((len(run) for run in re.findall("`+", tree)), default=0))
    lines = [f"**Question:** {marked(post.question)}", ""]
    lines += [f"- **{label}:** {marked(text)}" for label, text in post.summary]
    lines += ["", f"![wiring]({post.picture})", "", f"{fence}text", *tree.splitlines(), fence]
    lines += ["", "**Findings**", "", *_findings(post.told[:told], post.told)]
    if post.seen:
        lines += ["", "**Seen**", "", *(f"- {marked(text)}" for text in post.seen)]
    lines += ["", f"**Tried:** {' · '.join(f'[ ] {marked(text)}' for text in post.tried)}"]
    lines += ["", "**Questions for you**", ""]
    lines += [f"{number}. {marked(text)}" for number, text in enumerate(post.questions[:asked], 1)]
    lines += ["", f"**Not known:** {marked('; '.join(post.unknown) or 'nothing that is usually asked')}", ""]
    lines.append(f"**Taken out:** {marked('; '.join(post.removed) or 'nothing')}")
    return lines + (["", marked(post.caution)] if post.caution else [])


def _findings(shown: Sequence[PostFinding], told: Sequence[PostFinding]) -> list[str]:
    """The first findings in full, and a line with the names of the others."""
    if not told:
        return ["none"]
    lines: list[str] = []
    for number, each in enumerate(shown, 1):
        lines.append(f"{number}. **{marked(each.head)}** {marked(each.message)}")
        lines += [f"   {DO.capitalize()}: {marked(each.fix)}"] if each.fix else []
        lines += [f"   {WRONG_IF.capitalize()}: {marked(each.refuted_by)}"] if each.refuted_by else []
    rest = "; ".join(each.head for each in told[len(shown):])
    return [*lines, "", f"Also, in `topo check rig.yaml`: {marked(rest)}"] if rest else lines


def marked(text: str) -> str:
    r"""The text with every sign that Markdown or HTML may act on written as `\sign` or an entity.

    CommonMark 2.4 lets a backslash stand before any ASCII punctuation; `<`, `>`, `&` and `@` become entities, since
    not every forum knows the backslash before them. Bare addresses, which many forums
    turn into links, end at an escaped sign.
    """
    shown = "".join(_ENTITIES.get(char) or (f"\\{char}" if char in _SIGNS else char) for char in text)
    return re.sub(r"(?i)www\.", lambda match: match[0][:3] + "\\.", shown.replace("://", "\\://"))


_ENTITIES = {char: f"&#{ord(char)};" for char in "&<>@"}
_SIGNS = frozenset("\\`*_{}[]()#+!|~$^=")
