"""Runs a stranger's code so that it cannot stop a run: in a thread of its own, with a time-out, away from stdout.

What it raises, even to leave the process, becomes words. What it prints goes to standard error, since standard output
is for answers: the thread that asked is the only one that may answer. What it changes of the process (working folder,
environment, recursion limit, mask) is put back and told. A thread that does not come back is left behind.

What one process cannot hold off: code below Python that ends or breaks the process (its exit status is then not 0,
save where that code calls the C library's own exit), a thread left behind that writes to file descriptor 1 itself, and
whoever replaces parts of Python or of topo in memory. `topo.plugin.contract` finds the honest mistakes of that kind.
"""

from __future__ import annotations

import os
import sys
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from typing import Any, Generic, TextIO, TypeVar

from topo.disk.temporary import umask
from topo.frozen import frozen, replace

T = TypeVar("T")

really_exit = os._exit
"""Ends the process at once: what the shell of commands leaves by once a stranger's code has run in it."""

_ran: list[threading.Thread] = []


@frozen
class Outcome(Generic[T]):
    """What came of it: the value, or in words why there is none; what else it did; whether it never came back."""

    value: T | None
    failure: str = ""
    did: tuple[str, ...] = ()
    hangs: bool = False


class ForcedExit(SystemExit):
    """What calls that end or replace the process raise in a stranger's thread."""


def strangers_ran() -> bool:
    """True once a stranger's code has run in this process: threads and calls at exit may be left of it."""
    return bool(_ran)


def run(work: Callable[[], T], timeout_s: float, stage: Callable[[], str] = lambda: "") -> Outcome[T]:
    """Runs `work` for at most `timeout_s` seconds. `stage` says in words what it was doing when time ran out."""
    results: list[Outcome[T]] = []

    def guarded() -> None:
        try:
            results.append(Outcome(work()))
        except BaseException as error:
            results.append(Outcome(None, words(error)))

    thread = threading.Thread(target=guarded, name="topo-plugin", daemon=True)
    if not _ran:
        _hold_exits()
    _ran[:] = [thread]
    did: list[str] = []
    with _put_back(did), _away_from_stdout() as stdout:
        thread.start()
        thread.join(timeout_s)
    if stdout.printed:
        did.insert(0, "writes to standard output; that was sent to standard error")
    if results:
        return replace(results[0], did=tuple(did))
    during = f" while {stage()}" if stage() else ""
    if not thread.is_alive():
        return Outcome(None, f"ended without an answer{during}", tuple(did))
    return Outcome(None, f"hangs{during}: no answer after {timeout_s:g} s", tuple(did), hangs=True)


def words(error: BaseException) -> str:
    """An exception in words. A stranger's exception may itself raise when it is turned into text."""
    if isinstance(error, SystemExit):
        return f"tried to end the program ({'os._exit' if isinstance(error, ForcedExit) else 'sys.exit'})"
    try:
        text = str(error)
    except Exception:
        text = "its message cannot be shown"
    return f"raised {type(error).__name__}" + (f": {text}" if text else "")


def _hold_exits() -> None:
    """Calls that end the process without asking raise instead, in every thread that is not here yet."""
    process, known = os.getpid(), {thread.ident for thread in threading.enumerate()}
    low = sys.modules.get(os.name)  # posix or nt: where `os` has them from

    def held(real: Callable[..., Any]) -> Callable[..., Any]:
        def call(*arguments: Any, **named: Any) -> Any:
            if os.getpid() != process or threading.get_ident() in known:
                return real(*arguments, **named)
            raise ForcedExit(arguments[0] if arguments else 0)

        return call

    for name in ("_exit", "abort", "execv", "execve"):
        if hasattr(os, name):
            call = held(getattr(os, name))
            setattr(os, name, call)
            if hasattr(low, name):
                setattr(low, name, call)


@contextmanager
def _put_back(did: list[str]) -> Iterator[None]:
    """Notes what of the process was changed meanwhile, and changes it back."""
    before = {what: look() for what, (look, _) in _STATE.items()}
    try:
        yield
    finally:
        for what, (look, put) in _STATE.items():
            if before[what] is not None and look() != before[what]:
                did.append(f"changes the {what} of the process; that was undone")
                with suppress(OSError, ValueError):
                    put(before[what])


def _folder() -> str | None:
    try:
        return os.getcwd()  # noqa: PTH109
    except OSError:
        return None


def _set_environment(wanted: dict[str, str]) -> None:
    for name in set(os.environ) - set(wanted):
        del os.environ[name]
    os.environ.update(wanted)


_STATE: dict[str, tuple[Callable[[], Any], Callable[[Any], Any]]] = {
    "recursion limit": (sys.getrecursionlimit, sys.setrecursionlimit),
    "working folder": (_folder, os.chdir),
    "environment": (lambda: dict(os.environ), _set_environment),
    "mask for new files": (umask, os.umask),
}


class _Answers:
    """Stands in for sys.stdout: only the thread that asked, and only once the stranger is done, writes to the real one.

    What any other thread writes goes to standard error: one that was left behind, or that a stranger started.
    """

    def __init__(self, real: TextIO) -> None:
        self.real = real
        self.owner = threading.get_ident()
        self.open = False
        self.printed = False

    def _target(self) -> TextIO:
        if self.open and threading.get_ident() == self.owner:
            return self.real
        self.printed = True
        return sys.stderr

    def write(self, text: str) -> int:
        return self._target().write(text)

    def writelines(self, lines: Any) -> None:
        self._target().writelines(lines)

    def flush(self) -> None:
        with suppress(OSError, ValueError):
            (self.real if self.open else sys.stderr).flush()

    @property
    def buffer(self) -> Any:
        return self._target().buffer

    def __getattr__(self, name: str) -> Any:
        return getattr(self.real, name)


@contextmanager
def _away_from_stdout() -> Iterator[_Answers]:
    """Routes standard output to standard error, in Python and below it; for good where threads are left behind."""
    before, errors, threads = sys.stdout, sys.stderr, threading.active_count()
    stand_in = _Answers(before.real if isinstance(before, _Answers) else before)
    with _descriptor_away(stand_in.real):
        sys.stdout = stand_in
        try:
            yield stand_in
        finally:
            stand_in.open = True
            left_behind = threading.active_count() > threads or isinstance(before, _Answers)
            sys.stdout, sys.stderr = (stand_in if left_behind else before), errors


@contextmanager
def _descriptor_away(stdout: TextIO) -> Iterator[None]:
    """File descriptor 1 goes where 2 goes: for what is written by C code and child processes."""
    with suppress(OSError, ValueError, AttributeError):
        stdout.flush()
    try:
        saved = os.dup(1)
    except OSError:
        yield
        return
    try:
        with suppress(OSError):
            os.dup2(2, 1)
        yield
    finally:
        os.dup2(saved, 1)
        os.close(saved)
