"""Checks: one pattern, one file, named for what it finds; its docstring is what `topo explain` prints.

A check reads a `Study` and yields findings. It computes no traffic of its own and tries no change: what would help it
offers (`fix_by`), and planning does it and runs every check again. Names of findings are never reused for something
else.
"""

from __future__ import annotations

import importlib
from collections.abc import Iterable
from dataclasses import fields
from typing import TYPE_CHECKING, Any

from topo.model.check import Check, Needs

if TYPE_CHECKING:
    from topo.analysis.study import Study
    from topo.model.finding import Finding

MODULES = (
    "sharing.frame_lost",
    "sharing.guiding_shares_link",
    "sharing.stream_too_slow",
    "sharing.link_overloaded",
    "sharing.translator_crowded",
    "sharing.reservations_refused",
    "sharing.serial_line_busy",
    "sharing.guide_pulse_late",
    "speed.slower_than_it_could_be",
    "speed.fallback_would_share_guiding",
    "speed.cable_too_long",
    "speed.limit_above_path",
    "speed.limit_holds_back",
    "speed.would_time_out",
    "speed.overhead_not_the_bus",
    "speed.seen_slower_than_planned",
    "wiring.socket_used_twice",
    "wiring.wrong_socket",
    "wiring.not_wired",
    "wiring.too_many_hubs_in_a_row",
    "wiring.too_many_devices",
    "wiring.too_many_endpoints",
    "wiring.cables_cross_axes",
    "wiring.cable_in_pieces",
    "wiring.colder_than_rated",
    "wiring.radio_beside_superspeed",
    "serial.serial_rates_differ",
    "serial.serial_levels_differ",
    "serial.serial_lead_too_long",
    "power.port_current_exceeded",
    "power.supply_overloaded",
    "power.usb_volts_low",
    "power.volts_too_high",
    "power.volts_out_of_window",
    "power.load_cannot_be_fed",
    "power.fed_twice",
    "power.fed_in_a_ring",
    "power.wire_not_fused",
    "power.fuse_does_not_protect",
    "power.fuse_in_wrong_place",
    "power.fuse_blows_in_use",
    "power.short_does_not_blow_fuse",
    "power.wire_runs_hot",
    "power.contact_overloaded",
    "power.channel_overloaded",
    "power.battery_empty_before_dawn",
    "power.charged_below_freezing",
    "power.grounds_meet_in_data",
    "power.plugs_alike",
    "identity.adapters_look_alike",
    "identity.cameras_look_alike",
    "system.buffer_pool_too_small",
    "system.exposure_unlikely",
    "live.no_usb_at_all",
    "live.part_missing",
    "live.part_unexpected",
    "live.replaced_by_a_twin",
    "live.part_moved",
    "live.port_name_changed",
    "live.no_serial_port",
    "live.port_held",
    "live.may_be_probed",
    "live.not_allowed",
    "live.names_collide",
    "live.another_camera_taken",
    "live.not_ready_yet",
    "live.fell_back",
    "live.sharing_not_declared",
    "live.may_be_put_to_sleep",
    "live.power_setting_not_in_force",
    "live.over_current_counted",
    "live.board_ran_low",
    "live.dropped_since_start",
    "live.told_apart_by_socket",
    "live.claimed_current_exceeded",
    "live.facts_disagree",
    "evidence.dropped_in_the_night",
    "evidence.not_as_before",
    "evidence.drew_too_much",
    "evidence.ran_low_in_the_night",
    "evidence.refused_in_the_night",
    "evidence.never_came_up",
    "evidence.port_renamed_in_the_night",
    "evidence.taken_from_its_driver",
    "evidence.glitches_line_up",
    "evidence.same_time_each_night",
)
"""Every check that ships, in the order they run and are listed."""


NEEDS: dict[str, Needs] = {"live": "comparison", "evidence": "evidence"}
"""Families whose checks need more than a study."""


OF_USB = ("port_current_exceeded", "usb_volts_low", "grounds_meet_in_data")
"""Checks of power that look at USB too. The others find nothing in a rig with no supply and no lead, and no plug
changes what they find."""


def _is_of_feeds(module: str) -> bool:
    family, _, file = module.partition(".")
    return family == "power" and file not in OF_USB


class _Unread(Check):
    """A check whose file is not read yet, known by its name and needs, which both follow from where the file is.

    Most runs have no scan and no log, and many rigs say nothing of their 12 V side: the files for these, and the rooms
    they draw on, are then never imported. Asked for anything else, it reads its file and becomes the check that is
    there.
    """

    __slots__ = ()

    def __init__(self, module: str) -> None:
        family, _, file = module.partition(".")
        object.__setattr__(self, "name", file.replace("_", "-"))
        object.__setattr__(self, "needs", NEEDS.get(family, "study"))
        if _is_of_feeds(module):
            known = {"find": self._find_where_fed, "scope": "no-plug", "still": None, "glimpse": None}
            for key, value in known.items():
                object.__setattr__(self, key, value)

    def _find_where_fed(self, study: Study) -> Iterable[Finding]:
        """What it finds, read only where the rig has a 12 V side."""
        if not study.rig.has_power_side:
            return ()
        return _read(self._module).find(study)

    @property
    def _module(self) -> str:
        return next(module for module in MODULES if module.endswith("." + self.name.replace("-", "_")))

    def __getattr__(self, name: str) -> Any:
        """Python asks here for what is not set."""
        if name not in Check.__match_args__:
            raise AttributeError(name)
        said = _read(self._module)
        for field in fields(said):
            object.__setattr__(self, field.name, getattr(said, field.name))
        object.__setattr__(self, "__class__", Check)
        return getattr(self, name)


def _read(module: str) -> Check:
    check: Check = importlib.import_module(f"topo.checks.{module}").CHECK
    return check


def all_checks() -> tuple[Check, ...]:
    """The checks that ship, in the stated order."""
    unread = tuple(name.partition(".")[0] in NEEDS or _is_of_feeds(name) for name in MODULES)
    return tuple(_Unread(name) if later else _read(name) for name, later in zip(MODULES, unread, strict=True))
