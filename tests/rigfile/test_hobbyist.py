"""Rig files as a hobbyist writes them, with the usual mistakes: each is told at its line, with words that mend it.

Where the hint says what to write, the test writes that, and the file is then right.
"""

from __future__ import annotations

import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from topo.errors import Problem, RigFileError
from topo.pipeline import examine_text

RIG = """\
rig: My rig
computer:
  profile: mini-pc-4usb3-2usb2
hubs:
  hub:
    profile: hub-usb3-4port-powered
    plug: computer/usb3-1
devices:
  main-camera:
    profile: camera-apsc-26mp
    role: imaging
    plug: hub/1
    cable: {length_m: 1.5}
    use: {exposure_s: 120}
  mount:
    profile: mount-worm-mid-serial
    plug: computer/usb2-1
"""


def problems(text: str) -> tuple[Problem, ...]:
    try:
        examine_text(text)
    except RigFileError as error:
        return error.problems
    return ()


def spoilt(old: str, new: str) -> str:
    assert RIG.count(old) == 1
    return RIG.replace(old, new)


def test_the_rig_is_right() -> None:
    assert problems(RIG) == ()


@pytest.mark.parametrize(("old", "new", "line", "told"), [
    # Typing slips.
    ("role: imaging", "rol: imaging", 11, "nearest name: role"),
    ("profile: camera-apsc-26mp", "profile: camera-apsc-26pm", 10, "nearest name: camera-apsc-26mp"),
    ("devices:", "device:", 8, "nearest name: devices"),
    ("plug: hub/1", "plug: hbu/1", 12, "nearest name: hub"),
    ("    role: imaging", "    Role: imaging", 11, "nearest name: role"),
    # Indents, tabs, spaces, signs.
    ("    role: imaging", "   role: imaging", 11, "the indentation of this line, 3, fits no line above"),
    ("    role: imaging", "      role: imaging", 11, "indented deeper than line 10"),
    ("    role: imaging", "\trole: imaging", 11, "indented with a tab (use spaces, two for each level)"),
    ("    role: imaging", "\u00a0   role: imaging", 11, "type it anew with the space bar"),
    ("role: imaging", "role:imaging", 11, "write `role: imaging`"),
    ("role: imaging", "role = imaging", 11, "write `role:`"),
    ("  main-camera:", "  - main-camera:", 9, "write the name and a colon, without '- '"),
    # Things it has no profile for, and things in the wrong section.
    ("profile: camera-apsc-26mp", "profile: Sky Wonder 9000", 10, "Leave `profile` out and give what you know"),
    ("profile: mount-worm-mid-serial", "profile: hub-usb3-4port-powered", 16, "write this entry under `hubs:`"),
    ("profile: hub-usb3-4port-powered", "profile: filter-wheel-hid", 6, "write this entry under `devices:`"),
    ("  profile: mini-pc-4usb3-2usb2", "  profile: mini-pc-4usb3-2usb", 3, "nearest name: mini-pc-4usb3-2usb2"),
    # Cables: lengths without a key, decimal comma, inches, feet.
    ("cable: {length_m: 1.5}", "cable: 1.5", 13, "write `cable: {length_m: 1.5}`"),
    ("cable: {length_m: 1.5}", "cable: 1,5 m", 13, "write `cable: {length_m: 1.5}`"),
    ("cable: {length_m: 1.5}", "cable: USB 3, 2 m", 13, "write `cable: {grade: usb3, length_m: 2}`"),
    ("cable: {length_m: 1.5}", "cable: [2, usb2]", 13, "write `cable: {length_m: 2, grade: usb2}`"),
    ("cable: {length_m: 1.5}", "cable: usb3", 13, "write `cable: {grade: usb3}`"),
    ("cable: {length_m: 1.5}", "cable: 60 in", 13, "write `cable: {length_m: 1.524}`"),
    ("length_m: 1.5", "length_m: 1,5", 13, "write the decimal sign as a point: 1.5"),
    ("length_m: 1.5", "length_m: 1.5m", 13, "write `length_m: 1.5`"),
    ("length_m: 1.5", "length_m: 60in", 13, "write `length_m: 1.524`"),
    ("length_m: 1.5", "length_in: 60", 13, "write `length_m: 1.524`"),
    ("length_m: 1.5", "length: 1.5", 13, "the key is `length_m`, in metres"),
    # Sockets.
    ("plug: hub/1", "plug: hub 1", 12, "write `plug: hub/1`"),
    ("plug: hub/1", "plug: hub\\1", 12, "write `plug: hub/1`"),
    ("plug: hub/1", "plug: hub.1", 12, "write `plug: hub/1`"),
    ("plug: hub/1", "plug: hub", 12, "say which socket of it, for instance `plug: hub/1`"),
    ("plug: hub/1", "plug: hub/5", 12, "it has 1, 2, 3, 4"),
    ("plug: hub/1", "plug: mini-pc-4usb3-2usb2/usb3-2", 12, "the computer is called `computer` here"),
    ("plug: hub/1", "plug: hub-usb3-4port-powered/1", 12, "the part is called `hub`"),
    ("plug: computer/usb2-1", "plug: computer/usb3.2", 17, "nearest name: usb3-2"),
    ("plug: computer/usb2-1", "plug: computer/usb2", 17, "nearest name: usb2-1"),
    # A serial device straight on the computer.
    ("plug: computer/usb2-1", "plug: computer/serial-1", 17, "none is serial: a serial lead goes into an adapter"),
    ("plug: computer/usb2-1", "plug: computer/COM3", 17, "`profile: serial-adapter-1port`"),
    ("plug: computer/usb2-1", "plug: COM3", 17, "what a program opens is `opens: COM3`"),
    ("plug: computer/usb2-1", "plug: /dev/ttyUSB0", 17, "what a program opens is `opens: /dev/ttyUSB0`"),
    # Words and units of the trade.
    ("role: imaging", "role: guide", 11, "write `role: guiding`"),
    ("exposure_s: 120", "exposure: 120", 14, "the key is `exposure_s`, in seconds"),
    ("exposure_s: 120", "exposure_s: 2 min", 14, "write `exposure_s: 120`"),
])
def test_each_mistake_is_told_at_its_line_with_its_cure(old: str, new: str, line: int, told: str) -> None:
    text = spoilt(old, new)
    found = problems(text)
    assert found and found[0].line == line, found
    assert told in f"{found[0].message} ({found[0].hint})"
    assert len(found) == 1, "one mistake is told once"
    mended(text, found[0])


def mended(text: str, problem: Problem) -> None:
    """Does what the hint says, where it says what to write: the problem is gone, and no other has come."""
    write = re.match(r"write `((\w+): [^`]+)`", problem.hint)
    near = re.match(r"nearest name: ([\w-]+)", problem.hint)
    lines = text.splitlines()
    at = lines[problem.line - 1]
    if write:
        key = f"(?:{write[2]}|\\w+_in)"
        at = re.sub(rf"{key} ?[:=].*(?=}}$)|{key} ?[:=].*", write[1].replace("\\", "/"), at, count=1)
    elif near:
        rest = at[problem.column - 1:]
        wrong = re.match(r"[\w.-]+(?=:|$)|[\w-]+(?=/)", rest)
        if "has no socket" in problem.message:
            at = at.replace(f"/{rest.split('/')[1]}", f"/{near[1]}")
        elif wrong:
            at = at[:problem.column - 1] + near[1] + rest[wrong.end():]
    else:
        return
    lines[problem.line - 1] = at
    assert problems("\n".join(lines) + "\n") == (), at


def test_two_parts_in_one_socket_and_a_missing_plug_are_findings_with_a_cure() -> None:
    report = examine_text(spoilt("plug: computer/usb2-1", "plug: hub/1"))
    assert [(f.name, f.severity) for f in report.findings][:1] == [("socket-used-twice", "fault")]
    assert report.first is not None
    report = examine_text(spoilt("    plug: hub/1\n", ""))
    assert report.findings[0].name == "not-wired" and "Add `plug: PART/SOCKET`" in (report.findings[0].fix or no()).text


def no() -> None:
    raise AssertionError


def test_all_mistakes_of_a_file_are_told_at_once() -> None:
    text = RIG.replace("role: imaging", "role: guide").replace("length_m: 1.5", "length_m: 60in").replace(
        "exposure_s: 120", "exposure_s: 2 min")
    assert [problem.line for problem in problems(text)] == [11, 13, 14]


@settings(max_examples=60, deadline=None)
@given(st.sampled_from(("role", "plug", "profile", "cable", "use", "length_m", "exposure_s")), st.data())
def test_a_slip_of_one_letter_in_a_key_leads_back_to_it(key: str, data: st.DataObject) -> None:
    at = data.draw(st.integers(0, len(key) - 1))
    slip = data.draw(st.sampled_from((key[:at] + key[at + 1:], key[:at] + "x" + key[at:],
                                      key[:at] + key[at:at + 2][::-1] + key[at + 2:])))
    lines = RIG.splitlines()
    number = next(n for n, line in enumerate(lines) if n > 8 and re.search(rf"\b{key}:", line))
    if slip == key:
        return
    lines[number] = lines[number].replace(f"{key}:", f"{slip}:", 1)
    found = problems("\n".join(lines) + "\n")
    assert found and found[0].line == number + 1
    assert key in found[0].hint, f"{slip}: {found[0]}"


@settings(max_examples=60, deadline=None)
@given(st.sampled_from((("m", 1.0), ("cm", 0.01), ("mm", 0.001), ("ft", 0.3048), ("in", 0.0254), ('"', 0.0254))),
       st.integers(1, 400), st.sampled_from((".", ",")), st.booleans())
def test_any_length_with_its_unit_is_told_in_metres(unit: tuple[str, float], tenths: int, point: str,
                                                    alone: bool) -> None:
    word, size = unit
    written = f"{tenths // 10}{point}{tenths % 10} {word}"
    text = spoilt("cable: {length_m: 1.5}", f"cable: '{written}'" if alone else f"cable:\n      length_m: '{written}'")
    found = problems(text)
    assert len(found) == 1
    told = re.search(r"length_m: ([\d.e-]+)", found[0].hint)
    assert told is not None and abs(float(told[1]) - tenths / 10 * size) < 1e-6 * max(1.0, tenths * size)
