"""The report as text: what it says, in which order, and that nothing is too wide or reaches the terminal as it came."""

from __future__ import annotations

import unicodedata
from dataclasses import replace

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.report.hand_made import FILE, MOVED, finding, note, report, rig, study
from topo.model.cautions import CAUTIONS
from topo.model.facts import Figure
from topo.model.finding import Finding, Fix
from topo.report.compose import Report
from topo.report.families import families
from topo.report.lines import text_of
from topo.report.text import report_lines
from topo.words.cells import cells
from topo.words.lists import with_small_ones

HOSTILE = st.text(st.characters(exclude_characters="/"), min_size=1, max_size=64)


def told(of: Report, width: int = 80, encoding: str = "utf-8", whole: bool = False) -> str:
    return "\n".join(text_of(line) for line in report_lines(of, width, encoding, whole))


def unwrapped(of: Report, whole: bool = False) -> str:
    return " ".join(told(of, 120, whole=whole).split())


def check_lines(of: Report, width: int, encoding: str = "utf-8") -> None:
    for line in (*report_lines(of, width, encoding), *report_lines(of, width, encoding, whole=True)):
        text = text_of(line)
        assert cells(text) <= width, text
        assert text == text.rstrip(), text
        assert all(char == " " or unicodedata.category(char)[0] not in "CZ" for char in text), text
        text.encode(encoding)


@pytest.mark.parametrize("width", range(60, 121))
def test_no_line_is_wider_than_asked(width: int) -> None:
    check_lines(report(finding(), note(), finding(severity="fault")), width)


@pytest.mark.parametrize("encoding", ["ascii", "cp437", "latin-1", "utf-8"])
def test_every_encoding_can_say_it(encoding: str) -> None:
    check_lines(report(finding(), note(), of=study(rig(camera="主相機…–"))), 60, encoding)


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(HOSTILE, HOSTILE, HOSTILE, st.integers(40, 120), st.sampled_from(["utf-8", "ascii"]))
def test_hostile_names_stay_on_their_line(camera: str, guide: str, name: str, width: int, encoding: str) -> None:
    if len({camera, guide, "computer", "mount"}) < 4:
        return
    made = study(rig(camera, guide, name))
    check_lines(report(finding(part=guide, others=(camera, name)), note(), of=made, troubles=(name,)), width, encoding)


def test_the_verdict_is_the_first_line() -> None:
    assert told(report(finding(severity="fault", certainty="certain"), note())).splitlines()[0] == (
        "FAULT      Expect trouble: 1 fault, 1 note.")
    assert told(report(finding(severity="fault"))).startswith("FAULT      Trouble possible: 1 fault.")
    assert told(report(finding(), finding(name="other"))).startswith(
        "RISK       Usable, but 2 things may go wrong: 2 risks.")
    assert told(report(note())).startswith("NOTE       Fit for the night: 1 note.")
    assert told(report()).startswith("CLEAR      Fit for the night: nothing found.")


def test_a_clear_report_admits_what_was_not_checked() -> None:
    words = unwrapped(report(troubles=("the check 'x' of y 1.0 failed: boom",)))
    assert "CLEAR Nothing found, but not all was checked." in words
    assert "UNCHECKED" in words
    assert "the check 'x' of y 1.0 failed: boom" in words


def test_what_to_do_first_is_the_worst_findings_fix_and_all_it_clears() -> None:
    lost = finding(name="frame-lost", severity="fault")
    first = replace(MOVED, clears=(finding(), lost))
    words = unwrapped(report(finding(), lost, note(), first=first))
    assert ("DO FIRST Plug guide-camera into computer/usb2-1. "
            "Computed again with that done, findings 1 and 2 are gone. No fault and no risk is left.") in words


def test_what_a_plan_leaves_and_brings_and_costs_is_said() -> None:
    left, new = finding(name="other"), note(7)
    first = replace(MOVED, clears=(finding(),), leaves=(left,), brings=(new,), price=("main-camera: half the pixels",))
    words = unwrapped(report(finding(), left, first=first))
    assert "finding 1 is gone. Left: 1 risk." in words
    assert "It brings the note a-note-7 (guide-camera). Its price: main-camera: half the pixels." in words


def test_a_fix_in_words_alone_promises_nothing() -> None:
    words = unwrapped(report(finding(fix=Fix("Use a hub with more translators."))))
    assert "DO FIRST Use a hub with more translators. For finding 1, below." in words
    assert "Computed again" not in words
    assert "once done" not in words


@pytest.mark.parametrize("count", range(1, 5))
def test_what_stands_under_do_first_is_not_said_again(count: int) -> None:
    """Whether computed or in a check's own words, and whichever finding it is for."""
    fixes = [Fix(f"Use hub number {number}.") if number else None for number in range(count)]
    found = [finding(name=f"trouble-{number}", fix=fix) for number, fix in enumerate(fixes)]
    for whole in (False, True):
        words = unwrapped(report(*found), whole)
        assert all(words.count(fix.text) == 1 for fix in fixes if fix is not None)
        assert words.count("See DO FIRST.") == (count > 1)
    assert unwrapped(report(*found, first=replace(MOVED, clears=tuple(found)))).count("See DO FIRST.") == 0


def test_a_rig_with_notes_alone_needs_nothing_first() -> None:
    words = unwrapped(report(note()))
    assert ("DO FIRST Nothing has to be done tonight, as far as could be judged: see NOT JUDGED, below. "
            "The notes can wait for daylight.") in words and "NOT JUDGED The 12 V side" in words


def test_nothing_to_do_is_said_only_where_it_is_true() -> None:
    assert "Nothing has to be done" not in unwrapped(report(finding(fix=None), note()))
    assert "DO FIRST No cure is known for finding 1, below" in unwrapped(report(finding(fix=None), note()))
    assert "Nothing has to be done" not in unwrapped(report(note(), troubles=("the check 'x' failed",)))


def test_a_finding_tells_its_figures_now_and_once_done_with_their_basis() -> None:
    words = unwrapped(report(finding()))
    assert "figures now once done" in words
    assert "added delay, others served first 1.2–1.4 s (likely 1.3) 0 s" in words
    assert "drift meanwhile 0.34–0.41 arcsec (likely 0.38) ? 0 arcsec ?" in words
    assert "chance that a download meets a guide frame 81 % -" in words
    assert "a guess: drift meanwhile" in words
    assert "your rig file: chance that a download meets a guide frame" in words
    assert "wrong if late guide frames do not line up with the ends of exposures." in words
    assert "line 15. `topo explain guiding-shares-link`" in words


def test_notes_of_a_long_report_are_brief() -> None:
    fix = Fix("Do it.", plan=MOVED, after=(Figure("delay", 0.0, "s", "profile"),))
    told_note = replace(note(9), figures=(Figure("delay", 1.0, "s", "profile"),), fix=fix)
    short = unwrapped(report(told_note))
    six = report(told_note, *(note(number) for number in range(5)))
    assert "figures now once done" in short
    assert "figures now once done" not in unwrapped(six) + unwrapped(six, whole=True)
    assert "then delay 1 s becomes 0 s" in unwrapped(six, whole=True)
    assert "becomes" not in unwrapped(six) and "wrong if" not in unwrapped(six)


def test_guide_frames_are_told_with_what_comes_of_it() -> None:
    words = unwrapped(report(), whole=True)
    assert "guide-camera takes a frame about every 1.56 s and shares a link with main-camera." in words
    assert "81 of 100 downloads delay a guide frame." in words
    assert "all get equal shares 41.5 ms 62.3 ms 69.2 ms 2 %" in words
    assert "the others come first 830 ms 1.25 s 1.38 s 2 %" in words
    assert "Its buffer overflows after 0.8 ms at the soonest: frames may be lost." in words
    assert "In the pictures of main-camera the guiding error goes from 0.359 to 0.361 arcsec rms, and stars get " \
           "0.2 % wider, most likely; at worst 1.3 %." in words
    assert "If you look for a fault" not in words


def test_a_lateness_that_costs_nothing_is_said_to_cost_nothing() -> None:
    made = study(lost="no")
    judged = made.guided[0]
    quiet = replace(judged.sentences[0], severity=None, certainty="certain", why="nothing", most=0.004, costs=())
    words = unwrapped(report(of=replace(made, guided=(
        replace(judged, sentences=(quiet,), severity=None, certainty="certain", why="nothing"),
    ))), whole=True)
    assert "Even at worst, stars in the pictures of main-camera get less than 1 % wider by " \
           "it. If you look for a fault, it is not here." in words


def test_a_guide_camera_nobody_disturbs() -> None:
    words = unwrapped(report(of=study(lost="no", late=False)))
    assert "guide-camera shares no link that gets too full for it: by this plan its frames come on time." in words
    assert "equal shares" not in words


def test_tables_and_marks() -> None:
    words = unwrapped(report(), whole=True)
    assert "USB 2 bus one ? 38–45 MB/s (likely 42) 387 MB/s 100 % 4.9 %" in words
    assert "full-speed socket computer/usb2-1 0.9–1.1 MB/s (likely 1.0) 20 B/s < 0.1 % < 0.1 %" in words
    assert "USB 2 bus one serves main-camera, guide-camera." in words
    assert "Averages mislead" in words
    assert "main-camera could run at 5 Gb/s, but the cable is a USB 2 cable." in words
    assert "GUESSES Figures marked ? depend on a guess. Write into the rig file what you know of it." in words
    assert "All sockets of the controller are assumed to share one bus (USB 2 bus one)." in words


def test_many_quiet_links_are_counted() -> None:
    made = study()
    quiet = made.links[1]
    many = replace(made, links=(made.links[0], *(replace(quiet, id=str(n), label=f"leg {n}") for n in range(20))))
    words = unwrapped(report(of=many), whole=True)
    assert "20 more links serve one part each and are not full (all: --json)." in words
    assert "leg 7" not in words


def test_cautions_come_with_power() -> None:
    power = finding(figures=(Figure("gives", 5.0, "A", "declared"),), fix=None)
    assert CAUTIONS[0] in unwrapped(report(power))
    assert CAUTIONS[0] not in unwrapped(report(finding()))


def test_severity_reads_without_styles() -> None:
    lines = told(report(finding(severity="fault"), finding(), note())).splitlines()
    starts = [line.split("  ")[0] for line in lines if line[:5] in ("FAULT", "RISK ", "NOTE ")]
    assert starts == ["FAULT", "FAULT 1", "RISK 2", "NOTE 3"]


def test_by_default_tables_are_left_out_and_named() -> None:
    words = unwrapped(report(finding(), note()))
    for head in ("LINKS", "DEVICES", "VOLTS", "half come by", "Averages mislead"):
        assert head not in words
        assert head in unwrapped(report(finding(), note()), whole=True) or head == "VOLTS"
    assert "GUIDING guide-camera: 81 of 100 downloads delay a frame, by up to 1.38 s. Frames may be lost. Late ones " \
           "make the stars in the pictures of main-camera up to 1.3 % wider; `topo night` says what lost ones " \
           "cost." in words
    assert "CAMERAS One frame of each: its download alone, and with the others downloading too. main-camera: 52.2 MB " \
           "in 1.2–1.4 s. guide-camera: 2.46 MB in 54–65 ms, with the others 1.2–1.4 s; " \
           "frames may be lost." in words
    assert f"MORE Tables of guiding, cameras, links, devices and volts, each finding by itself, each guess: `topo " \
           f"check {FILE} --all`" in words


def test_what_to_do_first_is_said_once() -> None:
    first = replace(MOVED, clears=(finding(),))
    words = unwrapped(report(finding(fix=Fix("Plug guide-camera into computer/usb2-1.", plan=MOVED)), first=first))
    assert words.count("Plug guide-camera into computer/usb2-1.") == 1
    assert "do See DO FIRST. Computed again, that clears it." in words


def test_do_comes_right_after_what_is_wrong() -> None:
    lines = told(report(finding(fix=Fix("Do it.")), note()), whole=True).splitlines()
    for number, line in enumerate(lines):
        if line.startswith(("RISK 1", "NOTE 2")):
            following = next(later for later in lines[number + 1:] if not later.startswith("           "))
            assert following.startswith("  do ")


def alike(part: str, **changed: object) -> Finding:
    made = finding(part=part, others=(), message=f"{part} is slow.", fix=Fix(f"Move {part}."), figures=())
    return replace(made, **changed)  # type: ignore[arg-type]


def test_findings_that_are_alike_are_told_once_and_all_are_named() -> None:
    of = report(*(alike(f"cam-{n}") for n in range(4)), note())
    words = unwrapped(of)
    assert "RISK 1 cam-0 is slow." in words and "also cam-1, cam-2, cam-3 (findings 2–4)." in words
    assert "cam-1 is slow" not in words
    every = unwrapped(of, whole=True)
    assert "RISK 1 cam-0 is slow. do See DO FIRST." in every
    assert all(f"RISK {n + 1} cam-{n} is slow. do Move cam-{n}." in every for n in range(1, 4))


@pytest.mark.parametrize("other", [
    {"fix": Fix("Buy a hub.")}, {"certainty": "certain"}, {"name": "other"}, {"severity": "fault"},
    {"others": ("cam-7",), "message": "cam-1 and cam-7 are slow."}, {"supplied_by": "plugin x"},
])
def test_what_differs_in_more_than_the_part_is_told_by_itself(other: dict[str, object]) -> None:
    words = unwrapped(report(alike("cam-0"), alike("cam-1", **other)))
    assert "cam-0 is slow." in words and ("cam-1 is slow." in words or "cam-1 and cam-7 are slow." in words)
    assert " also " not in words


@settings(max_examples=100, deadline=None)
@given(st.lists(st.tuples(st.sampled_from("ab"), st.sampled_from(["fault", "risk", "note"]), st.integers(0, 30)),
                max_size=40))
def test_no_finding_is_lost_by_telling_alike_ones_together(made: list[tuple[str, str, int]]) -> None:
    of = report(*(alike(f"p{part}", name=name, severity=severity) for name, severity, part in made))
    told_of = [(family.number, *(number for number, _ in family.alike)) for family in families(of.findings)]
    assert sorted(number for group in told_of for number in group) == list(range(1, len(made) + 1))
    for family in families(of.findings):
        assert len({(f.name, f.severity) for f in (family.finding, *(each for _, each in family.alike))}) == 1


def test_parts_that_matter_are_named_and_the_small_ones_counted() -> None:
    made = study()
    link = replace(made.links[0], carries=(*made.links[0].carries, "mount"))
    assert "USB 2 bus one serves main-camera, guide-camera and 1 small one." in unwrapped(
        report(of=replace(made, links=(link,))), whole=True)
    assert with_small_ones(["a", "b"], 27, 8) == "a, b and 27 small ones"
    assert with_small_ones(["a", "b"], 0, 8) == "a, b"
