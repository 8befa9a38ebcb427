"""Text for HTML: escaped, and in sentences of ours with what is to be typed set apart."""

from __future__ import annotations

import re
from html import escape

from topo.model.plain import plain


def escaped_text(text: str) -> str:
    """Any text as HTML."""
    return escape(plain(text, 4000), quote=True)


def prose(text: str) -> str:
    """A sentence of ours: what stands between backticks is to be typed."""
    return re.sub(r"`([^`]+)`", r"<code>\1</code>", escaped_text(text))
