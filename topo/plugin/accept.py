"""Judges what a hook returned, value by value: what is right goes on, what is wrong is said in words.

This runs with the stranger's code, inside its time-out: a value may be a generator, or a class with code of its own.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from itertools import islice
from types import GeneratorType
from typing import Any

from topo.model.check import Case, Check
from topo.model.finding import SEVERITIES
from topo.model.profile import Profile
from topo.plugin.shelf import ProfileFile, profile_files
from topo.plugin.values import EvidenceReader, ProfileFolder, Renderer, Scanner

NAME = r"[a-z0-9]+(-[a-z0-9]+)*"
"""Names that commands take and reports print: lower-case words joined by hyphens."""

MOST_VALUES = 10_000
"""More than this from one hook is an endless generator."""


@dataclass(slots=True)
class Accepted:
    """What a plugin brought, by hook, and in words what was wrong with the rest."""

    profiles: list[ProfileFile | Profile] = field(default_factory=list)
    checks: list[Check] = field(default_factory=list)
    scanners: list[Scanner] = field(default_factory=list)
    renderers: list[Renderer] = field(default_factory=list)
    evidence_readers: list[EvidenceReader] = field(default_factory=list)
    wrong: list[str] = field(default_factory=list)


def accept(hook: str, returned: Any, into: Accepted) -> None:
    """Sorts what a hook returned. Raises whatever a generator raises."""
    if not isinstance(returned, list | tuple | GeneratorType):
        into.wrong.append(f"{hook} returned {_a(returned)}, not a list")
        return
    judge = _JUDGES[hook]
    for number, value in enumerate(islice(returned, MOST_VALUES + 1), 1):
        if number > MOST_VALUES:
            into.wrong.append(f"{hook} returned more than {MOST_VALUES} values; the rest is left out")
            return
        wrong = judge(value, into)
        if wrong:
            into.wrong.append(f"{hook}, value {number}: {wrong}")


def _a(value: Any) -> str:
    return "nothing" if value is None else f"a value of type {type(value).__name__}"


def _profiles(value: Any, into: Accepted) -> str:
    if type(value) is Profile:
        if not isinstance(value.name, str) or not 0 < len(value.name) <= 64:
            return "the name of a profile is text of 1 to 64 characters"
        into.profiles.append(value)
        return ""
    if type(value) is not ProfileFolder:
        return f"{_a(value)}, not a ProfileFolder or Profile"
    from importlib.resources import files

    steps = [step for step in value.folder.split("/") if step]
    if ".." in steps:
        return "a ProfileFolder stays inside its package"
    try:
        folder = files(value.package).joinpath(*steps)
        if not folder.is_dir():
            return f"there is no folder {value.folder!r} in package {value.package}"
        found = profile_files(folder, "/".join([value.package.replace(".", "/"), *steps]))
    except (OSError, ImportError, TypeError, ValueError) as error:
        return f"the folder {value.folder!r} of package {value.package!r} cannot be listed: {error}"
    into.profiles.extend(found)
    return ""


def _checks(value: Any, into: Accepted) -> str:
    if type(value) is not Check:
        return f"{_a(value)}, not a Check"
    for wrong in _wrong_with_check(value):
        return wrong
    into.checks.append(value)
    return ""


def _wrong_with_check(check: Check) -> Iterator[str]:
    yield from _texts(check, "name", "summary", "explanation")
    if not re.fullmatch(NAME, check.name) or len(check.name) > 64:
        yield f"check {check.name}: a name is lower-case words joined by hyphens, at most 64 characters"
    if not callable(check.find):
        yield f"check {check.name}: `find` cannot be called"
    if not isinstance(check.severities, tuple) or not check.severities or set(check.severities) - set(SEVERITIES):
        yield f"check {check.name}: its severities are not a tuple of {', '.join(SEVERITIES)}"
    if check.needs not in ("study", "comparison"):
        yield f"check {check.name}: it needs neither a study nor a comparison"
    if not isinstance(check.cases, tuple) or not all(isinstance(case, Case) for case in check.cases):
        yield f"check {check.name}: its cases are not a tuple of Case"


def _texts(value: Any, *names: str) -> Iterator[str]:
    for name in names:
        text = getattr(value, name)
        if not isinstance(text, str) or not text.strip():
            yield f"a {type(value).__name__} whose {name} is not text"


def _endings(value: Any) -> Iterator[str]:
    endings = value.suffixes
    if not isinstance(endings, tuple) or not all(isinstance(e, str) and e.startswith(".") for e in endings):
        yield f"{value.name}: its suffixes are not a tuple of endings such as '.svg'"


def _scanners(value: Any, into: Accepted) -> str:
    if type(value) is not Scanner:
        return f"{_a(value)}, not a Scanner"
    for wrong in _texts(value, "name", "summary"):
        return wrong
    if not callable(value.scan) or not (value.pulse is None or callable(value.pulse)):
        return f"scanner {value.name}: `scan` or `pulse` cannot be called"
    if not isinstance(value.systems, tuple) or not all(isinstance(system, str) for system in value.systems):
        return f"scanner {value.name}: its systems are not a tuple of names"
    into.scanners.append(value)
    return ""


def _renderers(value: Any, into: Accepted) -> str:
    if type(value) is not Renderer:
        return f"{_a(value)}, not a Renderer"
    for wrong in (*_texts(value, "name", "summary"), *_endings(value)):
        return wrong
    if not callable(value.render):
        return f"renderer {value.name}: `render` cannot be called"
    into.renderers.append(value)
    return ""


def _evidence_readers(value: Any, into: Accepted) -> str:
    if type(value) is not EvidenceReader:
        return f"{_a(value)}, not an EvidenceReader"
    for wrong in (*_texts(value, "name", "summary"), *_endings(value)):
        return wrong
    if not callable(value.recognises) or not callable(value.read):
        return f"evidence reader {value.name}: `recognises` or `read` cannot be called"
    into.evidence_readers.append(value)
    return ""


_JUDGES: dict[str, Callable[[Any, Accepted], str]] = {
    "topo_profiles": _profiles,
    "topo_checks": _checks,
    "topo_scanners": _scanners,
    "topo_renderers": _renderers,
    "topo_evidence_readers": _evidence_readers,
}
