"""A listing does all that a scan can do, by hand: show, save, draft, compare, check, draw and pack; exit 0 or 1.

And no check takes for an answer what the listing cannot know.
"""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.live.listings.formats import FORMATS
from tests.live.listings.machines import HOSTILE, PIER
from tests.samples import share
from topo.cli.main import status_of

RIG = """\
rig: Pier
computer: {controllers: {one: {}}, ports: {usb3-1: {controller: one, speed: super},
                                           usb3-2: {controller: one, speed: super}}}
hubs:
  hub: {speed: super, ports: 4, plug: computer/usb3-1, must_not_matter: 1}
devices:
  main-camera: {role: imaging, width_px: 6248, height_px: 4176, speed: super, plug: hub/1, use: {exposure_s: 60},
                identity: {vendor_id: f1a0, product_id: '0260'}}
  guide-camera: {role: guiding, width_px: 1280, height_px: 960, speed: high, plug: hub/2, use: {exposure_s: 2},
                 identity: {vendor_id: f1a0, product_id: '0120'}}
  mount: {role: mount, interface: serial, plug: hub/3, serial: {baud: 9600, polls_per_s: 1}, must_not_sleep: true,
          identity: {vendor_id: f1b0, product_id: '6001'}}
  wheel: {role: filter-wheel, interface: hid, plug: hub/4, identity: {vendor_id: f1b1, product_id: '0003'}}
""".replace(", must_not_matter: 1", "")


@pytest.mark.parametrize("form", share(sorted(FORMATS), 5))
def test_every_command_that_takes_a_scan(form: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    rig, listing, saved = (str(tmp_path / name) for name in ("rig.yaml", "listing.txt", "scan.json"))
    Path(rig).write_text(RIG, encoding="utf-8")
    Path(listing).write_text(FORMATS[form].print(PIER), encoding="utf-8")
    assert status_of(["live", "--from", listing]) == 0
    assert "not in this scan:" in capsys.readouterr().out
    assert status_of(["live", "--from", listing, "--save", saved]) == 0
    for scan in (listing, saved):
        assert status_of(["compare", rig, scan]) in (0, 1)
        assert status_of(["check", rig, "--scan", scan]) in (0, 1)
        assert status_of(["draw", rig, "--scan", scan, "-o", f"{tmp_path}/rig.svg"]) == 0
        assert status_of(["draw", rig, "--scan", scan]) == 0
    assert status_of(["pack", rig, "--scan", listing, "-o", f"{tmp_path}/pack"]) == 0
    assert status_of(["compare", f"{tmp_path}/pack/rig.yaml", f"{tmp_path}/pack/scan.json"]) in (0, 1)
    assert "M-0007" not in (tmp_path / "pack/scan.json").read_text(encoding="utf-8")


FROM_WHAT_IS_MISSING = {
    "devices": ("part-missing", "dropped-since-start"), "sleep": ("may-be-put-to-sleep",),
    "over_current": ("over-current-counted",), "serials": ("told-apart-by-socket",),
    "speeds": (), "abilities": (), "serial_ports": ("no-serial-port",), "history": ("dropped-since-start",),
}  # fmt: skip
"""Findings that a check could only make up where a listing tells nothing of the kind."""


@pytest.mark.parametrize("form", sorted(FORMATS))
def test_nothing_is_concluded_from_what_a_listing_cannot_know(
    form: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "rig.yaml").write_text(RIG, encoding="utf-8")
    (tmp_path / "listing.txt").write_text(FORMATS[form].print(PIER), encoding="utf-8")
    assert status_of(["live", "--from", f"{tmp_path}/listing.txt", "--json"]) == 0
    limits = json.loads(capsys.readouterr().out)["scan"].get("limits", {})
    status_of(["compare", f"{tmp_path}/rig.yaml", f"{tmp_path}/listing.txt", "--json"])
    found = {f["name"] for f in json.loads(capsys.readouterr().out)["findings"]}
    for kind, names in FROM_WHAT_IS_MISSING.items():
        if limits.get(kind, "all") != "all":
            assert not found & set(names), (kind, found)


@pytest.mark.parametrize("form", sorted(FORMATS))
def test_a_hostile_machine_is_inert_in_every_output(
    form: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    rig, listing = str(tmp_path / "rig.yaml"), str(tmp_path / "listing.txt")
    Path(rig).write_text(RIG, encoding="utf-8")
    Path(listing).write_text(FORMATS[form].print(HOSTILE), encoding="utf-8")
    for words in (["live", "--from", listing], ["compare", rig, listing], ["check", rig, "--scan", listing],
                  ["draw", rig, "--scan", listing], ["draw", rig, "--scan", listing, "-o", f"{tmp_path}/rig.svg"]):
        status_of(words)
        told = capsys.readouterr()
        assert not any(sign in told.out + told.err for sign in ("\x1b", "\u202e", "\x00"))
    assert b"</svg>\xe2\x80\xae" not in (tmp_path / "rig.svg").read_bytes()
