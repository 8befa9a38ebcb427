"""What to do, in words: one wording for each change, used by the report, `topo rewire`, plan B and the pictures."""

from __future__ import annotations

from typing import TYPE_CHECKING

from topo.model.change import AddCard, AddPart, MovePlug, SetCable, SetLead, SetSerial, SetSupply, SetUse, SwapPlugs
from topo.model.figures import number
from topo.model.plain import plain
from topo.words.glossary import CLEARS, EASES

if TYPE_CHECKING:
    from collections.abc import Iterable

    from topo.model.change import Proposal
    from topo.model.finding import Finding, Plan

_SETTINGS = {
    "limit_mb_per_s": "Set the transfer limit of {part} to {value} MB/s (USB speed or bandwidth in its driver; "
    "`limit_mb_per_s` under `use:` in the file)",
    "fps": "Ask {part} for {value} frames a second",
    "bin": "Bin {part} {value}×{value}",
    "roi": "Read a region of {value} pixels of {part} (region of interest, ROI, in its program; `roi` under `use:` in "
    "the file)",
    "gap_s": "Let {part} pause {value} s after each frame",
    "exposure_s": "Expose {part} for {value} s",
    "timeout_s": "Let the program wait {value} s for a frame of {part} (its time-out)",
    "mb_per_s": "Hold {part} to {value} MB/s",
}


_LEADS = {
    "gauge_awg": "Make {lead} of wire of {value} AWG.",
    "area_mm2": "Make {lead} of wire of {value} mm².",
    "fuse_amps": "Put a fuse of {value} A into {lead}, where it begins.",
    "fuse_at_m": "Move the fuse of {lead} to within {value} m of where the lead begins.",
    "length_m": "Make {lead} no longer than {value} m.",
}

_LINE_SETTINGS = {
    "polls_per_s": "Ask {part} {value} times a second (the polling or refresh rate of its program)",
    "clients": "Let {programs} ask {part}; the others can take it from there",
    "latency_timer_ms": "Set the receive timer (latency timer) of {part}'s adapter to {value} ms, in its driver",
    "baud": "Set {part} and its program to {value} baud, if it can",
}


def instructions(proposal: Proposal) -> tuple[str, ...]:
    """Each thing to do as a sentence, in the order it is done. Cables and hubs that are bought are named where used."""
    new = {step.part.id: step.part for step in proposal.steps if isinstance(step, AddPart)}
    said = []
    for step in proposal.steps:
        if isinstance(step, MovePlug):
            cabled = any(isinstance(other, SetCable) and other.part == step.part for other in proposal.steps)
            bought = _bought(proposal, f"for {plain(step.part)}") if cabled else None
            with_ = f", with {bought}" if bought else ""
            said.append(f"Plug {plain(step.part)} into {plain(step.to_part)}/{plain(step.to_socket)}{with_}.")
        elif isinstance(step, SwapPlugs):
            said.append(f"Swap the plugs of {plain(step.part)} and {plain(step.other)}.")
        elif isinstance(step, SetCable):
            if not any(isinstance(other, MovePlug) and other.part == step.part for other in proposal.steps):
                said.append(f"Use {_bought(proposal, f'for {plain(step.part)}') or 'another cable'}.")
        elif isinstance(step, SetUse):
            value = number(step.value) if isinstance(step.value, float) else str(step.value)
            template = _SETTINGS.get(step.key, "Set `{key}` of {part} to {value}")
            said.append(template.format(part=plain(step.part), value=plain(value), key=plain(step.key)) + ".")
        elif isinstance(step, SetLead):
            if step.key == "fuse_at_m" and any(isinstance(o, SetLead) and o.key == "fuse_amps" for o in proposal.steps):
                continue  # said with the fuse
            said.append(_LEADS[step.key].format(lead=plain(step.lead), value=number(step.value)))
        elif isinstance(step, SetSupply):
            said.append(_of_supply(proposal, step))
        elif isinstance(step, SetSerial):
            said.append(_of_line(step))
        elif isinstance(step, AddCard):
            said.append(f"Put {next((words for words in proposal.buys if words.startswith('a card')), 'a card')} in.")
        else:
            assert isinstance(step, AddPart)
            part = new[step.part.id]
            said.append(_of_new(proposal, step) if part.plug is not None else f"Add {plain(part.id)}.")
    return tuple(said)


def _of_line(step: SetSerial) -> str:
    value = number(step.value) if isinstance(step.value, float) else str(step.value)
    programs = f"only {value} program{'' if value == '1' else 's'}"
    template = _LINE_SETTINGS.get(step.key, "Set `{key}` of the serial line of {part} to {value}")
    return template.format(part=plain(step.part), value=plain(value), key=plain(step.key), programs=programs) + "."


def _bought(proposal: Proposal, *ends: str) -> str | None:
    """What is bought, by how its words end: with what it is for. Where one thing is bought for one step there is no
    doubt, whatever its words."""
    found = next((words for end in ends for words in proposal.buys if words.endswith(f" {end}")), None)
    buying = [step for step in proposal.steps if isinstance(step, SetCable | AddPart | AddCard)]
    return found or (proposal.buys[0] if len(proposal.buys) == len(buying) == 1 else None)


def _of_supply(proposal: Proposal, step: SetSupply) -> str:
    value = f"{number(step.value)} { {'volts': 'V', 'amps': 'A'}.get(step.key, 'Ah')}"
    if step.key == "ah":
        return f"Use a battery of {value} in place of {plain(step.supply)}."
    for words in proposal.buys:
        if words.endswith(f" in place of {plain(step.supply)}"):
            return f"Use {words}."
    return f"Set {plain(step.supply)} to {value} by its own adjuster, with a meter under load."


def _of_new(proposal: Proposal, step: AddPart) -> str:
    plug = step.part.plug
    assert plug is not None
    words = _bought(proposal, f"in place of {plain(step.part.id)}", f"for {plain(str(plug))}")
    if words is not None and "in place of" in words:
        return f"Use {words}."
    if words is not None and step.part.sits is not None:
        return f"Put {words} ({plain(step.part.id)})."
    kind = 3 if any(socket.speed.is_superspeed for socket in step.part.sockets) else 2
    return f"Put a powered USB {kind} hub ({plain(step.part.id)}) into {plain(str(plug))}."


def in_one_line(proposal: Proposal) -> str:
    """All of it in one line."""
    said = " ".join(instructions(proposal))
    if proposal.to_try:
        said += " Check that the cable reaches: " + "; ".join(proposal.to_try) + "."
    return said


def outcome_of(plan: Plan) -> str:
    """What a plan comes to, in one or two sentences: what it brings besides, and its price."""
    said = ""
    if plan.brings:
        said += f" It brings {listed(plan.brings)}."
    if plan.price:
        said += f" Its price: {'; '.join(plan.price)}."
    return said


def as_computed(plan: Plan, finding: Finding) -> str:
    """What computing anew showed of a finding that a plan clears or makes milder."""
    left = plan.left_as(finding)
    return CLEARS if left is None else EASES.format(left)


def milder_words(now: Iterable[Finding], plan: Plan) -> str:
    """What gets milder by a plan and stays: `fault frame-lost (guide), to a risk; …`. Empty where nothing does."""
    left = [(finding, plan.left_as(finding)) for finding in now]
    milder = ((than, tuple(finding for finding, left_as in left if left_as == than)) for than in ("risk", "note"))
    return "; ".join(f"{', '.join(each_once(some))}, to a {than}" for than, some in milder if some)


def listed(findings: tuple[Finding, ...]) -> str:
    """Findings as a list: `the note cable-too-long (main-camera)`."""
    return ", ".join(f"the {words}" for words in each_once(findings))


def each_once(findings: tuple[Finding, ...]) -> tuple[str, ...]:
    """Severity, name and part of findings; of those of one part that read alike, once."""
    return tuple(dict.fromkeys(f"{f.severity} {f.name} ({plain(f.part)})" for f in findings))
