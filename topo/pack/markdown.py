"""A post as Markdown. Every text is escaped, so that no name can become markup, a link or a mention."""

from __future__ import annotations

import re

from topo.pack.post import Post


def post_markdown(post: Post) -> str:
    """The post as Markdown, findings in full, the tree in a fence that nothing in it can close."""
    fence = "`" * max(3, 1 + max((len(run) for run in re.findall("`+", post.tree)), default=0))
    lines = [f"**Question:** {marked(post.question)}", ""]
    lines += [f"- **{label}:** {marked(text)}" for label, text in post.summary]
    lines += ["", f"![wiring]({post.picture})", "", f"{fence}text", *post.tree.splitlines(), fence]
    lines += ["", "**Findings**", ""]
    for number, told in enumerate(post.told, 1):
        lines.append(f"{number}. **{marked(told.head)}** {marked(told.message)}")
        lines += [f"   Do: {marked(told.fix)}"] if told.fix else []
        lines += [f"   Wrong if: {marked(told.refuted_by)}"] if told.refuted_by else []
    lines += [] if post.told else ["none"]
    if post.seen:
        lines += ["", "**Seen**", "", *(f"- {marked(text)}" for text in post.seen)]
    lines += ["", "**Tried**", "", *(f"- [ ] {marked(text)}" for text in post.tried)]
    lines += ["", "**Questions for you**", ""]
    lines += [f"{number}. {marked(text)}" for number, text in enumerate(post.questions, 1)]
    lines += ["", f"**Not known:** {marked('; '.join(post.unknown) or 'nothing that is usually asked')}", ""]
    lines.append(f"**Taken out:** {marked('; '.join(post.removed) or 'nothing')}")
    lines += ["", marked(post.caution)] if post.caution else []
    return "\n".join(lines) + "\n"


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
