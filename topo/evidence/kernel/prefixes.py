"""The start of a kernel log's line, in all its forms: which clock it has, and what time. Host names are dropped here.

Sources of the forms: the kernel's printk (`print_time`, `print_caller`, `print_syslog`), the manual pages of dmesg(1)
and journalctl(1), RFC 3164 and 5424.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import UTC, datetime, timedelta

from topo.frozen import frozen

_DAY = "(?:Mon|Tue|Wed|Thu|Fri|Sat|Sun)"
_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
_MON = f"(?:{'|'.join(_MONTHS)})"
_CALLER = r"(?: ?\[ *[TC]\d{1,9}\])?"
_INNER = r"(?:\[ *(?P<inner>\d{1,12}\.\d{6})\](?: ?\[ *[TC]\d{1,9}\])? )?"
_HOST = r"(?:[^\s:\[\]]{1,255} )"
_LEVEL = r"(?:<\d{1,3}>)?"


@frozen
class Stamp:
    """What a line's start tells: seconds since the boot, wall time in seconds, or a difference to the line before.

    `zone_s` is local minus UTC; where it is told, `wall_s` is UTC, else local. `whole` marks stamps of whole seconds,
    `computed` wall times that were computed from the boot clock (wrong before the last sleep).
    """

    boot_s: float | None = None
    wall_s: float | None = None
    zone_s: float | None = None
    step_s: float | None = None
    whole: bool = False
    computed: bool = False


StampReader = Callable[[re.Match[str], int], Stamp]


def wall(text: str, form: str) -> float:
    """Seconds since 1970 of a wall time taken as it stands, without a zone. Raises ValueError."""
    return datetime.strptime(text, form).replace(tzinfo=UTC).timestamp()


def _boot(found: re.Match[str], year: int) -> Stamp:
    return Stamp(boot_s=float(found["t"]))


def _inner(found: re.Match[str]) -> float | None:
    return float(found["inner"]) if found["inner"] else None


def _ctime(found: re.Match[str], year: int) -> Stamp:
    return Stamp(wall_s=wall(found["t"], "%a %b %d %H:%M:%S %Y"), whole=True, computed=True)


def _minute(found: re.Match[str], year: int) -> Stamp:
    if found["step"] is not None:
        return Stamp(step_s=float(found["step"].strip(" +").replace(",", ".")))
    return Stamp(wall_s=wall(f"{year} {found['t']}", "%Y %b%d %H:%M"), whole=True, computed=True)


def _delta(found: re.Match[str], year: int) -> Stamp:
    if found["t0"] is not None:
        return Stamp(boot_s=float(found["t0"]))
    return Stamp(step_s=float(found["t"].strip().replace(",", ".")))


def iso(text: str) -> tuple[float, float | None, bool]:
    """UTC seconds (local where no zone is told), the zone in s or None, and whether seconds are whole."""
    text = text.replace(",", ".")
    whole = "." not in text
    when = datetime.fromisoformat(re.sub(r"(\.\d{6})\d+", r"\1", text))
    if when.tzinfo is None:
        return when.replace(tzinfo=UTC).timestamp(), None, whole
    zone = when.utcoffset() or timedelta(0)
    return when.timestamp(), zone.total_seconds(), whole


def _iso_line(computed: bool) -> StampReader:
    def read(found: re.Match[str], year: int) -> Stamp:
        seconds, zone, whole = iso(found["t"])
        inner = None if computed else _inner(found)
        return Stamp(boot_s=inner, wall_s=seconds, zone_s=zone, whole=whole, computed=computed)
    return read


def _full(found: re.Match[str], year: int) -> Stamp:
    date, zone = found["t"], found["zone"]
    form = "%Y-%m-%d %H:%M:%S" + (".%f" if "." in date else "")
    offset = 0.0 if zone in ("UTC", "GMT") else None
    if (named := re.fullmatch(r"([+-])(\d\d):?(\d\d)?", zone)) is not None:
        offset = (int(named[2]) * 3600 + int(named[3] or 0) * 60) * (-1.0 if named[1] == "-" else 1.0)
    seconds = wall(date, form) - (offset or 0.0)
    return Stamp(_inner(found), seconds, offset, whole="." not in date)


def _unix(found: re.Match[str], year: int) -> Stamp:
    return Stamp(wall_s=float(found["t"]), zone_s=0.0)


def _syslog(found: re.Match[str], year: int) -> Stamp:
    form = "%Y %b %d %H:%M:%S" + (".%f" if "." in found["t"] else "")
    return Stamp(_inner(found), wall(f"{year} {found['t']}", form), whole="." not in found["t"])


_ISO = r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d(?:\.\d{1,9})?(?:Z|[+-]\d\d:?\d\d)"

_FORMS: tuple[tuple[str, str, StampReader], ...] = (
    ("rfc5424", rf"<\d{{1,3}}>1 (?P<t>{_ISO}) \S{{1,255}} kernel \S+ \S+ (?:-|\[[^]]*\]) {_INNER}", _iso_line(False)),
    ("journal, monotonic", rf"\[ *(?P<t>\d{{1,12}}\.\d{{6}})\] {_HOST}?kernel: ", _boot),
    ("dmesg", rf"{_LEVEL}\[ *(?P<t>\d{{1,12}}\.\d{{6}})\](?:\[ *\d{{1,5}}\])?{_CALLER} ?", _boot),
    ("dmesg, wall time", rf"{_LEVEL}\[(?P<t>{_DAY} {_MON} [ \d]\d \d\d:\d\d:\d\d \d{{4}})\]{_CALLER} ", _ctime),
    ("dmesg, differences", rf"{_LEVEL}\[(?:(?P<step> *\+\d{{1,9}}[.,]\d{{6}})|"
                           rf"(?P<t>{_MON}[ \d]\d \d\d:\d\d))\]{_CALLER} ", _minute),
    ("dmesg, differences", r"\[(?:(?P<t0> *\d{1,12}\.\d{6}) )?<(?P<t> *\d{1,9}[.,]\d{6})>\] ", _delta),
    ("dmesg, iso", r"(?P<t>\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d,\d{6}[+-]\d\d:\d\d) ", _iso_line(True)),
    ("journal, full", rf"{_DAY} (?P<t>\d{{4}}-\d\d-\d\d \d\d:\d\d:\d\d(?:\.\d{{1,6}})?) (?P<zone>\S{{1,9}}) "
                      rf"{_HOST}?kernel: {_INNER}", _full),
    ("journal, iso", rf"(?P<t>{_ISO}) {_HOST}?kernel: {_INNER}", _iso_line(False)),
    ("journal, unix time", rf"(?P<t>\d{{9,11}}\.\d{{6}}) {_HOST}?kernel: ", _unix),
    ("syslog", rf"{_LEVEL}(?P<t>{_MON} [ \d]\d \d\d:\d\d:\d\d(?:\.\d{{1,6}})?) {_HOST}?(?:\w{{1,20}}\.\w{{1,20}} )?"
               rf"kernel: {_INNER}", _syslog),
)
FORMS = tuple((name, re.compile(pattern), read) for name, pattern, read in _FORMS)
"""First match wins: forms with a host before bare ones."""

_QUOTE = re.compile(r"^[ \t]*(?:[>|][ \t]*)+|^[ \t]+(?=[<\[\d])")


class Prefixes:
    """Takes the start off lines. `year` stands in where lines tell none; it goes on where December meets January."""

    def __init__(self, year: int) -> None:
        self._year = year
        self._form = FORMS[2]
        self._last: float | None = None

    def split(self, line: str) -> tuple[str, Stamp, str] | None:
        """The form, the stamp and the message of a line; None where no form fits."""
        if "\xa0" in line:
            line = line.replace("\xa0", " ")  # mail programs turn runs of blanks into no-break spaces
        if (cut := _QUOTE.match(line)) is not None:
            line = line[cut.end():]
        for form in FORMS:
            if (found := form[1].match(line)) is not None:
                try:
                    stamp = form[2](found, self._year)
                except (ValueError, OverflowError):
                    continue
                return form[0], self._over_new_year(form[0], found, stamp), line[found.end():]
        return None

    def _over_new_year(self, form: str, found: re.Match[str], stamp: Stamp) -> Stamp:
        if form != "syslog" or stamp.wall_s is None:
            return stamp
        if self._last is not None and self._last - stamp.wall_s > 300 * 86400.0:
            self._year += 1
            try:
                stamp = _syslog(found, self._year)
            except ValueError:
                return stamp
        self._last = stamp.wall_s
        return stamp
