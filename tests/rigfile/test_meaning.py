"""Names of nothing, names used twice, loops: told at the place of the value, each once."""

from __future__ import annotations

from tests.rigfile.test_read import HEAD, problems_of
from topo.rigfile.read import read_text


def rig(body: str) -> str:
    """A rig whose body begins on line 3."""
    return HEAD + body


def test_the_same_name_for_a_hub_and_a_device() -> None:
    assert problems_of(rig("hubs:\n  box:\n    ports: 4\ndevices:\n  box: {}\n")) == [
        (7, 3, "'box' is the name of a hub already, on line 4", "every part has a name of its own")
    ]


def test_a_plug_into_nothing() -> None:
    assert problems_of(rig("hubs:\n  pier-hub:\ndevices:\n  cam: {plug: peir_hub/1}\n")) == [
        (6, 15, "there is no part 'peir_hub' to plug into", "nearest name: pier-hub")
    ]


def test_a_part_plugged_into_itself() -> None:
    assert problems_of(rig("devices:\n  cam: {plug: cam/usb2-1}\n")) == [(4, 15, "'cam' is plugged into itself", "")]


def test_a_loop_is_told_once_where_it_comes_first() -> None:
    text = rig(
        "devices:\n  out: {plug: b/1}\n  a: {plug: b/1}\n  b: {plug: c/1}\n  c: {plug: a/1}\n  d: {plug: out/1}\n"
    )
    assert problems_of(text) == [
        (6, 13, "'b' is plugged into 'c', which is plugged into 'a', which is plugged into 'b': "
         "a loop that never reaches the computer", "plug one of them into the computer or a hub")
    ]  # fmt: skip


def test_two_loops_are_two_problems() -> None:
    text = rig("devices:\n  a: {plug: b/1}\n  b: {plug: a/1}\n  c: {plug: d/1}\n  d: {plug: c/1}\n")
    assert [row[:2] for row in problems_of(text)] == [(4, 13), (6, 13)]


def test_a_long_loop_is_cut_short_in_words() -> None:
    text = rig("devices:\n" + "".join(f"  d{n}: {{plug: d{(n + 1) % 1500}/1}}\n" for n in range(1500)))
    [(line, column, message, _)] = problems_of(text)
    assert (line, column) == (4, 14)
    assert "(and more between)" in message and len(message) < 300


def test_guides() -> None:
    text = rig(
        "hubs: {hub: }\ndevices:\n  mount: {role: mount}\n  unsaid: {}\n  wheel: {role: filter-wheel}\n"
        "  g1: {guides: mount}\n  g2: {guides: unsaid}\n  g3: {guides: wheel}\n  g4: {guides: hub}\n"
        "  g5: {guides: muont}\n  g6: {guides: g6}\n  g7: {guides: computer}\n"
    )
    assert problems_of(text) == [
        (10, 16, "'wheel' is no mount: its role is filter-wheel",
         "`guides` stands at the guide camera and names a mount"),
        (11, 16, "'hub' is no mount", "`guides` names a device"),
        (12, 16, "there is no device 'muont' to guide", "nearest name: mount"),
        (13, 16, "'g6' names itself by `guides`", "name its mount"),
        (14, 16, "'computer' is no mount", "`guides` names a device"),
    ]


def test_ends_of_leads() -> None:
    text = rig(
        "devices:\n  box: {}\n  cam: {}\npower:\n  supplies:\n    pier: {volts: 13}\n    box: {volts: 12}\n  leads:\n"
        "    a: {from: pier, to: box}\n    b: {from: box, to: computer}\n    c: {from: peir, to: cam}\n"
        "    d: {from: pier, to: cma}\n    e: {from: cam, to: pier}\n    f: {from: cam, to: cam}\n"
    )
    assert problems_of(text) == [
        (9, 5, "'box' is the name of a part already", "every supply has a name of its own"),
        (13, 15, "there is no supply or part 'peir' for this lead to come from", "nearest name: pier"),
        (14, 25, "there is no part 'cma' for this lead to end at", "nearest name: cam"),
        (15, 24, "a lead cannot end at the supply 'pier'", "`from` is the supply, `to` the part"),
        (16, 24, "this lead goes from 'cam' to itself", ""),
    ]


def test_ports_on_controllers_that_are_not_listed() -> None:
    text = "rig: T\ncomputer:\n  controllers: {left: }\n  ports:\n    a: {controller: left}\n    b: {controller: lft}\n"
    assert problems_of(text) == [(6, 21, "there is no controller 'lft'", "nearest name: left")]
    read_text("rig: T\ncomputer:\n  ports:\n    a: {controller: any}\n", "x")


def test_meaning_is_checked_beside_other_mistakes() -> None:
    text = rig("devices:\n  cam: {plug: nowhere/1, rol: mount}\n")
    assert [row[:2] for row in problems_of(text)] == [(4, 15), (4, 26)]


def test_blocks_boxes_and_converters_are_ends_of_leads() -> None:
    text = rig(
        "devices:\n  box: {}\n  cam: {}\npower:\n  supplies:\n    pier: {volts: 13}\n  blocks:\n    block: {}\n"
        "    cam: {}\n  boxes:\n    box: {channels: {1: {amps: 5}}}\n  converters:\n    block: {volts: 19}\n  leads:\n"
        "    a: {from: pier, to: block}\n    b: {from: block, to: box, also: [cam, cma, cam]}\n"
        "    c: {from: box/1, to: cam}\n    d: {from: box/9, to: cam}\n    e: {from: block/1, to: cam}\n"
        "    f: {from: box/1, to: box}\n"
    )
    assert [(line, message) for line, _, message, _ in problems_of(text)] == [
        (11, "'cam' is the name of a part already"),
        (15, "'block' is the name of a block already"),
        (18, "there is no part 'cma' for this lead to end at"),
        (18, "'cam' is named twice at the end of this lead"),
        (20, "'box' has no channel '9'"),
        (21, "'block' has no channel '1'"),
        (22, "this lead goes from 'box' to itself"),
    ]


def test_old_power_sections_still_load() -> None:
    read_text(rig(
        "devices: {cam: {}}\npower:\n  supplies: {pier: {volts: 12.8, amps: 10, note: old}}\n"
        "  leads: {a: {from: pier, to: cam, length_m: 2, gauge_awg: 18, fuse_amps: 5, note: old}}\n"
    ), "x")  # fmt: skip
