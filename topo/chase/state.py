"""The state of a chase beside its rig: read, added to, written whole or not at all."""

from __future__ import annotations

from topo.chase.follow import Said
from topo.chase.heard import heard
from topo.chase.known import renewed
from topo.disk.whole import write_whole
from topo.errors import CommandError
from topo.frozen import replace
from topo.rigfile.chasefile import ChaseDocument, chase_text, read_chase


def said_in(path: str) -> tuple[Said, str]:
    """What a state file says, and its text. Raises RigFileError."""
    document, text = read_chase(path)
    return Said(document.symptoms, document.at, document.every, document.have, document.saw, document.cannot,
                document.told), text


def joined(before: Said, new: Said) -> Said:
    """What was said before with what is said now: a new frequency replaces the old, all else is added."""
    return Said(
        tuple(dict.fromkeys((*before.symptoms, *new.symptoms))), tuple(dict.fromkeys((*before.at, *new.at))),
        new.every or before.every, tuple(dict.fromkeys((*before.have, *new.have))), (*before.saw, *new.saw),
        tuple(dict.fromkeys((*before.cannot, *new.cannot))),
        tuple(each.text for each in renewed(tuple(map(heard, before.told)), tuple(map(heard, new.told)))),
    )


def without_last(said: Said) -> Said:
    """What was said without the last answer. Raises CommandError where there is none."""
    if not said.saw:
        raise CommandError("no answer was given yet, so there is none to take back")
    return replace(said, saw=said.saw[:-1])


def save(path: str, rig: str, said: Said, was: str | None = None) -> str:
    """Writes the state and gives its text. `was` is the text that was read there: of two runs at once none loses what
    the other wrote. Raises CommandError; what stood there then stands as it was.
    """
    document = ChaseDocument(
        chase=rig[:120], symptoms=said.symptoms, at=said.at, every=said.every, have=said.have, saw=said.saw,
        cannot=said.cannot, told=said.told,
    )
    text = chase_text(document)
    write_whole(path, text.encode("utf-8"), None if was is None else was.encode("utf-8"))
    return text
