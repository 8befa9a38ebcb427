"""Untrusted text made safe to show: what a device, log or file says never reaches a terminal as it came."""

from __future__ import annotations

import unicodedata

_INVISIBLE = {"Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp"}
"""Unicode categories that move the cursor, reorder or hide text: controls, format (bidirectional) marks, surrogates,
private use, unassigned, line and paragraph separators."""


LONGEST = 4000
"""Characters of one text or line that are shown at most."""


def plain(text: str, limit: int = 200) -> str:
    r"""The text with everything invisible shown as an escape (`\x1b`, `\u202e`), and cut at `limit` characters."""
    if text.isascii() and text.isprintable() and len(text) <= limit:
        return text
    shown = "".join(_escape(char) if unicodedata.category(char) in _INVISIBLE else char for char in text[: limit + 1])
    return shown if len(text) <= limit else shown[: limit - 1] + "…"


def _escape(char: str) -> str:
    code = ord(char)
    if code < 0x100:
        return f"\\x{code:02x}"
    return f"\\u{code:04x}" if code < 0x10000 else f"\\U{code:08x}"
