"""A listing as it was printed, out of what people paste: quoted, fenced, indented, with prompts, as HTML.

Only what stands round the listing is taken away. Nothing is put back that was lost.
"""

from __future__ import annotations

import re
from itertools import pairwise

ODD_BLANKS = str.maketrans({"\u00a0": " ", "\u202f": " ", "\u2007": " ", "\u200b": None, "\ufeff": None})
"""Blanks that mail programs and web pages put for plain ones, and marks of no width."""

ENTITIES = {"&lt;": "<", "&gt;": ">", "&quot;": '"', "&#34;": '"', "&#39;": "'", "&#x27;": "'", "&nbsp;": " "}
ENTITY = re.compile("|".join((*ENTITIES, "&amp;")))
NO_ENTITY = re.compile(r"&(?!(?:lt|gt|quot|amp|nbsp|#34|#39|#x27);)")
QUOTED = re.compile(r"[ \t]{0,8}((?:>[ \t]?)+)")
TAG = re.compile(
    r"\[/?(?:code|quote|spoiler|pre)(?:=[^\]\n]{0,80})?\]|</?(?:pre|code)(?: [^>\n]{0,80})?>", re.IGNORECASE
)
FENCE = re.compile(r"[ \t]*(?:```|~~~)[\w+-]{0,20}[ \t]*")
PROMPT = re.compile(
    r"(?:\[?[\w.-]{1,40}@[\w.-]{1,60}[ :][^\n]{0,80}?[$#%]|PS [A-Za-z]:\\[^>\n]{0,200}>|[A-Za-z]:\\[^>\n]{0,200}>"
    r"|[$#%](?= (?:sudo |/?[\w./-]{1,40}(?: -|$))))(?: [^\n]{0,400})?"
)
"""A line that a shell put there, with what was typed behind it."""


def unpasted(text: str) -> str:
    """The text without what pasting put round it. One that was saved from a terminal comes back as it is."""
    text = text.translate(ODD_BLANKS)
    if "<" not in text and ENTITY.search(text) and not NO_ENTITY.search(text):
        text = ENTITY.sub(lambda found: ENTITIES.get(found[0], "&"), text)
    lines = _single(_unquoted(text.split("\n")))
    lines = [_untagged(line) for line in lines if not FENCE.fullmatch(line) and not PROMPT.fullmatch(line)]
    return "\n".join(_dedented(lines))


def _unquoted(lines: list[str]) -> list[str]:
    """Without the marks before quoted lines, where most lines have them."""
    full = [line for line in lines if line.strip()]
    marks = [found[1] for line in full if (found := QUOTED.match(line))]
    if len(marks) * 2 <= len(full):
        return lines
    spaced = all(re.match(r"[ \t]{0,8}(?:> ?)*>(?: |$)", line) for line in full if QUOTED.match(line))
    depth = min(mark.count(">") for mark in marks)
    one = re.compile(r"[ \t]{0,8}" + (r"(?:>[ \t]?)" if spaced else r"(?:>)") + f"{{1,{depth}}}")
    return [one.sub("", line, count=1) if QUOTED.match(line) else line for line in lines]


def _single(lines: list[str]) -> list[str]:
    """Without the blank line behind each line that some programs put there."""
    if sum(bool(line.strip()) for line in lines) < 3:
        return lines
    if any(one.strip() and other.strip() for one, other in pairwise(lines)):
        return lines
    blank, kept = False, []
    for line in lines:
        if line.strip():
            blank = False
            kept.append(line)
        elif blank:  # of two blank lines one was there
            blank = False
            kept.append("")
        else:
            blank = True
    return kept


def _untagged(line: str) -> str:
    """Without the tags of forums: any at its start, closing ones at its end."""
    if "[" not in line and "<" not in line:
        return line
    while found := TAG.match(line):
        line = line[found.end() :]
    while (found := _closing_tag(line)) is not None:
        line = line[: found.start()]
    return line


def _closing_tag(line: str) -> re.Match[str] | None:
    last = max(line.rfind("[/"), line.rfind("</"))
    return TAG.fullmatch(line, last) if last >= 0 else None


def _dedented(lines: list[str]) -> list[str]:
    """Without the blanks that stand before every line."""
    full = [line for line in lines if line.strip()]
    common = min((len(line) - len(line.lstrip(" \t")) for line in full), default=0)
    while common and len({line[:common] for line in full}) > 1:
        common -= 1
    return [line[common:] for line in lines] if common else lines
