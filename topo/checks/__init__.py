"""Checks: one pattern, one file, named for what it finds; its docstring is what `topo explain` prints.

A check reads a `Study` and yields findings. It computes no traffic of its own and tries no change: what would help it
offers (`fix_by`), and planning does it and runs every check again. Names of findings are never reused for something
else.
"""

from __future__ import annotations

import importlib
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from topo.model.check import Check

MODULES = (
    "sharing.frame_lost",
    "sharing.guiding_shares_link",
    "sharing.stream_too_slow",
    "sharing.link_overloaded",
    "sharing.translator_crowded",
    "sharing.reservations_refused",
    "sharing.serial_line_busy",
    "speed.slower_than_it_could_be",
    "speed.fallback_would_share_guiding",
    "speed.cable_too_long",
    "wiring.socket_used_twice",
    "wiring.wrong_socket",
    "wiring.not_wired",
    "wiring.too_many_hubs_in_a_row",
    "wiring.too_many_devices",
    "wiring.too_many_endpoints",
    "wiring.radio_beside_superspeed",
    "power.port_current_exceeded",
    "power.supply_overloaded",
    "power.volts_out_of_window",
    "power.fuse_does_not_protect",
    "identity.adapters_look_alike",
    "identity.cameras_look_alike",
    "system.buffer_pool_too_small",
    "system.exposure_unlikely",
    "live.part_missing",
    "live.part_unexpected",
    "live.part_moved",
    "live.fell_back",
    "live.sharing_not_declared",
    "live.may_be_put_to_sleep",
    "live.over_current_counted",
    "live.dropped_since_start",
    "live.told_apart_by_socket",
    "live.claimed_current_exceeded",
    "live.facts_disagree",
    "evidence.dropped_in_the_night",
    "evidence.drew_too_much",
    "evidence.refused_in_the_night",
    "evidence.never_came_up",
    "evidence.glitches_line_up",
)
"""Every check that ships, in the order they run and are listed."""


def all_checks() -> tuple[Check, ...]:
    """The checks that ship, in the stated order."""
    return tuple(importlib.import_module(f"topo.checks.{name}").CHECK for name in MODULES)
