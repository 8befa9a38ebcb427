"""The sheet of `topo planb`: what fails, what stops, where orphans go meanwhile, what to have ready. Worst first."""

from __future__ import annotations

from typing import TYPE_CHECKING

from topo.cli.show import WIDTH
from topo.draw.sheet import Passage
from topo.frozen import frozen
from topo.model.plain import plain
from topo.words.cells import cells, wrap
from topo.words.lists import capital, some_of

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from topo.model.rig import Rig
    from topo.place.planb import Failure

TITLES = {
    "computer": "the computer",
    "cable": "cable of {}",
    "supply": "supply {}",
    "lead": "12 V lead {}",
    "block": "terminal block {}",
    "box": "power box {}",
    "converter": "converter {}",
    "hub": "hub {}",
    "adapter": "serial adapter {}",
    "port": "socket {}",
    "controller": "controller {}",
    "way-in": "way in: {}",
    "pulse-lead": "pulse lead of {}",
    "device": "{}",
}

WAYS = {"network": "its own network socket", "wifi": "its own Wi-Fi", "screen": "a screen and keyboard at the pier"}

MOST_BROUGHT = 2
"""Findings that a refuge brings are told in full up to this many."""


SheetText = tuple[str, str]
"""How the first line of a text starts, and the text."""


@frozen
class _Part:
    """Texts that stay together on a page, not broken into lines yet. The first `strong` of them are printed bold."""

    said: tuple[SheetText, ...]
    strong: int = 0
    keeps: bool = False

    def fitted(self, columns: int) -> Passage:
        """The same in lines of so many cells at most."""
        texts = [_lines(first, text, columns) for first, text in self.said]
        strong = sum(map(len, texts[: self.strong]))
        return Passage(tuple(line for lines in texts for line in lines), strong, self.keeps)


def _lines(first: str, text: str, columns: int) -> list[str]:
    indent = " " * len(first)
    return [(first if number == 0 else indent) + line for number, line in enumerate(wrap(text, columns - len(first)))]


def sheet(
    rig: Rig, failures: Sequence[Failure], everything: bool = False, columns: int = WIDTH
) -> tuple[Passage, ...]:
    """The sheet in passages, lines of so many cells at most: single points of failure first, then the rest in short."""
    single = [failure for failure in failures if failure.single_point]
    rest = [failure for failure in failures if not failure.single_point and (everything or failure.stops)]
    title = f"PLAN B: {plain(rig.name)}"
    blocks = [_Part((("", title), ("", "=" * min(columns, cells(title)))), 1, keeps=True)]
    blocks.append(_heading("PICTURES OR GUIDING STOP WHEN ONE OF THESE FAILS" if single else "NOTHING STOPS THE NIGHT"))
    if single:
        blocks += _section(single, "Cables that stop what they lead to", everything)
    else:
        blocks.append(_Part((("    ", "No one failure stops pictures or guiding."),)))
    if rest:
        blocks += [_heading("THE NIGHT GOES ON WITHOUT THESE"), *_section(rest, "Cables", everything)]
    blocks += _start(rig)
    blocks += [_heading("WAYS IN"), _Part((("    ", _ways_in(rig)),))]
    blocks += _ready([*single, *rest])
    blocks += _cautions(rig)
    return tuple(block.fitted(columns) for block in blocks)


def _heading(words: str) -> _Part:
    return _Part((("", ""), ("", words), ("", "")), 3, keeps=True)


def _start(rig: Rig) -> Iterator[_Part]:
    """When to connect what after power-on, where any part takes its time or waits for another."""
    from topo.model.rig import COMPUTER
    from topo.place.startlist import start_list, worth_saying

    steps = start_list(rig)
    if not worth_saying(steps, rig):
        return
    yield _heading("SWITCHING ON, IN THIS ORDER")
    steps_said = ["T: 12 V on, before any data plug goes in."]
    at_once = [plain(step.part) for step in steps if step.at_s == 0.0 and step.part != COMPUTER]
    steps_said += [f"At once: {', '.join(at_once)}."] if at_once else []
    waits = {part.id: part.after for part in rig.parts}
    for step in steps:
        if step.at_s > 0.0:
            first = waits[step.part]
            why = f", after {plain(first)}" if first is not None else ""
            own = f" (takes {step.own_s:g} s to answer)" if step.own_s else ""
            steps_said.append(f"Connect {plain(step.part)} at T+{step.at_s:g} s{why}{own}.")
    yield _Part(tuple(("[ ] ", said) for said in steps_said))


def _section(failures: list[Failure], cables: str, everything: bool) -> Iterator[_Part]:
    """Entries of a section; what has no more to tell than its name stands in a row at the end."""
    bare = [] if everything else [failure for failure in failures if _is_bare(failure)]
    for group in _grouped([failure for failure in failures if failure not in bare]):
        yield _entry(group)
    leaves = [failure for failure in bare if failure.kind == "cable"]
    others = [failure for failure in bare if failure.kind != "cable"]
    if others:
        yield _Part((("[ ] ", f"{', '.join(map(title_of, others))}."),))
    if leaves:
        yield _Part((("[ ] ", f"{cables}: {', '.join(plain(failure.name) for failure in leaves)}."),))


def _is_bare(failure: Failure) -> bool:
    """Nothing to tell but the name: a cable with no more than one part behind its own, or a lesser part by itself."""
    if failure.kind == "cable":
        return not failure.refuges and len(failure.stops) <= 2
    return not failure.services and not failure.refuges and set(failure.stops) <= {failure.name}


def _ways_in(rig: Rig) -> str:
    """How the computer is reached, and what is left when one way fails."""
    ways = [WAYS.get(way, plain(way)) for way in rig.computer.ways_in]
    if not ways:
        return ("The file does not say how you reach the computer: add `ways_in: [network, wifi, screen]`, or the "
                "names of sticks and adapters, under `computer:`.")  # fmt: skip
    if len(ways) == 1:
        return (f"Only {ways[0]}. When that fails you are locked out: set the computer up to go on by itself, and keep "
                "a second way ready.")  # fmt: skip
    return f"{capital(ways[0])}; when that fails {', then '.join(ways[1:])}."


def _ready(failures: Sequence[Failure]) -> Iterator[_Part]:
    """What to pack, one thing for all that it can stand in for; what stops the night comes first."""
    from topo.place.spares import packed, spare_words

    spares = packed(failure.spare for failure in failures if failure.spare is not None)
    if not spares:
        return
    yield _heading("HAVE READY")
    for spare in spares:
        names = some_of(spare.serves, 6)
        ask = "; look that its plugs fit" if "cable" in spare.kind and len(spare.serves) > 1 else ""
        yield _Part((("[ ] ", f"{capital(spare_words(spare))} (for {names}{ask})."),))


def _cautions(rig: Rig) -> Iterator[_Part]:
    from topo.model.cautions import CAUTIONS

    if rig.has_power_side:
        yield _heading("ON POWER")
        yield _Part(tuple(("  - ", caution) for caution in CAUTIONS))


def _grouped(failures: list[Failure]) -> list[list[Failure]]:
    """Failures with the same consequences together: a port, its cable and its hub stop the same parts."""
    groups: dict[tuple[object, ...], list[Failure]] = {}
    for failure in failures:
        groups.setdefault((failure.stops, failure.services, failure.refuges), []).append(failure)
    return list(groups.values())


def title_of(failure: Failure) -> str:
    """What fails, in words."""
    return TITLES[failure.kind].format(plain(failure.name))


def _entry(group: list[Failure]) -> _Part:
    """One entry: what fails, what stops, where orphans go meanwhile, what that comes to, the spare."""
    first = group[0]
    stopped = f": no {', no '.join(map(plain, first.services))}" if first.services else ""
    title = ", or ".join(map(title_of, group))
    head = (title if first.kind == "device" else capital(title)) + stopped
    said = (*_stops(first), *_meanwhile(first), *_outcome(first), *_swap(group))
    return _Part((("[ ] ", head), *(("    ", words) for words in said)), 1)


def _stops(failure: Failure) -> Iterator[str]:
    others = [plain(name) for name in failure.stops if name != failure.name]
    if failure.kind == "computer":
        yield "Everything on it stops."
    elif others:
        yield f"Stops {', '.join(others)}."


def _meanwhile(failure: Failure) -> Iterator[str]:
    """Where orphans go, in the order to do it."""
    said = []
    for refuge in failure.refuges:
        if refuge.plug is not None:
            pull = f"pull {plain(refuge.instead_of)} and " if refuge.instead_of else ""
            why = f" ({refuge.why})" if refuge.why else ""
            said.append(f"{pull}plug {plain(refuge.part)} into {plain(refuge.plug)}{why}")
    if said:
        yield f"Meanwhile {'; '.join(said)}."
    for why in dict.fromkeys(refuge.why for refuge in failure.refuges if refuge.plug is None):
        left = [plain(refuge.part) for refuge in failure.refuges if refuge.plug is None and refuge.why == why]
        why = why.replace("takes it", "takes them") if len(left) > 1 else why
        yield f"Leave out {', '.join(left)}: {why}."


def _outcome(failure: Failure) -> Iterator[str]:
    """How the night goes on: what stays stopped, what gets worse, which faults and risks come."""
    moved = any(refuge.plug is not None for refuge in failure.refuges)
    if moved and failure.services:
        yield f"Still no {', no '.join(map(plain, failure.still))}." if failure.still else "Then the night goes on."
    if failure.then:
        yield f"Until it is mended {'; '.join(failure.then)}."
    for finding in failure.brings[:MOST_BROUGHT]:
        yield f"That brings a {finding.severity}: {finding.message}"
    if more := failure.brings[MOST_BROUGHT:]:
        yield f"And {', '.join(f'{each.severity} {each.name} ({plain(each.part)})' for each in more)}."
    left = failure.still if failure.refuges else failure.services
    if left and all(words.startswith("guiding") for words in left):
        yield "Pictures go on unguided: expose shorter."


def _swap(group: list[Failure]) -> Iterator[str]:
    """The spare, where no plug brings the night back."""
    first = group[0]
    if any(refuge.plug is not None for refuge in first.refuges) and not first.still:
        return
    spared = [title_of(failure) for failure in group if failure.spare is not None]
    if spared and first.stops:
        yield f"Change {' or '.join(spared)} for the spare (HAVE READY)."
