"""A check: one pattern it looks for, with cases that prove it. Checks live one to a file in `topo/checks/`."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Any, Literal, TypeAlias

from topo.frozen import frozen
from topo.model.finding import AnyFinding, Finding, Glimpse, Severity

Needs: TypeAlias = Literal["study", "comparison", "evidence"]


@frozen
class Case:
    """A small rig file (YAML text), and how many findings of the check it must give.

    For a check that needs a comparison `scan` is what is plugged in: a saved scan or the kernel's usb/devices text. For
    one that needs evidence `evidence` are the texts of logs and tables.
    """

    name: str
    rig: str
    findings: int
    scan: str = ""
    evidence: tuple[str, ...] = ()


@frozen
class Check:
    """A check. `name` is the name of its findings; `summary` one line; `explanation` what `topo explain` prints.

    `scope` tells a search of plans what findings hang on: "rig" anything; "controller" only the computer, the mounts
    and what hangs on one controller, and there more parts never take one away; "no-plug" nothing a plug could change.

    `still` is for a check whose findings of a part hang on nothing but the part, those that the finding names, the plan
    of the night, and the links that the data of these take: it tells of a study that `find` would find it for the
    part of a finding again, and not only as a note where that is none; False where that takes long to tell. Planning
    asks it hundreds of times.

    `glimpse` is for a check of scope "controller" whose findings are of parts and make no offers: the faults and risks
    that `find` would find of a study, told sooner, without their words and figures.

    `symptoms` are what a person sees or reads when this is the cause, in plain words: `topo explain` finds it by them.

    `tested_by` names in plain words the command, or the meter, that tells whether a finding that is only possible is
    true; RIG stands for the rig file. It is printed with each such finding.

    `find` takes a `Study` (needs "study"), a `Comparison` of declared against live (needs "comparison") or what logs
    say as `HeldEvidence` (needs "evidence"), and yields findings in the order of the file.
    """

    name: str
    summary: str
    explanation: str
    severities: tuple[Severity, ...]
    find: Callable[[Any], Iterable[Finding]]
    cases: tuple[Case, ...] = ()
    needs: Needs = "study"
    scope: Literal["rig", "controller", "no-plug"] = "rig"
    symptoms: tuple[str, ...] = ()
    tested_by: str = ""
    still: Callable[[Any, AnyFinding], bool] | None = None
    glimpse: Callable[[Any], Iterable[Glimpse]] | None = None
