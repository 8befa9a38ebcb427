"""The journey of a rig file, one line a stage. Commands call this; it calls the rooms in order and nothing else.

read → RigFile → resolve → Rig → Study (wire, traffic, shares, outcomes) → examine → Findings → compose → Report
"""

from __future__ import annotations

import difflib
import os
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from topo.analysis.study import Study
from topo.model.check import Check
from topo.model.finding import Finding
from topo.model.rig import Part, Rig
from topo.rigfile.document import RigFile
from topo.rigfile.profiles import profiles_of
from topo.rigfile.read import read, read_text
from topo.wiring.resolve import resolve

if TYPE_CHECKING:
    from topo.model.profile import Profile
    from topo.plugin.load import Plugins
    from topo.report.compose import Report


class _Layered:
    """Profiles of the rig file itself first, then those of the person and of plugins."""

    def __init__(self, own: Sequence[Profile], plugins: Plugins) -> None:
        self._own = {profile.name: profile for profile in own}
        self._plugins = plugins

    def profile(self, name: str) -> Profile | None:
        return self._own.get(name) or self._plugins.profile(name)

    def profile_names(self) -> Sequence[str]:
        return (*self._own, *self._plugins.profile_names())


def plugins() -> Plugins:
    """Everything plugins supply, loaded once for each process."""
    from topo.plugin.load import loaded

    return loaded()


def rig_of(rigfile: RigFile) -> Rig:
    """The rig a file declares, with profiles merged. Raises RigFileError."""
    return resolve(rigfile, _Layered(profiles_of(rigfile), plugins()))


def new_part(rigfile: RigFile, name: str, body: Mapping[str, Any]) -> Part:
    """A part that is not in the file yet, resolved as if it stood there. Raises RigFileError or CommandError.

    `body` is the entry as it would be written, with a `profile` and no plug; whether it is a hub or a device follows
    from the profile.
    """
    from topo.errors import CommandError
    from topo.model.plain import plain
    from topo.rigfile.schema import DeviceEntry, HubEntry
    from topo.wiring.resolve import resolve_part

    known = _Layered(profiles_of(rigfile), plugins())
    profile = known.profile(body["profile"])
    if profile is None:
        near = difflib.get_close_matches(body["profile"], known.profile_names(), n=3, cutoff=0.4)
        hint = f"; nearest: {', '.join(near)}" if near else ""
        raise CommandError(f"no profile is called {plain(body['profile'])}{hint} (`topo profiles WORD` searches them)")
    if profile.kind == "computer":
        raise CommandError(f"{profile.name} is a computer; a rig has one")
    entry: HubEntry | DeviceEntry
    if profile.kind == "hub":
        entry = HubEntry.model_validate({key: value for key, value in body.items() if key not in ("role", "use")})
    else:
        entry = DeviceEntry.model_validate(body)
    return resolve_part(rigfile, name, entry, profile)


def study_file(path: str | os.PathLike[str]) -> Study:
    """Everything computed of the rig in a file. Raises RigFileError."""
    return Study(rig_of(read(path)))


def examine(study: Study, checks: Sequence[Check]) -> tuple[tuple[Finding, ...], tuple[str, ...]]:
    """Runs the checks that need a study: their findings, and what went wrong with checks in words."""
    from topo.plugin.guard import run_check

    findings: list[Finding] = []
    troubles: list[str] = []
    for check in checks:
        if check.needs != "study":
            continue
        found, trouble = run_check(check, study)
        findings += found
        if trouble is not None:
            troubles.append(str(trouble))
    return tuple(findings), tuple(troubles)


def report_of(study: Study) -> Report:
    """Examines a study with every check there is."""
    from topo.report.compose import compose

    known = plugins()
    findings, troubles = examine(study, known.checks)
    return compose(study, findings, (*map(str, known.troubles), *troubles))


def check_file(path: str | os.PathLike[str]) -> Report:
    """The main job: from a rig file to a report. Raises RigFileError."""
    return report_of(study_file(path))


def examine_text(text: str, path: str = "rig.yaml") -> Report:
    """The same for text that is in no file: cases of checks, drafts, plans."""
    return report_of(Study(rig_of(read_text(text, path))))
