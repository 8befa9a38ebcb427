"""Runs a stranger's code so that it cannot stop a run: in a thread of its own, with a time-out, away from stdout.

What it raises, even to leave the process, becomes words. What it prints goes to standard error, since standard output
is for answers. A thread that does not come back is left behind; it ends with the process. Code that ends the process
itself (`os._exit`, a crash in C) cannot be held off from here.
"""

from __future__ import annotations

import os
import sys
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from typing import Any, Generic, TextIO, TypeVar

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Outcome(Generic[T]):
    """What came of it: the value, or in words why there is none; and whether it wrote to standard output."""

    value: T | None
    failure: str = ""
    printed: bool = False


def run(work: Callable[[], T], timeout_s: float, stage: Callable[[], str] = lambda: "") -> Outcome[T]:
    """Runs `work` for at most `timeout_s` seconds. `stage` says in words what it was doing when time ran out."""
    results: list[Outcome[T]] = []

    def guarded() -> None:
        try:
            results.append(Outcome(work()))
        except BaseException as error:
            results.append(Outcome(None, words(error)))

    thread = threading.Thread(target=guarded, name="topo-plugin", daemon=True)
    with _away_from_stdout(thread) as stdout:
        thread.start()
        thread.join(timeout_s)
    if not results:
        during = f" while {stage()}" if stage() else ""
        return Outcome(None, f"hangs{during}: no answer after {timeout_s:g} s", stdout.printed)
    return Outcome(results[0].value, results[0].failure, stdout.printed)


def words(error: BaseException) -> str:
    """An exception in words. A stranger's exception may itself raise when it is turned into text."""
    if isinstance(error, SystemExit):
        return "tried to end the program (sys.exit)"
    try:
        text = str(error)
    except Exception:
        text = "its message cannot be shown"
    return f"raised {type(error).__name__}" + (f": {text}" if text else "")


class _Stdout:
    """Stands in for sys.stdout: what strangers write goes to standard error, all else where it was going."""

    def __init__(self, real: TextIO) -> None:
        self.real = real
        self.closed_to_all = True
        self.strangers: list[threading.Thread] = []
        self.printed = False

    def _target(self) -> TextIO:
        if self.closed_to_all or threading.current_thread() in self.strangers:
            self.printed = True
            return sys.stderr
        return self.real

    def write(self, text: str) -> int:
        return self._target().write(text)

    def writelines(self, lines: Any) -> None:
        self._target().writelines(lines)

    def flush(self) -> None:
        with suppress(OSError, ValueError):
            (sys.stderr if self.closed_to_all else self.real).flush()

    @property
    def buffer(self) -> Any:
        return self._target().buffer

    def __getattr__(self, name: str) -> Any:
        return getattr(self.real, name)


@contextmanager
def _away_from_stdout(thread: threading.Thread) -> Iterator[_Stdout]:
    """Routes standard output to standard error, in Python and below it. A thread left behind stays routed away."""
    before = sys.stdout
    stand_in = _Stdout(before)
    stand_in.strangers.append(thread)
    with _descriptor_away(before):
        sys.stdout = stand_in
        try:
            yield stand_in
        finally:
            stand_in.closed_to_all = False
            if not thread.is_alive():
                sys.stdout = before


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
