"""Ways to change something and watch, one entry each: minutes, what it needs, what it risks, what it does to the rig.

Minutes are hands-on time, common practice, no source. `make` (in `trials.py`) gives a trial for each piece that allows
it. Never a way: mains, the inside of a supply, anything hot, a larger fuse, 12 V plugs pulled under load, a cold camera
cut off from its 12 V, a meter in its current range.
"""

from __future__ import annotations

from collections.abc import Callable

from topo.chase import trials
from topo.chase.trials import Rewired
from topo.chase.wires import Wires
from topo.frozen import frozen
from topo.model.chase import Effort

_STOP = "Stop the programs that use it first, and never pull a plug while the mount moves."
_NAMES = "A serial part may get another port name there; put it back afterwards."
_POWER = (
    "Switch the supply off, then plug: never 12 V under load. Read the label first, since 5 V and 12 V plugs look "
    "alike, and check volts and polarity with a meter."
)
_COLD = "Warm a cooled camera up before its 12 V goes."


@frozen
class Tweak:
    """One way. `words` may hold {piece}, {other} and {to} of the trial; `lost` is the imaging time lost meanwhile."""

    name: str
    minutes: float
    effort: Effort
    words: str
    make: Callable[[Wires, tuple[str, ...]], tuple[Rewired, ...]]
    needs: tuple[str, ...] = ()
    lost: float = 0.0
    caution: str = ""
    for_symptoms: tuple[str, ...] = ()


TWEAKS: tuple[Tweak, ...] = (
    Tweak("lower-limit", 1, "setting", "Set the transfer limit in the driver of {piece} to 40 to 60 %.",
        trials.lower_limit, caution="Note the old value."),
    Tweak("leave-idle", 1, "setting", "Leave {other} idle and go on with {piece}.", trials.leave_idle, lost=1.0),
    Tweak("loads-off", 1, "setting", "Turn dew heaters and coolers off in their programs ({other}).", trials.loads_off,
        lost=0.5, caution="Let the sensor warm up slowly and do not cut its 12 V; watch for dew."),
    Tweak("darks", 1, "setting", "Take darks of 10 s back to back with {piece}, cap on.", trials.darks, lost=1.0,
        caution="This brings on whatever comes with downloads, so that minutes are enough. A guide camera under the "
        "cap sees no star: let it loop, and look at its frames, not at the graph."),
    Tweak("cap-on", 2, "setting",
        "Loop {piece} with its cap on, all else as on a night, and look only at when its frames come.",
        trials.cap_on, lost=1.0, caution="Stop the corrections first: without a star they would move the mount.",
        for_symptoms=("guiding-jumps", "guide-late")),
    Tweak("5-ghz", 2, "setting", "Let the computer use 5 GHz or a wire only.", trials.five_ghz, ("router",),
        caution="The remote link may drop: be at the rig."),
    Tweak("other-socket", 2, "plug", "Move the plug of {piece} from {other} to the free socket {to}.",
        trials.other_socket, caution=f"{_STOP} {_NAMES}"),
    Tweak("spare-cable", 3, "plug", "Put the spare cable on {piece} in place of its own.", trials.spare_cable,
        ("cable",), caution=_STOP),
    Tweak("swap-sockets", 3, "plug", "Swap the sockets of {piece} and {other}.", trials.swap_sockets,
        caution=f"{_STOP} {_NAMES}"),
    Tweak("swap-cables", 4, "plug", "Swap the cables of {piece} and {other}.", trials.swap_cables,
        caution=f"Only where the plugs are alike at both ends. {_STOP}"),
    Tweak("other-controller", 3, "plug",
        "Move the plug of {piece} to the computer's socket {to}, on another controller.", trials.other_controller,
        caution=f"{_STOP} {_NAMES}"),
    Tweak("unplug-others", 3, "plug", "Unplug all from {piece} but what shows the trouble ({other}).",
        trials.unplug_others, lost=1.0, caution=f"Park the mount before its plug is pulled. {_STOP}"),
    Tweak("power-saving-off", 3, "setting", "Turn power saving of USB off, and look that it is in force.",
        trials.power_saving_off, ("admin",)),
    Tweak("lasting-name", 2, "setting",
        "Choose the name that `topo names` shows for {piece} in its program, and connect.", trials.lasting_name,
        for_symptoms=("port-gone", "port-in-use", "wrong-answers")),
    Tweak("nothing-else", 2, "setting",
        "End every other program, and stop services that open ports (`topo compare` tells them); then connect.",
        trials.nothing_else, ("admin",),
        for_symptoms=("port-gone", "port-in-use", "wrong-answers", "fails-after-idle")),
    Tweak("straight-in", 5, "plug", "Plug {piece} straight into the computer's socket {to} with its own cable.",
        trials.straight_in, ("long-cable",), caution=f"Take the weight off the plug. {_STOP}"),
    Tweak("other-supply", 8, "power", "Feed {piece} from another supply.", trials.other_supply, ("supply",),
        caution=_POWER),
    Tweak("other-lead", 8, "power", "Feed {piece} by another lead with its own fuse of the same amps.",
        trials.other_lead, ("lead",), caution=f"{_COLD} {_POWER}"),
    Tweak("other-hub", 10, "power", "Put another hub in the place of {piece}, with the supply that belongs to it.",
        trials.other_hub, ("hub",), caution=_POWER),
    Tweak("elsewhere", 15, "plug", "Run {piece} alone on a second computer.", trials.elsewhere, ("laptop", "cable"),
        lost=1.0, caution=_STOP),
    Tweak("all-elsewhere", 25, "plug", "Run everything on a second computer.", trials.all_elsewhere, ("laptop",),
        lost=1.0, caution=_STOP),
)
"""Every way, in the order of listing."""
