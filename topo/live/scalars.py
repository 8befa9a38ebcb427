"""Untrusted text made safe for YAML: inside double quotes, and inside a comment."""

from __future__ import annotations

from topo.model.plain import plain


def quoted(text: str) -> str:
    """A double-quoted YAML scalar of printable ASCII only (YAML 1.1 5.7: escapes \\x, \\u, \\U)."""
    return '"' + "".join(_escaped(char) for char in text) + '"'


def _escaped(char: str) -> str:
    if char in '"\\':
        return "\\" + char
    code = ord(char)
    if 0x20 <= code < 0x7F:
        return char
    return f"\\x{code:02x}" if code < 0x100 else f"\\u{code:04x}" if code < 0x10000 else f"\\U{code:08x}"


def comment(text: str, limit: int) -> str:
    """Text for a comment: nothing in it can end the line."""
    return plain(text, limit)
