"""Files are known by content, packed or not; a file that cannot be read costs that file only."""

from __future__ import annotations

import gzip
import lzma
import os
from pathlib import Path

import pytest

from tests.evidence.captures import pcapng, reads
from topo.evidence import open as opening
from topo.evidence.open import gather
from topo.evidence.readers import readers
from topo.model.evidence import FrameTime
from topo.model.reader import EvidenceReader

LOG = (
    b"[  100.000000] usb 1-1: USB disconnect, device number 2\n"
    b"[  101.000000] usb 1-2: USB disconnect, device number 3\n"
)
GUIDE = b"time,dx,dy\n0,0.1,0.2\n2,0.1,0.2\n"


def test_known_by_content_under_any_name(tmp_path: Path) -> None:
    files = {
        "a.dat": LOG,
        "b.fits": GUIDE,
        "c.txt": pcapng(reads(1_700_000_000_000_000, [4096] * 3, 4096)),
        "d.gz": gzip.compress(LOG),
        "e": lzma.compress(GUIDE),
        "f.log": gzip.compress(pcapng(reads(1_700_000_000_000_000, [4096] * 3, 4096))),
    }
    for name, data in files.items():
        (tmp_path / name).write_bytes(data)
    got = gather([str(tmp_path)], readers(), {})
    assert [source.reader for source in got] == [
        "kernel-log",
        "table",
        "usb-capture",
        "kernel-log",
        "table",
        "usb-capture",
    ]
    assert not any(source.problem for source in got)


def test_a_bad_file_costs_itself(tmp_path: Path) -> None:
    (tmp_path / "good.log").write_bytes(LOG)
    (tmp_path / "empty").write_bytes(b"")
    (tmp_path / "cut.gz").write_bytes(gzip.compress(os.urandom(5000))[:30])
    (tmp_path / "noise").write_bytes(bytes(range(256)) * 20)
    got = gather([str(tmp_path / n) for n in ("cut.gz", "empty", "good.log", "noise", "missing")], readers(), {})
    assert [bool(source.reading) for source in got] == [False, False, True, False, False]
    assert got[0].problem and got[1].problem == "it is empty"
    assert "no evidence" in got[3].problem and "cannot be" in got[4].problem


def test_a_packed_log_that_is_cut_off_gives_what_is_there(tmp_path: Path) -> None:
    (tmp_path / "cut.gz").write_bytes(gzip.compress(LOG * 4000)[:-40])
    (source,) = gather([str(tmp_path / "cut.gz")], readers(), {})
    assert source.reading is not None and len(source.reading.events) > 100


@pytest.mark.parametrize("pack", [gzip.compress, lzma.compress])
def test_a_trap_is_not_unpacked(tmp_path: Path, pack: object, monkeypatch: pytest.MonkeyPatch) -> None:
    assert callable(pack)
    monkeypatch.setattr(opening, "MOST_UNPACKED", 1 << 20)
    (tmp_path / "trap").write_bytes(pack(bytes(8 << 20)))
    (source,) = gather([str(tmp_path / "trap")], readers(), {})
    assert source.reading is None and "more than any log" in source.problem


def test_files_copied_at_once_have_lost_their_dates(tmp_path: Path) -> None:
    pytest.importorskip("astropy")
    for n in range(12):
        card = f"DATE-OBS= '2024-03-14T15:{n:02}:26.0'".ljust(80)
        head = (
            "SIMPLE  =                    T".ljust(80)
            + "NAXIS   =                    0".ljust(80)
            + card
            + "END".ljust(80)
        )
        (tmp_path / f"{n:02}.fits").write_text(head.ljust(2880), encoding="ascii")
        os.utime(tmp_path / f"{n:02}.fits", (1_710_430_000, 1_710_430_000))
    for source in gather([str(tmp_path)], readers(), {}):
        assert source.reading is not None
        (frame,) = source.reading.events
        assert isinstance(frame, FrameTime) and frame.closed is None


def test_a_reader_that_gives_nonsense_is_told(tmp_path: Path) -> None:
    (tmp_path / "x").write_bytes(LOG)
    odd = EvidenceReader("odd", "gives nonsense", (".x",), lambda head: True, lambda stream, handed: 17)
    (source,) = gather([str(tmp_path / "x")], (odd,), {})
    assert source.problem == "the reader odd gave no reading of it"


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no named pipes on this system")
def test_a_pipe_or_a_device_is_not_read(tmp_path: Path) -> None:
    (source,) = gather(["/dev/null"], readers(), {})
    assert source.problem == "it is no ordinary file"
