"""What the reader makes of good files, and what it says of wrong values: text, line and column."""

from __future__ import annotations

from pathlib import Path

import pytest

from topo.errors import RigFileError
from topo.model.facts import Fact
from topo.model.rig import Place
from topo.rigfile.read import read, read_text

EXAMPLES = sorted((Path(__file__).resolve().parents[2] / "examples").glob("*/rig.yaml"))
HEAD = "rig: Test\ncomputer: {}\n"


def problems_of(text: str | bytes) -> list[tuple[int, int, str, str]]:
    with pytest.raises(RigFileError) as caught:
        read_text(text, "rig.yaml")
    return [(p.line, p.column, p.message, p.hint) for p in caught.value.problems]


def device(body: str) -> str:
    """A rig with one device; `body` begins on line 5, in column 5."""
    return f"{HEAD}devices:\n  cam:\n    {body}\n"


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.parent.name)
def test_examples_are_read(path: Path) -> None:
    rigfile = read(path)
    assert rigfile.document.devices
    assert rigfile.text == path.read_text(encoding="utf-8")


def test_there_are_examples() -> None:
    assert len(EXAMPLES) >= 5


def test_scalars_stay_text_until_the_schema_speaks() -> None:
    text = device("{plug: computer/1.10, identity: {vendor_id: 0403, serial: 00e1}, use: {bin: 02}, note: 1_000}")
    entry = read_text(text, "rig.yaml").document.devices["cam"]
    assert entry.plug == "computer/1.10"
    assert entry.identity is not None and entry.use is not None
    assert entry.identity.vendor_id == "0403"
    assert entry.identity.serial == "00e1"
    assert entry.use.bin == Fact(2, "declared")
    assert entry.note == "1_000"


@pytest.mark.parametrize("word", ["true", "yes", "on", "True", "YES", "On"])
def test_words_for_yes(word: str) -> None:
    assert read_text(device(f"packed: {word}"), "x").document.devices["cam"].facts.packed == Fact(True, "declared")


@pytest.mark.parametrize("word", ["false", "no", "off", "False", "NO", "Off"])
def test_words_for_no(word: str) -> None:
    assert read_text(device(f"packed: {word}"), "x").document.devices["cam"].facts.packed == Fact(False, "declared")


@pytest.mark.parametrize("nothing", ["", "~", "null", "NULL", "  # only a comment"])
def test_an_empty_value_counts_as_left_out(nothing: str) -> None:
    entry = read_text(device(f"cable: {nothing}"), "x").document.devices["cam"]
    assert entry.cable is None


def test_an_empty_part_is_a_part_of_which_nothing_is_said() -> None:
    text = "rig: Test\ncomputer:\n  ports:\n    usb3-1:\nhubs:\ndevices:\n  cam:\n"
    document = read_text(text, "x").document
    assert list(document.devices) == ["cam"]
    assert document.computer.ports is not None and list(document.computer.ports) == ["usb3-1"]
    assert document.hubs == {}


def test_a_quoted_null_is_text() -> None:
    assert read_text(device("note: 'null'"), "x").document.devices["cam"].note == "null"


def test_places_of_keys_and_values_with_crlf_and_wide_characters() -> None:
    rigfile = read_text("rig: Übung 🔭\r\ncomputer: {}\r\ndevices:\r\n  é: {role: mount}\r\n", "dir/rig.yaml")
    assert rigfile.places["devices", "é"] == Place("dir/rig.yaml", 4, 3)
    assert rigfile.values["devices", "é", "role"] == Place("dir/rig.yaml", 4, 13)
    assert rigfile.place("devices", "é", "use", "bin") == Place("dir/rig.yaml", 4, 3)
    assert "\r\n" in rigfile.text


def test_a_byte_order_mark_shifts_no_column() -> None:
    rigfile = read_text(b"\xef\xbb\xbfrig: A\ncomputer: {}\n", "x")
    assert rigfile.values["rig",] == Place("x", 1, 6)
    assert problems_of("\ufeffrgi: A\ncomputer: {}\n")[1][:2] == (1, 1)


WRONG = [
    ("cable: {length_m: 1.2 m}", 23, "`length_m` takes a number of metres, not '1.2 m'", "write `length_m: 1.2`"),
    ("cable: {length_m: 80 cm}", 23, "`length_m` takes a number of metres, not '80 cm'", "write `length_m: 0.8`"),
    ("cable: {length_m: '1,2'}", 23, "`length_m` takes a number of metres, not '1,2'", "write `length_m: 1.2`"),
    ("use: {exposure_s: 150s}", 23, "`exposure_s` takes a number of seconds, not '150s'", "write `exposure_s: 150`"),
    ("use: {exposure_s: 5 min}", 23, "`exposure_s` takes a number of seconds, not '5 min'", "write `exposure_s: 300`"),
    ("use: {exposure_s: 1/50}", 23, "`exposure_s` takes a number of seconds, not '1/50'", "write `exposure_s: 0.02`"),
    ("use: {exposure_s: long}", 23, "`exposure_s` takes a number of seconds, not 'long'",
     "leave the key out where you don't know it"),
    ("cable: {length_cm: 80}", 13, "there is no key 'length_cm' here", "write `length_m: 0.8`, in metres"),
    ("cable: {length: 80}", 13, "there is no key 'length' here", "the key is `length_m`, in metres"),
    ("cable: {length: 80 cm}", 13, "there is no key 'length' here", "write `length_m: 0.8`, in metres"),
    ("cable: {awg: 18}", 13, "there is no key 'awg' here", "the key is `gauge_awg`, in a wire gauge (AWG)"),
    ("readout_mb_per_s: 800 Mb/s", 23,
     "`readout_mb_per_s` takes a number of megabytes per second (MB/s), not '800 Mb/s'",
     "write `readout_mb_per_s: 100`"),
    ("frame_memory_mb: 1 GiB", 22, "`frame_memory_mb` takes a number of megabytes (MB), not '1 GiB'",
     "write `frame_memory_mb: 1073.741824`"),
    ("bus_ma: 0.5 A", 13, "`bus_ma` takes a number of milliamperes (mA), not '0.5 A'", "write `bus_ma: 500`"),
    ("exposure_s: 3", 5, "there is no key 'exposure_s' here", "`exposure_s` goes under `use:`"),
    ("length: 3", 5, "there is no key 'length' here", "`length_m` goes under `cable:`"),
    ("profil: x", 5, "there is no key 'profil' here", "nearest name: profile"),
    ("{role:imaging}", 6, "there is no key 'role:imaging' here", "a space is missing: `role: imaging`"),
    ("use: {bin: 1.5}", 16, "`bin` takes a whole number, not '1.5'", "leave the key out where you don't know it"),
    ("use: {bin: 99}", 16, "`bin` must be at most 16, and is 99", ""),
    ("cable: {length_m: -1}", 23, "`length_m` must be at least 0, and is -1", "it is in metres"),
    ("use: {roi: 12}", 16, "`roi` takes WIDTHxHEIGHT in pixels, not '12'", "for instance 1280x960"),
    ("use: {roi: 640 × 480}", 16, "`roi` takes WIDTHxHEIGHT in pixels, not '640 × 480'", "write `roi: 640x480`"),
    ("packed: maybe", 13, "`packed` is yes or no, not 'maybe'", "write true or false"),
    ("cable: 3", 12, "`cable` takes keys of its own, not '3'", "write `cable: {length_m: 3}`"),
    ("cable: [1]", 12, "`cable` takes keys of its own, not a list", "write `cable: {length_m: 1}`"),
    ("cable: good", 12, "`cable` takes keys of its own, not 'good'", "such as length_m, grade, gauge_awg, active"),
    ("role: [imaging]", 11, "`role` takes one value, not a list", ""),
    ("note: {a: b}", 11, "`note` takes one value, not a mapping", ""),
    ("plug: computer", 11, "`plug` takes PART/SOCKET, not 'computer'",
     "say which socket of it, for instance `plug: computer/usb3-1`"),
    ("identity: {vendor_id: 0x403}", 27, "`vendor_id` takes four hexadecimal digits, not '0x403'",
     "write `vendor_id: '0403'`"),
    ("profile: ''", 14, "`profile` is empty", "leave the key out where nothing is known"),
    ("speed: hihg", 12, "`speed` cannot be 'hihg'",
     "nearest name: high; one of low, full, high, super, super-plus"),
]  # fmt: skip


@pytest.mark.parametrize(("body", "column", "message", "hint"), WRONG, ids=[row[0] for row in WRONG])
def test_wrong_values(body: str, column: int, message: str, hint: str) -> None:
    assert problems_of(device(body)) == [(5, column, message, hint)]


def test_what_is_missing() -> None:
    assert problems_of("devices: {}\n") == [
        (1, 1, "`computer` is missing", "write `computer: {profile: NAME}`; `topo profiles computer` lists them"),
        (1, 1, "`rig` is missing", "write `rig: A NAME`"),
    ]
    assert problems_of(HEAD + "power:\n  supplies:\n    pier: {amps: 3}\n  leads:\n    a: {from: pier, to: }\n") == [
        (5, 5, "'pier' lacks `volts`", "for instance 12.8 or 13.2"),
        (7, 21, "`to` is left empty, and it is needed", "the part the lead goes to"),
    ]


def test_every_problem_at_once_in_order_of_place() -> None:
    text = (
        "rig: Test\ncomputer:\n  prots: {}\nhubs:\n  hub: {plug: computr/usb3-1, ports: many}\n"
        "devices:\n  cam: {role: guider, cable: {length_cm: 80}, guides: muont}\n  mount: {role: mount}\n"
    )
    found = problems_of(text)
    assert [(line, column) for line, column, _, _ in found] == [(3, 3), (5, 15), (5, 38), (7, 15), (7, 31), (7, 55)]
    assert [hint for _, _, _, hint in found][1::4] == ["nearest name: computer", "nearest name: mount"]


def test_only_so_many_problems_are_told() -> None:
    text = HEAD + "devices:\n" + "".join(f"  d{n}: {{wrong: 1}}\n" for n in range(300))
    found = problems_of(text)
    assert found[0] == (0, 0, "300 problems; the first 100 follow", "")
    assert len(found) == 101


def test_no_word_of_the_library_gets_out() -> None:
    for body, *_ in WRONG:
        for _, _, message, hint in problems_of(device(body)):
            told = (message + hint).lower()
            assert not any(word in told for word in ("input", "pydantic", "valid", "extra", "literal", "dict", "str"))
