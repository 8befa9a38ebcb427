"""Checks of the 12 V side whose files are read only where a rig has one say of themselves what their files say."""

from __future__ import annotations

import subprocess
import sys

import pytest

from topo.checks import MODULES, _is_of_feeds, _read, all_checks
from topo.pipeline import examine_text

OF_FEEDS = [module for module in MODULES if _is_of_feeds(module)]

BARE = """\
rig: Bare
computer: {profile: laptop-2usb3}
devices: {focuser: {profile: focuser-serial, plug: computer/usb3-1}}
"""
FED = f"""\
{BARE}power:
  supplies: {{box: {{kind: mains, volts: 12, amps: 5}}}}
  leads: {{lead: {{from: box, to: focuser}}}}
"""


def of_a_module(module: str) -> str:
    return module.partition(".")[2].replace("_", "-")


@pytest.mark.parametrize("module", OF_FEEDS)
def test_what_is_known_before_the_file_is_read(module: str) -> None:
    told = next(check for check in all_checks() if check.name == of_a_module(module))
    known = told.name, told.needs, told.scope, told.still, told.glimpse
    there = _read(module)
    assert known == (there.name, there.needs, there.scope, there.still, there.glimpse)
    assert told.find is not there.find
    assert told.severities == there.severities and told.find is there.find  # asked for more it becomes what is there


@pytest.mark.parametrize("module", OF_FEEDS)
def test_its_file_finds_nothing_where_nothing_is_fed(module: str) -> None:
    study = examine_text(BARE).study
    assert not study.rig.supplies and not study.rig.leads
    assert list(_read(module).find(study)) == []


def test_they_are_imported_only_where_something_is_fed() -> None:
    asked = "import sys; from topo.pipeline import examine_text; examine_text(sys.argv[1]); print(*sorted(sys.modules))"
    found = [
        subprocess.run([sys.executable, "-c", asked, text], capture_output=True, text=True, check=True).stdout.split()
        for text in (BARE, FED)
    ]
    every = {f"topo.checks.{module}" for module in OF_FEEDS}
    assert not every & set(found[0]) and every <= set(found[1])
    rooms = {f"topo.power.{name}" for name in ("dc", "solve", "tree", "forest", "battery", "copper", "loads")}
    assert not rooms & set(found[0]) and rooms <= set(found[1])
