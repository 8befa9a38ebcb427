"""Printing: plain off a terminal, styled on one, in what the stream's encoding can say."""

from __future__ import annotations

import io
import re
import subprocess
import sys

import pytest

from tests.report.hand_made import finding, report, rig, study
from topo.report.lines import Line, text_of
from topo.report.print import encoding_of, is_styled, print_lines, print_report, width_of
from topo.report.text import report_lines

ESCAPES = re.compile(r"\x1b\[[0-9;]*m")


class Terminal(io.StringIO):
    """A stream that says it is a terminal."""

    encoding = "utf-8"

    def isatty(self) -> bool:
        return True


@pytest.fixture(autouse=True)
def _environment(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("NO_COLOR", raising=False)
    monkeypatch.setenv("TERM", "xterm")
    monkeypatch.setenv("COLUMNS", "100")


def test_a_pipe_gets_plain_text_of_80_cells() -> None:
    out = io.TextIOWrapper(io.BytesIO(), encoding="utf-8", newline="\n")
    print_report(report(finding()), stream=out)
    out.seek(0)
    assert out.read() == "".join(f"{text_of(line)}\n" for line in report_lines(report(finding()), 80))


def test_an_ascii_pipe_gets_ascii() -> None:
    raw = io.BytesIO()
    out = io.TextIOWrapper(raw, encoding="ascii", errors="strict")
    print_report(report(finding(), of=study(rig(camera="主相機"))), stream=out)
    out.flush()
    assert b"1.2-1.4 s (likely 1.3)" in raw.getvalue()
    assert rb"\u4e3b" in raw.getvalue()


def test_a_terminal_gets_the_same_text_with_styles_but_no_colours() -> None:
    out, of = Terminal(), report(finding(severity="fault"))
    print_report(of, stream=out)
    shown = out.getvalue()
    assert ESCAPES.sub("", shown) == "".join(f"{text_of(line)}\n" for line in report_lines(of, 100))
    codes = {code for found in ESCAPES.findall(shown) for code in found[2:-1].split(";")}
    assert codes == {"0", "1", "7"}


def test_markup_in_a_name_is_text() -> None:
    out = Terminal()
    lines: list[Line] = [(("[bold]:star: 1.2 [/bold]", ""),)]
    print_lines(lines, out)
    assert out.getvalue() == "[bold]:star: 1.2 [/bold]\n"


def test_no_color_and_dumb_terminals_get_plain_text() -> None:
    assert is_styled(Terminal(), {})
    assert not is_styled(Terminal(), {"NO_COLOR": "1"})
    assert is_styled(Terminal(), {"NO_COLOR": ""})
    assert not is_styled(Terminal(), {"TERM": "dumb"})
    assert not is_styled(io.StringIO(), {})


def test_width(monkeypatch: pytest.MonkeyPatch) -> None:
    assert width_of(io.StringIO()) == 80
    assert width_of(Terminal()) == 100
    monkeypatch.setenv("COLUMNS", "300")
    assert width_of(Terminal()) == 120


def test_unknown_encodings_count_as_ascii() -> None:
    class Odd(io.StringIO):
        encoding = "no-such-encoding"

    assert encoding_of(Odd()) == "ascii"
    assert encoding_of(io.StringIO()) == "ascii"
    assert encoding_of(io.TextIOWrapper(io.BytesIO(), encoding="UTF8")) == "utf-8"


def test_nothing_heavy_is_imported_off_a_terminal() -> None:
    code = (
        "import sys; from tests.report.hand_made import report, finding; from topo.report.print import print_report;"
        "print_report(report(finding())); from topo.report.asjson import report_json; report_json(report());"
        "sys.exit(','.join({'rich', 'networkx', 'pydantic', 'yaml', 'pluggy', 'click'} & set(sys.modules)) or 0)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert (done.returncode, done.stderr) == (0, "")


def test_only_the_word_in_the_gutter_is_reversed() -> None:
    out = Terminal()
    print_report(report(finding(severity="fault", message="word " * 60)), stream=out)
    reversed_texts = re.findall(r"\x1b\[1;7m([^\x1b]*)\x1b", out.getvalue())
    assert reversed_texts == ["FAULT", "FAULT 1"]
