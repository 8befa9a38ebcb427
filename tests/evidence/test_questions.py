"""False alarms and hits over made-up nights: a small sample always, `false_alarms.py` by hand for a thousand nights."""

from __future__ import annotations

from collections import Counter

import pytest

from tests.evidence.false_alarms import EVEN, UNEVEN, downloads, guilty, innocent, simulated_innocent
from tests.evidence.nights import START, night, table
from topo.evidence.answer import KnownNames, answer
from topo.model.answers import Answers, Link


def late_at_downloads(answers: Answers) -> Link:
    return next(link for link in answers.links if (link.glitch, link.cause) == ("late", "download"))


@pytest.mark.slow
def test_nothing_is_shown_where_nothing_depends_on_anything() -> None:
    said = Counter(innocent(6))
    assert said["shown"] <= 1, said  # 5 % of nights at most; a thousand were tried by hand


def test_nothing_is_shown_in_nights_that_topo_night_simulates() -> None:
    """The schedule of pictures, downloads and dithers is the simulation's; a thousand were tried by hand."""
    said = Counter(simulated_innocent(6))
    assert said["shown"] <= 1, said


def test_half_of_the_downloads_is_shown_with_uneven_exposures() -> None:
    assert Counter(guilty(2, UNEVEN)) == {"shown": 2}


def test_an_even_schedule_cannot_decide() -> None:
    assert Counter(guilty(2, EVEN)) == {"cannot-decide": 2}
    link = late_at_downloads(answer(night(1, exposures=EVEN, caused=0.5).sources(), {}, None, KnownNames()))
    assert link.why == "even" and link.hits > 3 * link.expected


def test_too_few_glitches_say_how_many_are_needed() -> None:
    link = late_at_downloads(answer(night(2, stray=4).sources(), {}, None, KnownNames()))
    assert (link.verdict, link.why, link.count) == ("not-enough", "few", 4)
    assert link.needed > 4


def test_figures_of_a_link() -> None:
    link = late_at_downloads(answer(night(3, caused=0.5, stray=10).sources(), {}, None, KnownNames()))
    assert link.verdict == "shown"
    assert link.low < link.hits / link.count < link.high
    assert link.p >= max(link.p_shift, link.p_cycle)
    assert link.delay_s is not None and 0 <= link.delay_s < 2.5
    assert link.questions >= 1 and 0 < link.share < 0.2


def test_dithers_that_follow_downloads_are_named_as_overlapping() -> None:
    answers = answer(night(4, caused=0.6, stray=5, dither_every=1).sources(), {}, None, KnownNames())
    assert "dither" in late_at_downloads(answers).overlaps


def test_clocks_that_are_not_joined_answer_nothing() -> None:
    made = night(5, caused=0.5)
    guide = table("guide.csv", "time,ra,dec\n" + "".join(f"{t:.3f},0.1,0.2\n" for t in made.guide))
    assert answer((made.sources()[1], guide), {}, None, KnownNames()).links == ()
    declared = answer((made.sources()[1], guide), {"guide.csv": START}, None, KnownNames())
    assert late_at_downloads(declared).verdict == "shown"


def test_a_clock_known_worse_than_half_the_cadence_decides_nothing() -> None:
    made = night(6, hours=2, exposures=(3.0, 3.5, 4.0), caused=0.5, cadence=0.5)
    link = late_at_downloads(answer(made.sources(), {}, None, KnownNames()))
    assert (link.verdict, link.why) == ("cannot-decide", "clock")


def test_the_same_files_give_the_same_answer() -> None:
    made = night(7, caused=0.3).sources()
    assert answer(made, {}, None, KnownNames()) == answer(made, {}, None, KnownNames())
    assert downloads(answer(made, {}, None, KnownNames())) == "shown"
