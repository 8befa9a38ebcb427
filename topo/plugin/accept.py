"""Judges what a hook returned, value by value: each is made anew by its type; what is wrong is said in words.

This runs with the stranger's code, inside its time-out: the series may be a generator, or a list with code of its own.
"""

from __future__ import annotations

import importlib
import re
import sys
from collections.abc import Iterator
from importlib.machinery import SourceFileLoader
from itertools import islice
from pathlib import Path
from types import GeneratorType
from typing import TYPE_CHECKING, Any

from topo.frozen import replace
from topo.model.check import Check
from topo.model.plain import plain
from topo.model.profile import Profile
from topo.model.renderer import Renderer
from topo.model.scanner import Scanner
from topo.plugin.shelf import ProfileFile, profile_files
from topo.plugin.values import EvidenceReader, ProfileFolder

if TYPE_CHECKING:
    from importlib.resources.abc import Traversable

NAME = r"[a-z0-9]+(-[a-z0-9]+)*"
"""Names that commands take and reports print: lower-case words joined by hyphens."""

MOST_NAME = 64
"""Characters of such a name at most."""

MOST_VALUES = 10_000
"""More than this from one hook is an endless generator."""

HANDED: dict[str, tuple[type, ...]] = {
    "topo_profiles": (ProfileFolder, Profile),
    "topo_checks": (Check,),
    "topo_scanners": (Scanner,),
    "topo_renderers": (Renderer,),
    "topo_evidence_readers": (EvidenceReader,),
}
"""What each hook hands over."""


class Accepted:
    """What a plugin brought, by hook, and in words what was wrong with the rest."""

    def __init__(self, *wrong: str) -> None:
        self.profiles: list[ProfileFile | Profile] = []
        self.checks: list[Check] = []
        self.scanners: list[Scanner] = []
        self.renderers: list[Renderer] = []
        self.evidence_readers: list[EvidenceReader] = []
        self.wrong = list(wrong)


def accept(hook: str, returned: Any, into: Accepted, trusted: bool = False) -> None:
    """Sorts what a hook returned. Raises whatever a generator raises. What ships is trusted to be what it is."""
    if not issubclass(type(returned), (list, tuple, GeneratorType)):
        told = "nothing" if returned is None else f"a value of type {type(returned).__name__}"
        into.wrong.append(f"{hook} returned {told}, not a list")
        return
    for number, value in enumerate(islice(returned, MOST_VALUES + 1), 1):
        if number > MOST_VALUES:
            into.wrong.append(f"{hook} returned more than {MOST_VALUES} values; the rest is left out")
            return
        wrong = _taken(hook, value, into, trusted)
        if wrong:
            into.wrong.append(f"{hook}, value {number}: {wrong}")


def _taken(hook: str, value: Any, into: Accepted, trusted: bool) -> str:
    """Takes one value, or says what is wrong with it."""
    kinds = HANDED[hook]
    if sys.flags.optimize > 1 and isinstance(value, Check):
        value = _with_explanation(value)
    if not trusted:
        from topo.plugin.anew import Unlike, anew, called

        kind = next((kind for kind in kinds if type(value) is kind), None)
        if kind is None:
            return f"{called(value)}, not a {' or '.join(kind.__name__ for kind in kinds)}"
        try:
            value = anew(kind, value)
        except Unlike as error:
            return str(error)
        if wrong := next(_wrong(value), ""):
            return wrong
    if type(value) is ProfileFolder:
        return _from_folder(value, into)
    getattr(into, hook.removeprefix("topo_")).append(value)
    return ""


def _with_explanation(check: Check) -> Check:
    """A check with the docstring of its module as explanation, read from the source: -OO takes docstrings out."""
    import ast
    import inspect

    try:
        said = check.explanation  # asked first: a check that is not read yet has its own `find` from then on
        tree = ast.parse(inspect.getsource(sys.modules[check.find.__module__]))
        return replace(check, explanation=said or ast.get_docstring(tree) or "")
    except (AttributeError, KeyError, OSError, SyntaxError, TypeError):
        return check


def _wrong(value: Any) -> Iterator[str]:
    """What no type tells: names that can be typed, texts with words in them, endings that begin with a dot."""
    kind = type(value).__name__
    for name in ("name", "summary", "explanation"):
        if not getattr(value, name, "x").strip():
            yield f"a {kind} whose {name} is empty"
    if type(value) is Check:
        if not re.fullmatch(NAME, value.name) or len(value.name) > MOST_NAME:
            yield (f"check {plain(value.name)}: a name is lower-case words joined by hyphens, "
                   f"at most {MOST_NAME} characters")
        if not value.severities:
            yield f"check {value.name}: it names no severity"
    if len(getattr(value, "name", "")) > MOST_NAME:
        yield f"the name of a {kind} has at most {MOST_NAME} characters"
    if not all(ending.startswith(".") for ending in getattr(value, "suffixes", ())):
        yield f"{plain(value.name)}: its suffixes are endings such as '.svg'"


def _from_folder(value: ProfileFolder, into: Accepted) -> str:
    """Takes the files of a folder inside a package."""
    steps = [step for step in value.folder.split("/") if step]
    if ".." in steps:
        return "a ProfileFolder stays inside its package"
    try:
        folder = _top_of(value.package).joinpath(*steps)
        if not folder.is_dir():
            return f"there is no folder {value.folder!r} in package {value.package}"
        into.profiles.extend(profile_files(folder, "/".join([value.package.replace(".", "/"), *steps])))
    except (OSError, ImportError, TypeError, ValueError) as error:
        return f"the folder {value.folder!r} of package {value.package!r} cannot be listed: {error}"
    return ""


def _top_of(package: str) -> Path | Traversable:
    """The folder of a package, found by itself where that is a plain one: `importlib.resources` is slow to import."""
    spec = importlib.import_module(package).__spec__
    if spec is not None and type(spec.loader) is SourceFileLoader and spec.submodule_search_locations:
        return Path(spec.loader.path).parent
    from importlib.resources import files

    return files(package)
