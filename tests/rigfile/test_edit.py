"""Edits change what they say they change and not a byte more, or nothing at all."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from tests.rigfile.test_read import EXAMPLES
from topo.errors import CommandError
from topo.rigfile.document import RigFile
from topo.rigfile.edit import add_part, set_scalar
from topo.rigfile.read import read, read_text

BASE = """\
# my rig
rig: Test

computer:
  os: linux   # since spring

devices:
  cam:
    plug: computer/usb3-1   # the blue one
    role: "imaging"
    cable: {length_m: 1.2, grade: usb3}   # long
    use:   # tonight
      exposure_s: 120

  mount: {role: mount, plug: 'computer/usb2-1'}
"""


def base(text: str = BASE) -> RigFile:
    return read_text(text, "rig.yaml")


SETS: list[tuple[tuple[str, ...], Any, str, str]] = [
    (("devices", "cam", "plug"), "computer/usb3-2", "usb3-1   # the blue", "usb3-2   # the blue"),
    (("devices", "cam", "role"), "guiding", '"imaging"', '"guiding"'),
    (("devices", "mount", "plug"), "computer/a", "'computer/usb2-1'", "'computer/a'"),
    (("devices", "cam", "cable", "length_m"), 0.5, "length_m: 1.2,", "length_m: 0.5,"),
    (("devices", "cam", "cable", "active"), True, "grade: usb3}", "grade: usb3, active: true}"),
    (("devices", "cam", "use", "bin"), 2, "exposure_s: 120\n", "exposure_s: 120\n      bin: 2\n"),
    (("devices", "cam", "note"), "x: y", "exposure_s: 120\n", "exposure_s: 120\n    note: 'x: y'\n"),
    (("devices", "mount", "serial", "baud"), 9600, "usb2-1'}", "usb2-1', serial: {baud: 9600}}"),
    (("computer", "radio_2g4"), False, "linux   # since spring\n", "linux   # since spring\n  radio_2g4: false\n"),
    (("rig",), "it's 🔭", "rig: Test", "rig: it's 🔭"),
    (("rig",), "# no comment", "rig: Test", "rig: '# no comment'"),
    (("devices", "cam", "use", "exposure_s"), 1 / 3, "120", "0.3333333333333333"),
]


@pytest.mark.parametrize(("keys", "value", "old", "new"), SETS, ids=[f"{'/'.join(row[0])}={row[1]}" for row in SETS])
@pytest.mark.parametrize("line_end", ["\n", "\r\n"])
def test_one_value(keys: tuple[str, ...], value: Any, old: str, new: str, line_end: str) -> None:
    assert BASE.count(old) == 1
    text = BASE.replace("\n", line_end)
    expected = BASE.replace(old, new).replace("\n", line_end)
    assert set_scalar(base(text), keys, value) == expected


EMPTY = [
    ("rig: A\ncomputer:   # mine\n", ("computer", "os"), "linux", "rig: A\ncomputer: {os: linux}   # mine\n"),
    ("rig: A\ncomputer: ~\n", ("computer", "os"), "linux", "rig: A\ncomputer: {os: linux}\n"),
    ("rig: A\ncomputer: {}", ("computer", "os"), "linux", "rig: A\ncomputer: {os: linux}"),
    ("{rig: A, computer}", ("computer", "os"), "linux", "{rig: A, computer: {os: linux}}"),
    ("{rig: A, computer: {},}", ("computer", "os"), "linux", "{rig: A, computer: {os: linux},}"),
    ("rig: A\ncomputer: {os: linux, }", ("computer", "port_ma"), 500, "rig: A\ncomputer: {os: linux, port_ma: 500 }"),
    ("rig: A\ncomputer:\n  os:\n", ("computer", "os"), "macos", "rig: A\ncomputer:\n  os: macos\n"),
    ("rig: A\ncomputer: {note:}\n".replace("note:", "note: "), ("computer", "note"), "a, b",
     "rig: A\ncomputer: {note: 'a, b' }\n"),
    ("rig: |\n  A\n\n# end\ncomputer: {}\n", ("rig",), "B", "rig: B\n\n# end\ncomputer: {}\n"),
    ("rig: A\n  B\ncomputer: {}\n", ("rig",), "C", "rig: C\ncomputer: {}\n"),
]  # fmt: skip


@pytest.mark.parametrize(("text", "keys", "value", "expected"), EMPTY, ids=[repr(row[0]) for row in EMPTY])
def test_empty_values_and_odd_forms(text: str, keys: tuple[str, ...], value: Any, expected: str) -> None:
    assert set_scalar(base(text), keys, value) == expected


def test_a_value_that_the_schema_refuses_changes_nothing() -> None:
    with pytest.raises(CommandError, match=r"not made.*`role` cannot be 'guider'"):
        set_scalar(base(), ("devices", "cam", "role"), "guider")
    with pytest.raises(CommandError, match=r"not made.*there is no part 'nowhere'"):
        set_scalar(base(), ("devices", "cam", "plug"), "nowhere/1")
    with pytest.raises(CommandError, match=r"not made.*there is no key 'plgu'"):
        set_scalar(base(), ("devices", "cam", "plgu"), "a/1")


@pytest.mark.parametrize("keys", [(), ("devices",), ("devices", "cam"), ("rig", "x"), ("devices", "cam", "plug", "x")])
def test_places_that_hold_no_single_value(keys: tuple[str, ...]) -> None:
    with pytest.raises(CommandError):
        set_scalar(base(), keys, "x")


def test_adding_a_part_at_the_end_of_its_section() -> None:
    body = {"profile": "wheel", "plug": "computer/usb2-2", "cable": {"length_m": 1.0, "grade": None}, "use": None}
    changed = add_part(base(), "devices", "wheel: 1", body)
    added = "\n  'wheel: 1':\n    profile: wheel\n    plug: computer/usb2-2\n    cable: {length_m: 1}\n"
    assert changed == BASE + added


def test_adding_keeps_what_follows_the_section_and_its_indentation() -> None:
    text = (
        "rig: A\ncomputer: {}\ndevices:\n    a:\n        role: mount\n"
        "    # about b\n    b:\n        role: dew\n# end\npower:\n"
    )
    changed = add_part(base(text), "devices", "c", {"role": "other"})
    assert changed == text.replace("role: dew\n", "role: dew\n    c:\n        role: other\n")


def test_adding_makes_the_section() -> None:
    assert add_part(base(), "hubs", "hub", {"ports": 4, "powered": True}) == (
        BASE + "\nhubs:\n  hub:\n    ports: 4\n    powered: true\n"
    )


SECTIONS = [
    ("rig: A\ncomputer: {}\ndevices:   # none yet\n\n# end\n",
     "rig: A\ncomputer: {}\ndevices:   # none yet\n  a:\n    role: mount\n\n# end\n"),
    ("rig: A\ncomputer: {}\ndevices: {}   # none\n", "rig: A\ncomputer: {}\ndevices: {a: {role: mount}}   # none\n"),
    ("{rig: A, computer: {}}", "{rig: A, computer: {}, devices: {a: {role: mount}}}"),
    ("rig: A\ncomputer: {}\ndevices: {b: {role: dew}}\n",
     "rig: A\ncomputer: {}\ndevices: {b: {role: dew}, a: {role: mount}}\n"),
    ("rig: A\r\ncomputer: {}", "rig: A\r\ncomputer: {}\r\ndevices:\r\n  a:\r\n    role: mount"),
    ("rig: A\ncomputer: {}\n...\n", "rig: A\ncomputer: {}\ndevices:\n  a:\n    role: mount\n...\n"),
    ("rig: A\ncomputer: {}\ndevices:\n  b:\n", "rig: A\ncomputer: {}\ndevices:\n  b:\n  a:\n    role: mount\n"),
]  # fmt: skip


@pytest.mark.parametrize(("text", "expected"), SECTIONS, ids=[repr(row[0]) for row in SECTIONS])
def test_adding_to_any_form_of_section(text: str, expected: str) -> None:
    assert add_part(base(text), "devices", "a", {"role": "mount"}) == expected


def test_adding_what_is_there_or_wrong_changes_nothing() -> None:
    with pytest.raises(CommandError, match="a part called 'cam' already"):
        add_part(base(), "hubs", "cam", {})
    with pytest.raises(CommandError, match="not under power"):
        add_part(base(), "power", "x", {})
    with pytest.raises(CommandError, match="holds a '/'"):
        add_part(base(), "devices", "a/b", {})
    with pytest.raises(CommandError, match="there is no key 'colour'"):
        add_part(base(), "devices", "x", {"colour": "red"})
    with pytest.raises(CommandError, match="computer's own name"):
        add_part(base(), "devices", "computer", {})


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.parent.name)
def test_moving_every_plug_of_the_examples_changes_one_line(path: Path) -> None:
    rigfile = read(path)
    for section in ("hubs", "devices"):
        for name, part in getattr(rigfile.document, section).items():
            if part.plug is None:
                continue
            changed = set_scalar(rigfile, (section, name, "plug"), "computer/elsewhere")
            old, new = rigfile.text.splitlines(), changed.splitlines()
            assert len(old) == len(new)
            assert [line for line in range(len(old)) if old[line] != new[line]] == [
                rigfile.values[section, name, "plug"].line - 1
            ]
