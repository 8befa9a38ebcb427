"""Hints for words that people use and the schema does not: each leads to a word or key that exists."""

from __future__ import annotations

import re

import pytest

from topo.errors import RigFileError
from topo.model.records import CableFacts, UseFacts
from topo.rigfile import meant
from topo.rigfile.entries import ComputerEntry, DeviceEntry, HubEntry, PowerEntry, RigDocument
from topo.rigfile.read import read_text
from topo.rigfile.schema import model_of
from topo.rigfile.shape import fields, words_of

RIG = "rig: A rig\ncomputer: {profile: laptop-2usb3}\n"


def hints_of(text: str) -> list[str]:
    with pytest.raises(RigFileError) as caught:
        read_text(text, "rig.yaml")
    return [f"{problem.message} ({problem.hint})" for problem in caught.value.problems]


@pytest.mark.parametrize("key", ["role", "speed", "grade", "mode"])
def test_every_hint_is_a_word_of_the_key(key: str) -> None:
    model = next(m for m in map(model_of, (DeviceEntry, UseFacts, CableFacts)) if key in fields(m))
    words = set(words_of(fields(model)[key].annotation))
    for written, meanings in meant._WORDS[key].items():
        assert set(meanings) <= words, written
        assert written not in words, "a word of the key needs no hint"
        assert meant.meant_by(key, written.upper()).startswith(f"write `{key}: ")


def test_every_key_that_is_hinted_at_exists() -> None:
    entries = (RigDocument, ComputerEntry, HubEntry, DeviceEntry, PowerEntry)
    known = {key for m in map(model_of, entries) for key in fields(m)}
    for right, written, hint in meant._KEYS:
        assert right in known and not known & set(written) - {"kind"}
        assert set(re.findall(r"`(\w+)`", hint)) <= known
        assert meant.meant_by_key(written[0], known) == hint
        assert meant.meant_by_key(written[0], ()) == ""


@pytest.mark.parametrize(("value", "hint"), [
    ("camera", "write `role: imaging` or `role: guiding`"), ("Wi-Fi", "write `role: network`"),
    ("filter_wheel", "nearest name: filter-wheel; one of"), ("planetary", "write `role: imaging`"), ("zebra", "one of"),
])
def test_roles(value: str, hint: str) -> None:
    (told,) = hints_of(f"{RIG}devices:\n  thing: {{role: {value}, plug: computer/usb3-1}}\n")
    assert told.startswith(f"`role` cannot be '{value}' ({hint}")


@pytest.mark.parametrize("speed", ["usb3", "USB 3.0", "5Gb/s", "usb 3.2 gen 1"])
def test_speeds_as_boxes_have_them(speed: str) -> None:
    (told,) = hints_of(f"{RIG}devices:\n  cam: {{speed: '{speed}', plug: computer/usb3-1}}\n")
    assert told == f"`speed` cannot be '{speed}' (write `speed: super`)"


def test_an_active_cable_is_no_grade() -> None:
    (told,) = hints_of(f"{RIG}devices:\n  cam: {{cable: {{grade: active}}, plug: computer/usb3-1}}\n")
    assert told == "`grade` cannot be 'active' (a cable with a repeater inside is `active: true`)"


def test_a_profile_in_place_of_keys() -> None:
    assert hints_of("rig: A rig\ncomputer: laptop-2usb3\n") == [
        "`computer` takes keys of its own, not 'laptop-2usb3' (write `computer: {profile: laptop-2usb3}`)"
    ]


def test_a_decimal_comma_in_braces() -> None:
    (told,) = hints_of(f"{RIG}devices:\n  cam: {{plug: computer/usb3-1, use: {{exposure_s: 1,5}}}}\n")
    assert told == "there is no key '5' here (write the decimal sign as a point: 1.5)"


def test_a_misspelled_section_is_told_once() -> None:
    text = f"{RIG}hub:\n  desk: {{plug: computer/usb3-1}}\ndevices:\n  cam: {{plug: desk/1}}\n"
    assert hints_of(text) == ["there is no key 'hub' here (nearest name: hubs)"]


def test_the_computer_under_another_name() -> None:
    told = hints_of(f"{RIG}devices:\n  cam: {{plug: laptop/usb3-1}}\n")
    assert told == ["there is no part 'laptop' to plug into (the computer is called `computer`)"]


def test_a_name_of_two_words_without_its_colon() -> None:
    told = hints_of(f"{RIG}hubs:\n  long cable\n    plug: computer/usb3-1\n")
    assert told == ["a ':' is missing after 'long cable' (write `long cable:`)"]
