"""A whole chase of each example with a fault planted, as text, byte for byte. TOPO_UPDATE writes them anew: read them.

The planted fault answers as it is likeliest to: no wrong answer, no healing; silent where it is gone, or where it would
more likely than not keep silent for so long.
"""

from __future__ import annotations

import os
from dataclasses import dataclass
from pathlib import Path

import pytest

from topo.chase.follow import ChaseStep, Said, follow
from topo.chase.heard import of_findings
from topo.chase.known import factors, remedies
from topo.chase.of_rig import wires_of
from topo.chase.state import joined, said_in, save
from topo.chase.words import typed
from topo.model.chase import GOES, Shows
from topo.pipeline import report_of, study_file
from topo.report.chase import chase_lines
from topo.report.lines import text_of

ROOT = Path(__file__).resolve().parents[2]
FURTHER = Path(__file__).parent / "transcripts"
MOST_STEPS = 30


@dataclass(frozen=True)
class Planted:
    """A fault in an example: what is said of it, the suspect that it is, and how many steps fit in the first night.

    `wrong` are answers that are seen wrongly, by their place. `name` names a further chase of an example.
    """

    example: str
    said: Said
    suspect: str
    first_night: int = MOST_STEPS
    wrong: tuple[int, ...] = ()
    name: str = ""

    @property
    def golden(self) -> Path:
        """The file that holds the transcript."""
        return FURTHER / f"{self.name}.txt" if self.name else ROOT / "examples" / self.example / "chase.txt"


PLANTED = (
    Planted("behind-the-camera", Said(("guide-late",), every="4 minutes", have=("cable",)),
            "sharing/guide-camera/main-camera"),
    Planted("two-cameras", Said(("camera-timeout",), every="3 of 10 downloads", have=("cable",)), "cable/main-camera"),
    Planted("small-board", Said(("drops",), ("mount",), "every 20 minutes", ("cable",)), "other/computer"),
    Planted("twin-telescopes", Said(("several-drop",), ("left-focuser", "right-focuser", "mount"), "4 minutes",
                                    ("cable", "supply", "hub")), "hub/bar-hub"),
    Planted("field-battery", Said(("drops",), ("mount",), "every 20 minutes", ("cable", "lead")), "lead/mount-lead"),
    Planted("pier-block", Said(("drops",), ("main-camera",), "every 20 minutes", ("cable",)), "cable/main-camera"),
    Planted("garden-pier", Said(("drops",), ("focuser",), "twice in 8 hours", ("cable",)), "cable/focuser", 3),
    Planted("two-cameras", Said(("guiding-jumps",), every="4 minutes", have=("cable",)), "sky/computer",
            name="the-sky-and-not-the-usb"),
    Planted("garden-pier", Said(("several-drop",), ("main-camera", "guide-camera"), "4 minutes", ("cable", "hub")),
            "hub/pier-hub", name="a-cold-hub"),
    Planted("twin-telescopes", Said(("drops",), ("mount",), "20 minutes", ("cable",)), "cable/mount", wrong=(1,),
            name="one-wrong-answer"),
)


def answer(step: ChaseStep, planted: Planted) -> str:
    """What is said of the test that is advised: what the planted fault shows, or another thing where that is wrong."""
    true = shown(step, planted)
    if len(step.answers) not in planted.wrong:
        return true
    key, said = true.rsplit("=", 1)
    test = step.case.tests[step.case.number(key)]
    other = next(word for word in map(typed, reversed(test.outcomes)) if word != said.partition(":")[0])
    return f"{key}={other}"


def shown(step: ChaseStep, planted: Planted) -> str:
    """What the planted fault shows of the test that is advised."""
    option = step.choice.option
    assert option is not None
    test = step.case.tests[option.number]
    place = next(i for i, suspect in enumerate(step.case.suspects) if suspect.key == planted.suspect)
    shows = step.case.table[option.number][place]
    if not isinstance(shows, Shows):
        return f"{test.key}={test.outcomes[shows.chances.index(max(shows.chances))]}"
    seen = shows.outcome != GOES and step.rhythm.quiet(option.wait * shows.pace) < 0.5
    return f"{test.key}={typed(shows.outcome if seen else GOES)}" + ("" if seen else f":{option.wait:.4g}")


def transcript(planted: Planted, folder: Path) -> tuple[list[str], ChaseStep]:
    """Every step as it would be seen in the terminal, through the state file, and the last step."""
    path = f"examples/{planted.example}/rig.yaml"
    study = study_file(ROOT / path)
    wires = wires_of(study)
    findings = report_of(study).findings
    known = factors(wires, study, of_findings(findings))
    kept, said = str(folder / "rig.chase.yaml"), planted.said
    lie = f" Wrong answers: number {', '.join(str(n + 1) for n in planted.wrong)}." if planted.wrong else ""
    lines = [f"A fault planted: {planted.suspect}.{lie} What the terminal shows, step by step.", ""]
    lines += [f"$ {first(path, said)}"]
    for number in range(MOST_STEPS):
        save(kept, wires.name, said)
        step = follow(wires, said_in(kept)[0], known)
        found = [step.case.suspects[i] for group in (step.ended.groups if step.ended else ()) for i in group]
        lines += ["", *map(text_of, chase_lines(step, path, remedies=remedies(wires, found, findings)))]
        if step.ended is not None:
            return lines, step
        seen = answer(step, planted)
        night = ["", "(the next night)"] if number + 1 == planted.first_night else []
        lines += ["", *night, f"$ topo chase {path} --saw {seen.rpartition('=')[2]}"]
        said = joined(said, Said(saw=(seen,)))
    return lines, step


def first(path: str, said: Said) -> str:
    """The command the chase begins with."""
    words = [*(f"--symptom {name}" for name in said.symptoms), *(f"--at {part}" for part in said.at)]
    have = [f"--have {thing}" for thing in said.have]
    return " ".join(["topo chase", path, *words, f'--every "{said.every}"', *have])


@pytest.mark.parametrize("planted", PLANTED, ids=lambda planted: planted.name or planted.example)
def test_golden(planted: Planted, tmp_path: Path) -> None:
    lines, step = transcript(planted, tmp_path)
    text = "\n".join(lines) + "\n"
    golden = planted.golden
    if os.environ.get("TOPO_UPDATE"):
        golden.parent.mkdir(exist_ok=True)
        golden.write_text(text, encoding="utf-8")
    assert text == golden.read_text(encoding="utf-8")
    assert max(len(line) for line in lines[3:] if not line.startswith("$")) <= 80
    end = step.ended
    assert end is not None
    held = [step.case.suspects[i].key for group in end.groups for i in group]
    assert planted.suspect in held
    if planted.suspect.startswith("other/"):
        assert not end.named  # what is not listed ends in a set: nothing clears it by name
