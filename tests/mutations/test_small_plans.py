"""What is to be done in each small rig, worked out by hand: what comes first, what it clears and costs, what stands in
the way, where things go when one fails. The rigs are `small/NAME.yaml`.

Two figures that these hang on: USB 2 gives 41.5 MB/s where bits are stuffed least and a sixth less, 35.6, where they
are stuffed most; a camera alone is held to no less than half of what it gets there.
"""

from __future__ import annotations

from typing import Any

import pytest

from tests.mutations.small_rigs import said, short

LOST, SHARES = "fault frame-lost guide", "note guiding-shares-link guide"
LEAST_MB_PER_S = 41.5 * 6 / 7


def steps(plan: dict[str, Any]) -> list[str]:
    """The steps of a plan in a few words each."""
    told = []
    for step in plan["steps"]:
        kind, part = step["kind"], step["part"]
        if kind in ("move-plug", "add-part"):
            told.append(f"{kind} {part} {step['to']}")
        elif kind == "swap-plugs":
            told.append(f"{kind} {part} {step['other']}")
        elif kind == "set-cable":
            cable = step["cable"]
            active = " active" if cable["active"] else ""
            told.append(f"{kind} {part} {cable['length_m']:g} m {cable['grade'] or 'any'}{active}")
        elif kind == "add-card":
            told.append(f"{kind} {' '.join(step['sockets'])}")
        else:
            told.append(f"{kind} {part} {step['key']} {step['value']}")
    return told


def plans(name: str, *options: str) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = said("rewire", name, *(options or ("--moves", "2")))["plans"]
    return found


def told(plan: dict[str, Any], key: str) -> set[str]:
    return set(map(short, plan[key]))


@pytest.mark.parametrize(("name", "first", "clears", "proven"), [
    # usb2-2 alone is free; the second in the file is the one that has to leave.
    ("socket-shared", ["move-plug wheel computer/usb2-2"], {"fault socket-used-twice wheel"}, 1),
    # Nothing to move to; on a USB 3 cable the pictures leave the USB 2 side to the guide camera.
    ("cable-poor", ["set-cable main 2 m usb3"], {LOST, "risk guiding-shares-link guide",
                                                "note slower-than-it-could-be main"}, None),
    # 100 + 450 + 200 mA through a socket that gives 500. The one other way is the hub's own socket, for one of two.
    ("hub-without-supply", ["add-part hub computer/usb2-1"], {"fault port-current-exceeded hub"}, None),
    # Both sockets are of one controller, so only a card brings another.
    ("card", ["add-card card-1 card-2 card-3 card-4", "move-plug guide computer/card-1"], {LOST, SHARES}, None),
    # The guide camera there as well would do, and would take a SuperSpeed socket for nothing.
    ("behind-the-camera", ["move-plug main computer/usb3-2"], {LOST, SHARES, "note slower-than-it-could-be main"}, 1),
    # Nothing is free. With the mount the guide camera changes controllers; so does the main camera, whose swap is tried
    # later, as the finding names the guide camera first.
    ("exchange", ["swap-plugs guide mount"], {LOST, SHARES}, 2),
    # One plug alone takes the fault off one of two guide cameras, and makes the other's risk a note.
    ("two-plugs", ["move-plug guide computer/usb2-4"],
     {LOST, "risk guiding-shares-link guide", "risk guiding-shares-link second"}, 2),
    # 62.2 MB/s in 35.1: 0.565 of the pixels, 0.751 of each side: 1442 and 811, to sixteens 1440 and 800.
    ("stream", ["set-use planets roi 1440x800"], {"fault stream-too-slow planets"}, None),
    # Out of the hub with the radio in it; the main camera gains nothing in usb2-1 and would be slower there.
    ("radio", ["move-plug main computer/usb3-2"], {"risk radio-beside-superspeed radio"}, 1),
    # Five hubs in a row may be and are still a note; four leave four, and two behind the other socket.
    ("deep", ["move-plug five computer/usb2-2"], {"fault too-many-hubs-in-a-row wheel"}, 1),
    # A free controller takes the guide camera; nothing but a setting helps the stream.
    ("plug-and-setting", ["move-plug guide computer/usb2-2"], {LOST, SHARES}, None),
    # 0.9 and some 0.6 MB/s are too much for one translator, and its second socket is the disk's own.
    ("translator", ["move-plug disk computer/usb2-2"], {"risk translator-crowded old-camera"}, 1),
    # 600 + 500 mA of 900: one of the two gets current of its own. The first in the file.
    ("too-much-current", ["add-part new-hub computer/usb3-1", "move-plug main new-hub/1"],
     {"fault port-current-exceeded computer"}, None),
    ("wrong-socket", ["move-plug main computer/usb2-2"], {"fault wrong-socket main"}, 1),
    # usb2-4 is on the other controller and free of the wheel: one move clears both faults.
    ("socket-shared-by-cameras", ["move-plug guide computer/usb2-4"],
     {LOST, "fault socket-used-twice guide", SHARES}, 1),
    ("ring", ["swap-plugs guide main"], {LOST, SHARES, "note slower-than-it-could-be main"}, 2),
    ("slower-elsewhere", ["add-part hub computer/usb3-1"], {"risk port-current-exceeded hub"}, 2),
])
def test_what_to_do_first(name: str, first: list[str], clears: set[str], proven: int | None) -> None:
    """The first plan of `rewire`, which is what `check` says, and how few plugs do it."""
    plan = plans(name)[0]
    assert steps(plan) == first and told(plan, "clears") == clears
    fixes = {short(finding): finding["fix"] for finding in said("check", name)["findings"]}
    for cleared in clears & fixes.keys():
        assert " ".join(plan["do"]).rstrip(".") in fixes[cleared], cleared
    proof = said("rewire", name, "--moves", "2")["proof"]
    plugs = {None: "No plan of 2 moves or fewer", 1: "By plugs alone it takes 1 move, proven",
             2: "By plugs alone it takes 2 moves, proven"}[proven]
    assert proof.startswith(plugs)


@pytest.mark.parametrize("name", ["nothing", "least-important", "extender", "disk-and-camera"])
def test_nothing_to_do(name: str) -> None:
    told = said("rewire", name, "--moves", "2")
    assert (told["to_clear"], told["plans"], told["stuck"], told["why"]) == ([], [], [], [])
    assert told["plans_studied"] == [1] and told["complete"]


@pytest.mark.parametrize(("name", "guide_alone", "main"), [("card", 35.1, 17.6), ("setting", 20.0, 25.1),
                                                          ("other-place", 35.1, 17.6)])
def test_limits_leave_room_for_each_other(name: str, guide_alone: float, main: float) -> None:
    """The guide camera at half of what it gets alone, the least that is offered, and the other at what is left then.
    Together they fill what the bus gives at least, to a tenth."""
    plan = next(each for each in plans(name) if len(each["steps"]) == 2 and not each["buys"])
    assert steps(plan) == [f"set-use main limit_mb_per_s {main}",
                           f"set-use guide limit_mb_per_s {int(guide_alone * 5) / 10:g}"]
    total = sum(step["value"] for step in plan["steps"])
    assert total <= LEAST_MB_PER_S < total + 0.5
    assert not plan["leaves"] and len(plan["price"]) == 2


def test_what_one_setting_does() -> None:
    """A frame of 2.46 MB at 37 MB/s and 19 ms take 85 ms, at 22.4 MB/s 129 ms: 1.5 times as long. A fault becomes a
    risk: at the most a bus gives 45.4 MB/s, and half of that, less a hundredth, is what the guide camera then asks."""
    plan = plans("card")[1]
    assert steps(plan) == ["set-use guide limit_mb_per_s 22.4"]
    assert plan["price"] == ["guide: downloads 1.5 times longer"]
    assert told(plan, "leaves") == {"risk frame-lost guide"} and not plan["clears"]


@pytest.mark.parametrize(("name", "wanted"), [
    # 6 m is a quarter more than USB 2 allows and a bit: 5 m may do. 9 m is more: an active one.
    ("cable-too-long", [
        (["set-cable guide 5 m any"], ["guide: whether 5 m reach, its cable has 6 m"],
         {"fault cable-too-long mount"}),
        (["set-cable guide 6 m any active"], [], {"fault cable-too-long mount"}),
        (["set-cable guide 5 m any", "set-cable mount 9 m any active"], ["guide: whether 5 m reach, its cable has 6 m"],
         set()),
    ]),
    # The hub is 3 m off. With 2 m the guide camera is 1 to 5 m from the computer, with 1 m the main one 2 to 4 m.
    ("cable-to-try", [
        (["move-plug guide computer/usb2-2"], ["guide: up to 5 m may be needed, its cable has 2 m"], set()),
        (["set-use guide limit_mb_per_s 22.4"], [], {"risk frame-lost guide"}),
        (["move-plug main computer/usb2-2", "set-cable main 4 m any"], [], set()),
        (["set-use main limit_mb_per_s 17.6", "set-use guide limit_mb_per_s 17.5"], [], set()),
    ]),
    # In usb2-1 alone the camera would be slower. With the hub there, which carries a panel, its socket is free for it.
    ("slower-elsewhere", [
        (["add-part hub computer/usb3-1"], [], set()),
        (["move-plug hub computer/usb2-1", "move-plug main computer/usb3-1"], [], set()),
    ]),
    # 22 AWG is guarded by 3 A, 18 AWG by the 4 A that the supply gives.
    ("fed", [
        (["set-lead feed gauge_awg 18", "set-lead feed fuse_amps 4", "set-lead feed fuse_at_m 0.15"], [], set()),
        (["set-lead feed fuse_amps 3", "set-lead feed fuse_at_m 0.15"], [], set()),
    ]),
])
def test_every_plan(name: str, wanted: list[tuple[list[str], list[str], set[str]]]) -> None:
    """All that is worth showing, in order: what to do, what to try, which faults and risks are left."""
    assert [(steps(plan), plan["to_try"], told(plan, "leaves")) for plan in plans(name)] == wanted


def test_what_is_bought_is_named() -> None:
    assert plans("cable-to-try")[2]["buys"] == ["a USB cable of 2 to 4 m for main"]
    assert plans("card")[0]["buys"] == ["a card with a USB 3 controller for each of its 4 sockets"]
    assert plans("hub-without-supply")[0]["buys"] == ["a powered USB 2 hub in place of hub"]
    assert plans("slower-elsewhere")[0]["buys"] == ["a powered USB 3 hub in place of hub"]
    assert plans("too-much-current")[0]["buys"] == ["a powered USB 3 hub for computer/usb3-1"]


@pytest.mark.parametrize(("name", "why"), [
    # Only what no plug clears is explained: the guide camera's fault is cleared by the first plan.
    ("plug-and-setting", ["stream-too-slow (planets): No single plug clears it: in every free socket that planets fits "
                          "it stays as it is."]),
    ("stream", ["stream-too-slow (planets): No single plug clears it: no socket that planets fits is free."]),
    ("card", ["frame-lost (guide): No single plug clears it: no socket that guide or main fits is free."]),
    ("cable-poor", ["frame-lost (guide) and guiding-shares-link (guide): No single plug clears it: no socket that "
                    "guide or main fits is free."]),
    ("other-place", ["frame-lost (guide): No single plug clears it: in every free socket that guide or main fits it "
                     "stays as it is."]),
    ("hub-without-supply", ["port-current-exceeded (hub): No single plug clears it: in every free socket that hub or "
                            "main fits it stays as it is."]),
    ("behind-the-camera", []), ("two-plugs", []), ("fed", []), ("slower-elsewhere", []),
])
def test_why_no_plug_does_it(name: str, why: list[str]) -> None:
    assert said("rewire", name, "--moves", "2")["why"] == why


def test_why_a_pinned_rig_has_no_plan() -> None:
    """Of two in one socket either may move; with both pinned nobody does."""
    told = said("rewire", "socket-shared", "--moves", "2", "--pin", "wheel", "--pin", "focuser")
    assert told["plans"] == [] and [short(each) for each in told["stuck"]] == ["fault socket-used-twice wheel"]
    assert told["proof"].startswith("No plan of 2 moves")
    one = said("rewire", "socket-shared", "--moves", "2", "--pin", "wheel")["plans"]
    assert list(map(steps, one)) == [["move-plug focuser computer/usb2-2"]]


def test_only_faults_are_cleared_where_that_is_asked() -> None:
    """Two guide cameras lose frames, and the guiding of both is a risk. A radio beside SuperSpeed is a risk alone."""
    told = said("rewire", "two-plugs", "--moves", "2", "--faults")
    assert [short(each) for each in told["to_clear"]] == [LOST, "fault frame-lost second"]
    assert said("rewire", "radio", "--faults")["plans"] == []


@pytest.mark.parametrize(("name", "profile", "wanted"), [
    # A socket of USB 2 before one that the camera makes no use of; the one on the hub last of like ones.
    ("radio", "camera-guide-1mp", [("computer/usb2-1", 0, None), ("computer/usb3-2", 0, None), ("hub/3", 1, None)]),
    # On the other controller it meets nobody.
    ("cable-to-try", "camera-guide-1mp", [("computer/usb2-2", 0, None), ("hub/3", 0, None)]),
    # The long leg lies between the telescope and the computer.
    ("other-place", "camera-guide-1mp", [("far/3", 0, None), ("computer/usb2-2", 0, None)]),
    # No socket is free: the hub that is bought goes where least has to move, the panel, and last where a camera does.
    ("least-important", "camera-guide-1mp", [
        ("new-hub/2", 2, "a powered USB 2 hub in computer/usb2-3, with panel on it"),
        ("new-hub/2", 2, "a powered USB 2 hub in computer/usb2-2, with main on it"),
        ("new-hub/2", 2, "a powered USB 2 hub in computer/usb2-1, with hub on it"),
    ]),
    # The same for a hub that is there already: with the old hub a camera, a mount and the network would move.
    ("least-important", "hub-usb3-4port-powered", [
        ("computer/usb2-3", 0, "panel to move from there onto it"),
        ("computer/usb2-2", 0, "main to move from there onto it"),
        ("computer/usb2-1", 0, "hub to move from there onto it"),
    ]),
    # A hub at the computer is 6 m from where the cameras are, and that is another place.
    ("cable-too-long", "camera-guide-1mp", []),
])
def test_where_a_new_part_goes(name: str, profile: str, wanted: list[tuple[str, int, str | None]]) -> None:
    assert [(each["plug"], each["alike"], each["buy"]) for each in said("place", name, profile)["options"]] == wanted


def test_what_is_ruled_out() -> None:
    """In the second socket of the sixth hub it would have six above it; serial sockets take no camera. Beside the main
    camera, with 0.5 m: that is 1 m from the hub and 2 to 4 m from the computer."""
    assert said("place", "deep", "camera-guide-1mp")["ruled_out"] == [
        {"plug": "six/2", "reason": "it would be 6 hubs deep, and USB allows 5"}]
    assert {each["plug"]: each["reason"] for each in said("place", "pulse-late", "camera-guide-1mp")["ruled_out"]} == {
        "two/serial-1": "it is a serial socket", "two/serial-2": "it is a serial socket"}
    told = said("place", "cable-to-try", "camera-guide-1mp", "--cable-m", "0.5", "--near", "main")
    assert {each["plug"]: each["reason"] for each in told["ruled_out"]} == {
        "computer/usb2-2": "a 0.5 m cable cannot reach: at least 2 m are needed",
        "hub/3": "a 0.5 m cable cannot reach: at least 1 m are needed"}
    assert [(each["plug"], each["buy"]) for each in told["options"]] == [
        ("computer/usb2-2", "a cable of 2 to 4 m"), ("hub/3", "a cable of 1 m"),
        ("new-hub/2", "a powered USB 2 hub in computer/usb2-1, with hub on it")]  # which has a cable of its own


def failure(name: str, kind: str, of: str) -> dict[str, Any]:
    [found] = [each for each in said("planb", name)["failures"] if (each["kind"], each["name"]) == (kind, of)]
    return dict(found)


def refuges(found: dict[str, Any]) -> list[tuple[str, str | None, str | None, str]]:
    return [(each["part"], each["plug"], each["instead_of"], each["why"]) for each in found["refuges"]]


@pytest.mark.parametrize(("name", "kind", "of", "wanted", "loses", "still"), [
    # The hub's own socket is free then, for the guide camera. The mount comes before the panel, the network does not
    # get past the camera that images.
    ("least-important", "hub", "hub",
     [("guide", "computer/usb2-1", None, ""), ("mount", "computer/usb2-3", "panel", ""),
      ("panel", None, None, "it makes room"), ("network", None, None, "no free socket takes it")],
     ["guiding by guide"], []),
    ("least-important", "port", "computer/usb2-1",
     [("hub", "computer/usb2-3", "panel", ""), ("panel", None, None, "it makes room")], ["guiding by guide"], []),
    # A flat panel gets nobody's socket.
    ("least-important", "port", "computer/usb2-3", [("panel", None, None, "no free socket takes it")], [], []),
    # The guide camera is 1 to 5 m from there; the main one at least 2 m, with a cable of 1 m.
    ("cable-to-try", "hub", "hub",
     [("guide", "computer/usb2-1", None, "up to 5 m may be needed"),
      ("main", None, None, "no free socket is near enough")],
     ["imaging with main", "guiding by guide"], ["imaging with main"]),
    # Without the SuperSpeed socket the hub goes on in the other one, slower.
    ("slower-elsewhere", "port", "computer/usb3-1", [("hub", "computer/usb2-1", None, "at a lower USB speed")],
     ["imaging with main"], []),
    # The more important of the two takes the SuperSpeed socket that the hub was in.
    ("slower-elsewhere", "hub", "hub",
     [("main", "computer/usb3-1", None, ""), ("panel", "computer/usb2-1", None, "")], ["imaging with main"], []),
    # Two that sit in one socket lose it together, and there is one that is free; the panel makes room for the wheel.
    ("socket-shared", "port", "computer/usb2-1",
     [("focuser", "computer/usb2-2", None, ""), ("wheel", "computer/usb2-3", "panel", ""),
      ("panel", None, None, "it makes room")], [], []),
    # A camera whose lead fails is dark wherever it is plugged in; what hangs on the dark hub goes on at the computer.
    ("fed", "lead", "main-lead", [], ["imaging with main"], ["imaging with main"]),
    ("fed", "lead", "hub-lead",
     [("guide", "computer/usb2-1", None, ""), ("main", None, None, "no free socket takes it")],
     ["imaging with main", "guiding by guide"], ["imaging with main"]),
    ("fed", "supply", "box", [("guide", "computer/usb2-1", None, "")],
     ["imaging with main", "guiding by guide"], ["imaging with main"]),
    # The mount steers by its own line where the lead of the guide port fails.
    ("serial-line", "pulse-lead", "guide", [], [], []),
    # And by that lead where its line fails, with the adapter.
    ("serial-line", "adapter", "one",
     [("mount", None, None, "no free socket takes it"), ("focuser", None, None, "no free socket takes it")], [], []),
    # What fits a serial socket finds another one; what fits USB the adapter's own.
    ("pulse-late", "adapter", "one", [("mount", "two/serial-1", None, "")], ["guiding by guide"], []),
    ("wrong-socket", "adapter", "adapter",
     [("mount", None, None, "no free socket takes it"), ("main", "computer/usb2-1", None, "")],
     ["imaging with main"], []),
    # The more important of two cameras in the way of each other.
    ("card", "port", "computer/usb2-2",
     [("guide", "computer/usb2-1", "main", ""), ("main", None, None, "it makes room")], ["guiding by guide"], []),
    # A cable that fails is replaced where it is.
    ("card", "cable", "guide", [], ["guiding by guide"], ["guiding by guide"]),
    ("extender", "hub", "long", [("sky", None, None, "no free socket is near enough")], [], []),
    ("extender", "way-in", "net", [], [], []),
])
def test_when_it_fails(name: str, kind: str, of: str, wanted: list[Any], loses: list[str], still: list[str]) -> None:
    """Where parts go meanwhile, what the night loses, and what of that stays lost."""
    found = failure(name, kind, of)
    assert refuges(found) == wanted and found["night_loses"] == loses and found["still_lost"] == still


def test_how_a_night_goes_on() -> None:
    """A picture of 6248 × 4176 pixels of two bytes, 52 MB, in 1.28 s by USB 2 instead of 0.19 s by USB 3; and its
    camera on the bus of the guide camera, whose frames may overflow."""
    found = failure("nothing", "controller", "first")
    assert found["goes_on_with"] == ["a picture of main takes 1.28 s to download instead of 193 ms",
                                     "guide frames of guide come up to 1.49 s late", "guide may lose frames"]
    assert set(map(short, found["brings"])) >= {LOST}
    assert failure("slower-elsewhere", "port", "computer/usb3-1")["goes_on_with"] == [
        "a picture of main takes 1.28 s to download instead of 193 ms"]


@pytest.mark.parametrize(("name", "kind", "of", "ready"), [
    ("least-important", "hub", "hub", "a powered USB 2 hub with 3 sockets or more"),
    ("slower-elsewhere", "hub", "hub", "a powered USB 3 hub with 2 sockets or more"),
    ("least-important", "cable", "hub", "a known-good USB cable of 2 m"),
    ("cable-poor", "cable", "main", "a known-good USB 2 cable of 2 m"),
    ("nothing", "cable", "main", "a known-good USB 3 cable of 2 m"),
    ("serial-line", "adapter", "one", "a serial adapter"),
    ("fed", "supply", "box", "a second supply of 13.2 V, 4 A or more, with leads of its own; never two on one line"),
    ("fed", "supply", "pack", "a second battery, charged, 20 Ah or more"),
    ("fed", "block", "block", "leads that go round block, each with a fuse of its own"),
    ("fed", "lead", "feed", "a 12 V lead of 2 m, 22 AWG or thicker, with fuses of 20 A"),
    ("fed", "lead", "hub-lead", "a 12 V lead of 1 m, 0.5 mm² or thicker, with fuses of 2 A"),
    ("extender", "converter", "step", "a second converter to 12 V"),
    ("extender", "hub", "far", "a second USB 2 extender over network cable with 4 sockets or more"),
    ("extender", "cable", "far", "a known-good network cable of 20 m"),
    ("extender", "hub", "long", "a second active USB 3 extension cable of 10 m"),
    ("extender", "cable", "long", "a second active USB 3 extension cable of 10 m"),
    ("card", "device", "main", ""), ("card", "port", "computer/usb2-1", ""), ("card", "controller", "only", ""),
])
def test_what_to_have_ready(name: str, kind: str, of: str, ready: str) -> None:
    assert failure(name, kind, of)["have_ready"] == ready


def test_in_which_order_a_rig_starts() -> None:
    """The mount answers after 20 s, and the network waits for it; all else is there at once, and hubs before what hangs
    on them."""
    start = said("planb", "least-important")["start"]
    assert [(step["part"], step["at_s"], step["own_s"], step["waits_for"]) for step in start] == [
        ("computer", 0.0, 0.0, []), ("hub", 0.0, 0.0, ["computer"]), ("main", 0.0, 0.0, ["computer"]),
        ("panel", 0.0, 0.0, ["computer"]), ("guide", 0.0, 0.0, ["hub"]), ("mount", 20.0, 20.0, ["hub"]),
        ("network", 20.0, 0.0, ["hub", "mount"])]


def test_what_stops_most_of_the_night_stands_first() -> None:
    """First by pictures and guiding that stop, then by parts that do."""
    for name in ("least-important", "fed", "extender", "two-plugs"):
        found = [(len(each["night_loses"]), len(each["stops"])) for each in said("planb", name)["failures"]]
        assert found == sorted(found, reverse=True)
        assert all(each["single_point"] == bool(each["night_loses"]) for each in said("planb", name)["failures"])
