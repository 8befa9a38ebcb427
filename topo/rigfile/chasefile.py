"""The file of a chase: facts only, so that it stays small and can be read and mended by hand."""
# No `from __future__ import annotations` here: the types of the fields are read (see topo/model/declare.py).

from dataclasses import MISSING
from pathlib import Path

from topo.frozen import frozen
from topo.model.declare import Bounds, key
from topo.rigfile.content import content_of
from topo.rigfile.entries import MADE_UP
from topo.rigfile.problems import Problems
from topo.rigfile.quote import value_text
from topo.rigfile.source import check_text, load
from topo.rigfile.syntax import parsed
from topo.rigfile.validate import validated

_LINE = Bounds(shortest=1, longest=300)
_TOLD = Bounds(shortest=1, longest=4000)


@frozen(kw_only=True)
class ChaseDocument:
    """A chase: what is seen, where, how often, what is at hand, and what tests showed, in their order."""

    chase: str = key("the rig it is about", Bounds(longest=120), default=MISSING)
    symptoms: tuple[str, ...] = key("what is seen", MADE_UP, default=())
    at: tuple[str, ...] = key("the parts that show it", MADE_UP, default=())
    every: str = key("how often", Bounds(longest=80), default="")
    have: tuple[str, ...] = key("what is at hand", MADE_UP, default=())
    cannot: tuple[str, ...] = key("tests that cannot be done here", _LINE, default=())
    told: tuple[str, ...] = key("what scans and logs told: NAME/certain/PART", _TOLD, default=())
    saw: tuple[str, ...] = key("tests with what they showed: TEST=yes, TEST=no:MINUTES, …", _LINE, default=())


def beside(rig: str) -> str:
    """The file of a rig's chase: `rig.chase.yaml` beside `rig.yaml`."""
    path = Path(rig)
    return str(path.with_name(f"{path.stem}.chase.yaml"))


def read_chase(path: str) -> tuple[ChaseDocument, str]:
    """A chase from its file, and the file's text. Raises RigFileError with every problem, each with its place."""
    text = load(path)
    check_text(text, path)
    problems = Problems(path)
    document = validated(ChaseDocument, content_of(parsed(text, problems), path, problems), problems)
    problems.raise_if_any()
    assert document is not None, "a document that does not fit the schema has a problem"
    return document, text


def chase_text(document: ChaseDocument) -> str:
    """The file's text: one line a fact."""
    lines = ["# A chase of topo: what was said and seen. Delete the last line of `saw` to take an answer back.",
             f"chase: {value_text(document.chase)}"]
    for name, values in (("symptoms", document.symptoms), ("at", document.at)):
        lines += _listed(name, values)
    if document.every:
        lines.append(f"every: {value_text(document.every)}")
    return "\n".join([*lines, *_listed("have", document.have), *_listed("cannot", document.cannot),
                      *_listed("told", document.told),
                      *_listed("saw", document.saw)]) + "\n"


def _listed(name: str, values: tuple[str, ...]) -> list[str]:
    return [f"{name}:", *(f"- {value_text(value)}" for value in values)] if values else []
