"""Bytes of a listing as text, whatever system and editor they come from. Never fails.

Order: byte order mark, every second byte zero (UTF-16), strict UTF-8; else an unlabelled code page, of which only ASCII
is kept: all structure of a listing is ASCII, and a letter of an unknown page would be a guess.
"""

from __future__ import annotations

import codecs

_SAMPLE = 2000


def decoded(data: bytes) -> str:
    """The text, with line ends as newlines and without NUL characters; what cannot be read is U+FFFD."""
    return _text(data).replace("\r\n", "\n").replace("\r", "\n").replace("\0", "")


def _text(data: bytes) -> str:
    if data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        return data.decode("utf-16", "replace")
    if data.startswith(codecs.BOM_UTF8):
        return data[3:].decode("utf-8", "replace")
    even, odd = data[0:_SAMPLE:2], data[1:_SAMPLE:2]
    if len(odd) > 4 and odd.count(0) > 0.8 * len(odd):
        return data.decode("utf-16-le", "replace")
    if len(even) > 4 and even.count(0) > 0.8 * len(even):
        return data.decode("utf-16-be", "replace")
    try:
        return data.decode("utf-8")
    except UnicodeDecodeError:
        return data.decode("ascii", "replace")
