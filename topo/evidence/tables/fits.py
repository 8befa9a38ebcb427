"""The times in a FITS header: when an exposure began, how long it was, and when its file was closed.

FITS Standard 4.0: DATE-OBS 4.4.2, and 9.5 with Table 35 for DATE-BEG, DATE-END, DATE-AVG and MJD; TIMESYS Table 30;
header blocks of 36 cards of 80 bytes, 3.3.1. astropy reads the cards; it is the extra "evidence".
"""

from __future__ import annotations

import re
import warnings
from typing import Any, BinaryIO

from topo.evidence.kernel.prefixes import iso
from topo.model.evidence import ClockSpan, FrameTime, Handed, Moment, Reading
from topo.model.reader import EvidenceReader

BLOCK = 2880
MOST_BLOCKS = 100
_DATE = re.compile(r"\d{4}-\d\d-\d\d[T ]\d\d:\d\d:\d\d(\.\d{1,12})?Z?")
MJD_1970 = 40587.0
NOT_UTC = {"TAI", "TT", "GPS", "TDB", "TCB", "TCG", "ET", "TDT", "IAT"}


def recognises(head: bytes) -> bool:
    """True for a primary header of FITS: SIMPLE is its first keyword, with a value in column 30 (4.4.1)."""
    return head.startswith(b"SIMPLE  =") and b"T" in head[9:31]


def read(stream: BinaryIO, handed: Handed) -> Reading:
    """Reads one header. Raises ValueError where it tells no time, or astropy is not there."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # astropy says on standard error what it mends
        return _read(_cards(stream), handed)


def _read(cards: Any, handed: Handed) -> Reading:
    system = _text(cards, "TIMESYS") or "UTC"
    if system.upper() in NOT_UTC:
        raise ValueError(f"its times are in {system.upper()}, which is tens of seconds from UTC; not joined")
    begin, basis, give = _begin(cards)
    exposure = next((value for key in ("XPOSURE", "EXPTIME", "EXPOSURE") if (value := _number(cards, key)) is not None),
                    None)
    if exposure is not None and not 0 <= exposure <= 86_400:
        exposure = None
    end = _date(cards, "DATE-END") or _mjd(cards, "MJD-END")
    closed = None
    if end is not None:
        closed = Moment(end, "utc", give)
    elif handed.modified_s is not None:
        closed = Moment(handed.modified_s, "utc", 0.01)
        basis += "; file date"
    last = begin if closed is None else max(begin, closed.seconds)
    frame = FrameTime(Moment(begin, "utc", give), exposure, closed, basis)
    return Reading("FITS header", (ClockSpan("utc", "utc", min(begin, last), last, 2 * give),), events=(frame,))


def _cards(stream: BinaryIO) -> Any:
    try:
        from astropy.io.fits import Header
        from astropy.io.fits.verify import VerifyError
    except ImportError:
        raise ValueError("headers of FITS files need astropy: pip install 'topo-rig[evidence]'") from None
    text = bytearray()
    for _ in range(MOST_BLOCKS):
        block = stream.read(BLOCK)
        text += block
        if len(block) < BLOCK or any(block[at:at + 8] == b"END     " for at in range(0, BLOCK, 80)):
            break
    plain = bytes(text).decode("ascii", "replace").replace("\ufffd", "?")
    try:
        return Header.fromstring("".join(char if " " <= char <= "~" else "?" for char in plain))
    except (VerifyError, ValueError, IndexError, KeyError, TypeError) as error:
        raise ValueError("its header cannot be read") from error


def _value(cards: Any, key: str) -> Any:
    """A card's value; text where a writer forgot the quotes, as some do; None where it is not there or broken."""
    try:
        return cards.get(key)
    except Exception:  # one broken card costs that card: astropy raises many kinds of error for it
        found = re.search(rf"{re.escape(key):8}= *'?([^'/]{{1,60}})", _card_text(cards, key))
        return found[1].strip() if found else None


def _card_text(cards: Any, key: str) -> str:
    try:
        return f"{key:8}= " + str(cards.cards[key].image)[10:]
    except Exception:
        return ""


def _text(cards: Any, key: str) -> str | None:
    value = _value(cards, key)
    return value.strip() if isinstance(value, str) and value.strip() else None


def _number(cards: Any, key: str) -> float | None:
    value = _value(cards, key)
    if isinstance(value, str) and re.fullmatch(r" *\d{1,6}(\.\d{1,9})? *", value):
        value = float(value)
    if isinstance(value, bool) or not isinstance(value, int | float) or not -1e9 < value < 1e9:
        return None
    return float(value)


def _date(cards: Any, key: str) -> float | None:
    text = _text(cards, key)
    if text is None or not _DATE.fullmatch(text):
        return None
    try:
        return iso(text.replace(" ", "T").rstrip("Z") + "+00:00")[0]
    except (ValueError, OverflowError):
        return None


def _mjd(cards: Any, key: str) -> float | None:
    value = _number(cards, key)
    return None if value is None or not 40587 < value < 100_000 else (value - MJD_1970) * 86_400.0


def _begin(cards: Any) -> tuple[float, str, float]:
    """Start of the exposure in UTC seconds, the keyword it is from, and how far it is known."""
    for key, mjd in (("DATE-BEG", "MJD-BEG"), ("DATE-OBS", "MJD-OBS")):
        found = _mjd(cards, mjd)
        told = _text(cards, key) or ""
        if found is None:
            found = _date(cards, key)
        if found is not None:
            whole = "." not in told
            return found + (0.5 if whole else 0.0), mjd if not told else key, 0.5 if whole else 0.05
    date = _text(cards, "DATE-OBS")
    if date is not None:
        what = "a date alone" if re.fullmatch(r"\d{4}-\d\d-\d\d", date) else "no time in the standard's form"
        raise ValueError(f"its DATE-OBS is {what}")
    raise ValueError("its header tells no time of observation")


def reader() -> EvidenceReader:
    """The reader of FITS headers."""
    return EvidenceReader("fits", "times in the headers of FITS files", (".fits", ".fit", ".fts"), recognises, read)
