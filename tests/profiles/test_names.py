"""Names: one profile to a file, generic words alone, the ones that examples and documents use."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tests.profiles.shipped import FAMILIES, FILES, PROFILES, READ, by_name
from topo.errors import RigFileError
from topo.model.facts import value_of
from topo.model.profile import Profile
from topo.rigfile.profiles import read_profiles

# Every word a name may have. A new one is added here on purpose, after asking whether it names a maker or a model.
WORDS = """
    active adapter allsky apsc bluetooth board box brightness bus cable camera card ccd class controller controllers
    cover desktop dew direct disk drive entry extender fast fibre filter flat focuser four fourthirds
    fullframe gigabit global gps guide hid hub inch industrial iso laptop medium memory mid mini mirrorless
    mount network old panel pc planet power powered premium reader rotator serial shared sky slot
    small ssd stick strain strap travel two unique usb2 usb3 vendor wave weather webcam wheel wifi with worm
"""
NUMBERS = re.compile(r"\d+(mp|port|usb2|usb3)|2g4|5g|2g5")

PROMISED = """
    camera-apsc-26mp camera-fourthirds-11mp camera-fullframe-61mp camera-guide-1mp camera-guide-2mp-usb3
    camera-allsky-2mp mount-strain-wave-serial mount-worm-mid-serial focuser-serial filter-wheel-hid rotator-serial
    dew-controller-serial power-box-serial weather-serial flat-panel-serial gps-serial serial-adapter-1port
    serial-adapter-4port hub-usb3-4port-bus-powered hub-usb3-7port-powered hub-usb2-4port-powered
    hub-usb2-7port-powered hub-usb3-10port-industrial small-board-2usb3-2usb2 small-board-shared-bus
    mini-pc-4usb3-2usb2 laptop-2usb3 desktop-usb3-card ssd-usb3 network-gigabit-usb3
"""


def test_a_file_holds_one_profile_of_its_own_name() -> None:
    for path, found in READ.items():
        assert [profile.name for profile in found] == [path.stem]
    assert len(PROFILES) == len(FILES) >= 100


def test_names_that_documents_use_are_there() -> None:
    assert set(PROMISED.split()) <= set(PROFILES)


@pytest.mark.parametrize("profile", PROFILES.values(), ids=by_name)
def test_names_are_made_of_generic_words(profile: Profile) -> None:
    words, generic = profile.name.split("-"), WORDS.split()
    new = [word for word in words if word not in generic and not NUMBERS.fullmatch(word)]
    assert new == [], "a new word is added to WORDS, after asking whether it names a maker or a model"


@pytest.mark.parametrize("profile", PROFILES.values(), ids=by_name)
def test_a_summary_is_one_plain_line(profile: Profile) -> None:
    assert 10 < len(profile.summary) <= 100
    assert profile.summary.isascii() and "\n" not in profile.summary
    assert not profile.summary.endswith(".")


RATES = {"480", "100", "115200", "9600"}
"""Figures of standards, which are as they are: Mb/s and baud."""


def too_precise(summary: str) -> list[str]:
    """Figures of a summary that say more than holds for a kind: those of one data sheet."""
    figures = [each for each in re.findall(r"(?<![\w/-])\d+(?:\.\d+)?(?![\w-])", summary) if each not in RATES]
    digits = {each: len(each.replace(".", "").strip("0")) for each in figures}
    found = [each for each in figures if digits[each] > 2 and not summary.split(each, 1)[1].startswith(" MP")]
    found += [each for each in figures if "." in each and float(each) >= 5]
    found += re.findall(r"\d+/\d+(?:\.\d+)? inch|\d (?:um|nm|s|ms)\b|\d+ x \d+ mm", summary)
    if "arcsec" in summary and not re.search(r"\d+ to \d+ arcsec|up to (?:about )?\d+ arcsec", summary):
        found.append("arcsec without a range")
    return found


@pytest.mark.parametrize("profile", PROFILES.values(), ids=by_name)
def test_a_summary_holds_for_a_kind_and_not_for_one_data_sheet(profile: Profile) -> None:
    assert too_precise(profile.summary) == [], "a summary is of a kind: whole figures, ranges"
    if told := re.search(r"(\d+(?:\.\d+)?) MP", profile.summary):
        name = re.search(r"-(\d+)mp", profile.name)
        assert name is None or int(float(told[1])) == int(name[1]), profile.summary


def test_what_is_too_precise_is_found() -> None:
    for summary in ("strain-wave mount, up to 45 arcsec peak to peak over 431 s", "tiny mount, 160 arcsec", "16.8 MP",
                    "guide camera, 1/2.8 inch", "3.76 um pixels", "medium-format camera, 44 x 33 mm"):
        assert too_precise(summary), summary


def test_the_range_of_arcseconds_in_a_summary_holds_for_the_facts() -> None:
    for profile in PROFILES.values():
        if told := re.search(r"(?:(\d+) to|up to(?: about)?) (\d+) arcsec", profile.summary):
            most = value_of(profile.facts.periodic_error_arcsec)
            least = value_of(profile.facts.periodic_error_least_arcsec) or most
            low, high = float(told[1] or 0), float(told[2])
            assert low * 0.9 <= least and most <= high <= 1.3 * most, profile.summary


def test_every_family_has_a_hook_and_profiles() -> None:
    for family in FAMILIES:
        assert list(family.glob("*.yaml")), family.name
        assert "def topo_profiles" in (family / "__init__.py").read_text(encoding="utf-8")
        assert [path for path in family.iterdir() if path.suffix not in (".yaml", ".py") and path.is_file()] == []


def test_the_pixels_in_a_name_are_those_of_the_frame() -> None:
    for profile in PROFILES.values():
        if told := re.search(r"-(\d+)mp", profile.name):
            megapixels = value_of(profile.facts.width_px) * value_of(profile.facts.height_px) / 1e6
            # Whole megapixels, rounded either way; large sensors send up to 3 % more than the picture they are sold by.
            assert megapixels * 0.97 - 1 < int(told[1]) <= megapixels + 0.5, (profile.name, megapixels)


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_a_key_that_does_not_exist_is_refused(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    for wrong in (text + "colour: red\n", text.replace("facts:\n", "facts:\n  colour: red\n", 1)):
        if wrong != text:
            with pytest.raises(RigFileError, match="colour"):
                read_profiles(wrong, str(path), "a test")
