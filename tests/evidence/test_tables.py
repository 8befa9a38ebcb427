"""Tables and FITS headers: delimiters, decimal commas, lost stars, midnight; keywords of FITS Standard 4.0."""

from __future__ import annotations

import io
import itertools
from collections.abc import Mapping

import pytest

from topo.evidence.series import role_of
from topo.evidence.tables import fits, reader
from topo.model.evidence import Action, FrameTime, GuideSample, Handed, Moment, Reading


def read(text: str | bytes, columns: Mapping[str, str] | None = None) -> Reading:
    data = text if isinstance(text, bytes) else text.encode("utf-8")
    return reader.read(io.BytesIO(data), Handed("t.csv", columns=tuple((columns or {}).items())))


def samples(reading: Reading) -> list[GuideSample]:
    return [each for each in reading.events if isinstance(each, GuideSample)]


@pytest.mark.parametrize("delimiter", [",", ";", "\t", "|", "  "])
def test_any_delimiter(delimiter: str) -> None:
    rows = [["time", "dx", "dy"], ["0.0", "0.1", "-0.2"], ["2.0", "0.3", "0.4"]]
    got = samples(read("\n".join(delimiter.join(row) for row in rows)))
    assert [(s.at.seconds, s.first, s.second) for s in got] == [(0.0, 0.1, -0.2), (2.0, 0.3, 0.4)]


def test_decimal_commas_a_byte_order_mark_and_utf16() -> None:
    text = "Time;RA (arcsec);Dec (arcsec)\n1,5;0,25;-0,5\n3,5;0,1;0,2\n"
    for data in (text.encode("utf-8-sig"), text.encode("utf-16"), text.encode("latin-1")):
        reading = read(data)
        assert [(s.at.seconds, s.first) for s in samples(reading)] == [(1.5, 0.25), (3.5, 0.1)]
        assert reading.unit == "arcsec"


def test_columns_named_by_the_person() -> None:
    with pytest.raises(ValueError, match="--column"):
        read("moment,links,oben\n1,2,3\n2,2,3\n")
    got = samples(read("moment,links,oben\n1,2,3\n2,2,3\n", {"time": "moment", "first": "links", "second": "oben"}))
    assert [s.at.seconds for s in got] == [1.0, 2.0]


def test_a_lost_star_is_never_a_perfect_frame() -> None:
    text = (
        "time,dx,dy,mass,lost\n0,0.1,0.1,900,0\n2,0,0,0,0\n4,,,,0\n6,NaN,NaN,0,0\n8,0.1,0.1,800,1\n10,0.1,0.2,900,0\n"
    )
    assert [s.lost for s in samples(read(text))] == [False, True, True, True, True, False]
    assert all(s.first is None for s in samples(read(text)) if s.lost)


def test_times_of_day_pass_midnight_and_sessions_begin_again() -> None:
    got = samples(read("time,dx,dy\n23:59:58,0,1\n00:00:00.5,0,1\n00:00:02,0,1\n"))
    assert [round(b.at.seconds - a.at.seconds, 3) for a, b in itertools.pairwise(got)] == [2.5, 1.5]
    again = samples(read("# one\ntime,dx,dy\n0,0,1\n2,0,1\n# two\ntime,dx,dy\n0,0,1\n2,0,1\n"))
    assert [s.at.clock for s in again] == ["session-1", "session-1", "session-2", "session-2"]


def test_rows_that_cannot_be_read_are_counted() -> None:
    reading = read("time,dx,dy\n0,1,2\nnonsense\n4,1,2\nyesterday,1,2\n")
    assert len(samples(reading)) == 2
    assert any("2 rows cannot be read, the first at line 3" in told for told in reading.skipped)


def test_frames_and_actions() -> None:
    reading = read("start,exposure_s,closed\n2026-11-24T21:00:00Z,120,2026-11-24T21:02:01.5Z\n")
    (frame,) = [e for e in reading.events if isinstance(e, FrameTime)]
    assert frame.exposure_s == 120 and frame.closed is not None and frame.closed.seconds - frame.at.seconds == 121.5
    actions = read("time,event,until\n100,Dither,108\n200,autofocus started,260\n300,Goto,\n400,tea,\n").events
    assert [(a.kind, a.until.seconds - a.at.seconds) for a in actions if isinstance(a, Action)] == [
        ("dither", 8),
        ("focus", 60),
        ("slew", 0),
        ("other", 0),
    ]


def test_the_role_of_a_frames_time() -> None:
    def frames(shift: float) -> list[FrameTime]:
        return [FrameTime(Moment(n * 122.0 + shift, "utc"), 120.0, Moment(n * 122.0 + 121.5, "utc")) for n in range(8)]

    assert [role_of(frames(shift)) for shift in (0.0, 60.0, 120.0)] == ["start", "middle", "end"]


# -- FITS -------------------------------------------------------------------------------------------------------------


def header(*cards: str) -> bytes:
    lines = [
        "SIMPLE  =                    T",
        "BITPIX  =                   16",
        "NAXIS   =                    0",
        *cards,
        "END",
    ]
    text = "".join(line.ljust(80)[:80] for line in lines)
    return (text + " " * (-len(text) % 2880)).encode("ascii")


def frame_of(*cards: str, modified: float | None = None) -> FrameTime:
    data = header(*cards)
    assert fits.recognises(data)
    (event,) = fits.read(io.BytesIO(data), Handed("x.fits", modified)).events
    assert isinstance(event, FrameTime)
    return event


MARCH_14 = 1_710_428_966.0  # 2024-03-14T15:09:26 UTC


def test_dates_of_the_standard() -> None:
    pytest.importorskip("astropy")
    assert frame_of("DATE-OBS= '2024-03-14T15:09:26.25'").at.seconds == MARCH_14 + 0.25
    whole = frame_of("DATE-OBS= '2024-03-14T15:09:26'", "EXPTIME =                 120.")
    assert (whole.at.seconds, whole.at.give_s, whole.exposure_s) == (MARCH_14 + 0.5, 0.5, 120.0)
    assert frame_of("DATE-OBS= '2024-03-14T15:09:26.000Z'").at.seconds == MARCH_14
    assert frame_of("DATE-OBS= '2024-03-14 15:09:26.000'").at.seconds == MARCH_14


def test_what_wins_over_what() -> None:
    pytest.importorskip("astropy")
    both = frame_of(
        "DATE-OBS= '2024-03-14T15:10:26.0'",
        "DATE-BEG= '2024-03-14T15:09:26.0'",
        "DATE-END= '2024-03-14T15:11:26.0'",
        "XPOSURE =                119.5",
        "EXPTIME =                  120",
    )
    assert (both.at.seconds, both.exposure_s) == (MARCH_14, 119.5)
    assert both.closed is not None and both.closed.seconds == MARCH_14 + 120
    julian = frame_of("MJD-BEG =      60383.631550925925", "DATE-BEG= '2024-03-14T15:00:00'")
    assert julian.at.seconds == pytest.approx(MARCH_14, abs=0.6)
    dated = frame_of("DATE-OBS= '2024-03-14T15:09:26.0'", modified=MARCH_14 + 122)
    assert dated.closed is not None and dated.closed.seconds == MARCH_14 + 122


@pytest.mark.parametrize(
    ("cards", "why"),
    [
        (("DATE-OBS= '2024-03-14'",), "a date alone"),
        (("DATE-OBS= '14/03/98'",), "no time in the standard's form"),
        (("OBJECT  = 'nothing'",), "no time of observation"),
        (("TIMESYS = 'TAI'", "DATE-OBS= '2024-03-14T15:09:26'"), "tens of seconds from UTC"),
    ],
)
def test_headers_that_cannot_be_joined(cards: tuple[str, ...], why: str) -> None:
    pytest.importorskip("astropy")
    with pytest.raises(ValueError, match=why):
        fits.read(io.BytesIO(header(*cards)), Handed("x.fits"))


def test_broken_cards_cost_themselves() -> None:
    pytest.importorskip("astropy")
    assert frame_of("DATE-OBS= '2024-03-14T15:09:26.0'", "BROKEN\x00\x01=", "EXPTIME = 'a lot'").exposure_s is None
