"""Loads plugins one by one and settles who supplies what. A plugin that fails becomes a `Trouble`; the rest goes on.

Order: what ships first, then strangers by the name of their distribution. What ships and strangers come in by the same
hooks; strangers run in isolation. A name two plugins claim is refused to both, unless it came in the box.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import field
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import pluggy

from topo.frozen import frozen, replace
from topo.model.profile import Profile
from topo.plugin import spec
from topo.plugin.accept import Accepted, accept
from topo.plugin.candidates import NotLoaded, announced, built_in
from topo.plugin.folder import OWN, is_named, profile_folder
from topo.plugin.guard import Fenced, Stranger
from topo.plugin.isolate import Outcome, run, words
from topo.plugin.settle import Offer, Settled, settle
from topo.plugin.shelf import Shelf, own_files
from topo.plugin.values import EvidenceReader, Renderer, Scanner, Supplier, Trouble
from topo.words.nearest import near_names

if TYPE_CHECKING:
    from topo.model.check import Check
    from topo.model.sighting import Scan
    from topo.plugin.shelf import ProfileFile

T = TypeVar("T")

LOAD_TIME_OUT_S = 10.0
"""How long a stranger may take to be imported and to answer all its hooks, in seconds."""


@frozen
class Supplied:
    """What one plugin supplies, by name."""

    supplier: Supplier
    profiles: tuple[str, ...] = ()
    checks: tuple[str, ...] = ()
    scanners: tuple[str, ...] = ()
    renderers: tuple[str, ...] = ()
    evidence_readers: tuple[str, ...] = ()


@frozen(slots=False)
class Plugins:
    """Everything plugins supply, in order; who supplies what; and what went wrong."""

    checks: tuple[Check, ...]
    scanners: tuple[Scanner, ...]
    renderers: tuple[Renderer, ...]
    evidence_readers: tuple[EvidenceReader, ...]
    suppliers: tuple[Supplied, ...]
    troubles: tuple[Trouble, ...]
    shelf: Shelf = field(repr=False, compare=False)

    def profile(self, name: str) -> Profile | None:
        """The profile of that name, the person's own first; None where nobody has one.

        Raises RigFileError where the person's own file is wrong, PluginError where a plugin's is or where two plugins
        claim the name.
        """
        return self.shelf.get(name)

    def profile_names(self) -> tuple[str, ...]:
        """The names of all profiles, in alphabetical order."""
        return self.shelf.names

    def supplier_of(self, check: str) -> Supplier | None:
        """Who supplies the check of that name."""
        return next((each.supplier for each in self.suppliers if check in each.checks), None)


@cache
def loaded(hooks: tuple[str, ...] = spec.HOOKS) -> Plugins:
    """What plugins supply through the hooks named, loaded once for each process."""
    return load(hooks)


def load(
    hooks: Sequence[str] = spec.HOOKS, own: Path | None = None, more: Sequence[NotLoaded] = (),
    time_out_s: float = LOAD_TIME_OUT_S,
) -> Plugins:
    """Loads every plugin and asks the hooks named.

    `own` is the person's folder of profiles, found by itself where it is not given; `more` are candidates that nobody
    announced.
    """
    strangers, troubles = announced()
    harvests: list[Harvest] = []
    loaded_as: dict[int, str] = {}
    for candidate in (*built_in(), *strangers, *more):
        brought = harvest(candidate, hooks, time_out_s)
        first = loaded_as.setdefault(brought.identity, candidate.supplier.plugin) if brought.identity else ""
        if first and first != candidate.supplier.plugin:
            brought = Harvest(candidate, Accepted(f"is the same plugin as {first}, announced twice"))
        harvests.append(brought)
    told = [*troubles, *(Trouble.of(h.candidate.supplier, what) for h in harvests for what in h.accepted.wrong)]
    files, wrong = own_files(own or profile_folder(), own is not None or is_named())
    if wrong:
        told.append(Trouble.of(Supplier(OWN), wrong))
    return _settled(harvests, told, files)


@frozen
class Harvest:
    """What one candidate brought. `identity` tells two announcements of one object; 0 where it was not loaded."""

    candidate: NotLoaded
    accepted: Accepted
    identity: int = 0


def harvest(candidate: NotLoaded, hooks: Sequence[str], time_out_s: float = LOAD_TIME_OUT_S) -> Harvest:
    """Loads one plugin and asks the hooks named: strangers in isolation, what ships as it is. Never raises."""
    stage = ["it was imported"]
    if candidate.builtin:
        outcome = _directly(lambda: _ask(candidate, hooks, stage))
    else:
        outcome = run(lambda: _ask(candidate, hooks, stage), time_out_s, lambda: stage[0])
    brought = outcome.value or Harvest(candidate, Accepted())
    if outcome.failure:
        during = "" if outcome.failure.startswith("hangs") else f" (while {stage[0]})"
        brought.accepted.wrong.append(outcome.failure + during)
    brought.accepted.wrong += outcome.did
    return brought


def _directly(work: Callable[[], T]) -> Outcome[T]:
    try:
        return Outcome(work())
    except Exception as error:
        return Outcome(None, words(error))


def _ask(candidate: NotLoaded, hooks: Sequence[str], stage: list[str]) -> Harvest:
    """Imports a plugin, registers it alone with a manager, and asks its hooks one by one."""
    plugin = candidate.load()
    accepted = Accepted()
    if candidate.builtin and not any(hasattr(plugin, hook) for hook in hooks):
        return Harvest(candidate, accepted, id(plugin))  # a family of profiles, asked for renderers
    stage[0] = "its hooks were registered"
    manager = _shared_manager() if candidate.builtin else _manager()
    try:
        manager.register(plugin, candidate.supplier.plugin)
        _pending(manager, plugin, accepted)
        if not manager.get_hookcallers(plugin):
            accepted.wrong.append("implements no hook; are its functions marked with `@hook` from topo.plugin?")
        for hook in hooks:
            for implementation in getattr(manager.hook, hook).get_hookimpls():
                stage[0] = f"{hook} was called"
                try:
                    accept(hook, implementation.function(), accepted, candidate.builtin)
                except (Exception, SystemExit) as error:
                    accepted.wrong.append(f"{hook} {words(error)}")
    finally:
        if manager.is_registered(plugin):
            manager.unregister(plugin)
    return Harvest(candidate, accepted, id(plugin))


def _manager() -> pluggy.PluginManager:
    manager = pluggy.PluginManager(spec.GROUP)
    manager.add_hookspecs(spec)
    return manager


@cache
def _shared_manager() -> pluggy.PluginManager:
    """What ships takes turns on one manager; a stranger that hangs must not keep one that others need."""
    return _manager()


def _pending(manager: pluggy.PluginManager, plugin: Any, accepted: Accepted) -> None:
    """Names hooks that do not exist: misspelt, or of another version."""
    try:
        manager.check_pending()
    except pluggy.PluginValidationError:
        for caller in manager.get_hookcallers(plugin) or ():
            if not caller.has_spec():
                near = near_names(caller.name, spec.HOOKS)
                hint = f"; did you mean {near[0]}?" if near else f"; there are {', '.join(spec.HOOKS)}"
                accepted.wrong.append(f"implements {caller.name}, and there is no such hook{hint}")


def _settled(harvests: Sequence[Harvest], troubles: list[Trouble], own: Sequence[ProfileFile]) -> Plugins:
    def offers(values: Callable[[Accepted], Sequence[Any]]) -> list[Offer]:
        return [
            Offer(value.name, h.candidate.supplier, h.candidate.builtin, value)
            for h in harvests for value in values(h.accepted)
        ]

    kinds = {}
    for what, values in _KINDS.items():
        kinds[what] = settle(what, offers(values))
        troubles += kinds[what].troubles
    profiles = kinds["profile"]
    shelf = Shelf(own, {offer.name: (offer.supplier, _signed(offer)) for offer in profiles.kept}, profiles.contested)
    order = {h.candidate.supplier: index for index, h in enumerate(harvests)}
    brought = {what: _by_supplier(kind) for what, kind in kinds.items()}
    return Plugins(
        checks=tuple(_isolated(offer) for offer in kinds["check"].kept),
        scanners=tuple(_fenced(offer, "scan", "pulse") for offer in kinds["scanner"].kept),
        renderers=tuple(_fenced(offer, "render") for offer in kinds["renderer"].kept),
        evidence_readers=tuple(_fenced(offer, "recognises", "read") for offer in kinds["evidence reader"].kept),
        suppliers=tuple(
            Supplied(supplier, *(tuple(names.get(supplier, ())) for names in brought.values())) for supplier in order
        ),
        troubles=tuple(sorted(troubles, key=lambda t: order.get(Supplier(t.plugin, t.distribution, t.version), -1))),
        shelf=shelf,
    )


def _by_supplier(settled: Settled) -> dict[Supplier, list[str]]:
    """The names that were kept of one kind of value, by who supplies them."""
    names: dict[Supplier, list[str]] = {}
    for offer in settled.kept:
        names.setdefault(offer.supplier, []).append(offer.name)
    return names


_KINDS: dict[str, Callable[[Accepted], Sequence[Any]]] = {
    "profile": lambda accepted: accepted.profiles,
    "check": lambda accepted: accepted.checks,
    "scanner": lambda accepted: accepted.scanners,
    "renderer": lambda accepted: accepted.renderers,
    "evidence reader": lambda accepted: accepted.evidence_readers,
}
"""Kinds of values in the order of the fields of `Supplied`."""


def _signed(offer: Offer) -> Any:
    if isinstance(offer.value, Profile):
        return replace(offer.value, supplied_by=str(offer.supplier))
    return offer.value


def _fenced(offer: Offer, *functions: str) -> Any:
    """The value, with a stranger's functions fenced in."""
    if offer.builtin:
        return offer.value
    returns = _returns()
    return replace(offer.value, **{
        name: Fenced(getattr(offer.value, name), offer.supplier, f"{offer.name}: {name}", returns[name],
                     *((_disagreements,) if name == "scan" else ()))
        for name in functions if getattr(offer.value, name) is not None
    })


def _returns() -> dict[str, Any]:
    """What functions that plugins hand over must return."""
    from topo.model.evidence import Reading
    from topo.model.sighting import Pulse, Scan

    return {"scan": Scan, "pulse": Pulse, "render": bytes, "recognises": bool, "read": Reading}


def _disagreements(scan: Scan) -> list[str]:
    from topo.live.store import disagreements

    return disagreements(scan)


def _isolated(offer: Offer) -> Check:
    check: Check = offer.value
    if offer.builtin:
        return check
    return replace(check, find=Stranger(check.find, offer.supplier), still=None, glimpse=None)
