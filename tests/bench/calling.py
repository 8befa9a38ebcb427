"""Which tests call which functions, and running the tests that call one of them, those that call it themselves first.

    python tests/bench/calling.py note FILE TEST_FILE…    runs them, and writes what each test calls to FILE
    python tests/bench/calling.py serve                   runs what each line of standard input asks for, one at a time

A file is noted for `NOTED_S` of processor time; tests that it does not come to by then are left out. A test that starts
another process is taken to call everything. A test that finds a value remembered by one before it
calls less than it does alone, so the others of its file are run after it. Tests marked slow are left out of both.

A line asked for is JSON: `tests`, in the order to run them; `processor_s` and `wall_s`, after which they are ended. The
answer is a line of JSON: `status` (0 all pass, 1 some fail, below 0 ended by a signal) and `s`, processor seconds. Each
is run in a process of its own, a copy of this one, which has read the libraries that tests use but nothing of topo.
"""

from __future__ import annotations

import cProfile
import importlib
import json
import os
import resource
import signal
import sys
import threading
import time
from collections.abc import Generator
from pathlib import Path
from types import CodeType, FrameType
from typing import Any

import pytest

ROOT = Path(__file__).resolve().parents[2]
STARTS = ("subprocess.Popen", "os.fork", "os.posix_spawn", "os.exec")
LIBRARIES = ("hypothesis", "_pytest.assertion.rewrite", "xdist", "click.testing", "networkx", "pydantic", "pluggy",
             "yaml", "numpy", "scipy.optimize", "scipy.sparse.linalg", "jsonschema", "simpy", "rich")
OPTIONS = ("-q", "-n", "0", "-p", "no:cacheprovider", "-m", "not slow")
STUCK = -1000
NOTED_S = 30.0


class Noting:
    """Notes each test's functions of `topo/` as `path:qualified name`, and its processor time."""

    def __init__(self) -> None:
        self.tests: dict[str, dict[str, Any]] = {}
        self._codes: set[CodeType] = set()
        self._starts = self.late = self.running = False
        sys.addaudithook(self._heard)

    def _heard(self, event: str, _: tuple[Any, ...]) -> None:
        if event in STARTS:
            self._starts = True

    def _called(self, frame: FrameType, event: str, _: Any) -> None:
        self._codes.add(frame.f_code)

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_protocol(self, item: pytest.Item) -> Generator[None, Any, Any]:
        self._codes.clear()
        self._starts, start = False, spent_s()
        threading.setprofile(self._called)
        seen = cProfile.Profile(subcalls=False, builtins=False)
        seen.enable()
        self.running = True
        try:
            result = yield
        finally:
            self.running = False
            seen.disable()
            threading.setprofile(None)  # type: ignore[arg-type]
        codes = self._codes | {entry.code for entry in seen.getstats() if isinstance(entry.code, CodeType)}
        ours = {f"{Path(code.co_filename).relative_to(ROOT).as_posix()}:{code.co_qualname}"
                for code in codes if code.co_filename.startswith(f"{ROOT}/topo/")}
        if self.late:  # whoever is told to stop may end a test well and in good order
            item.session.shouldstop = "late"
        else:
            self.tests[name_of(item)] = {"calls": sorted(ours), "all": self._starts, "s": spent_s() - start}
        return result

    def stop(self, *_: Any) -> None:
        """Ends the noting; what the test under way makes of it counts for nothing."""
        self.late = True
        if self.running:
            raise KeyboardInterrupt


def spent_s() -> float:
    """Processor seconds of this process and of those it started."""
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    return time.process_time() + used.ru_utime + used.ru_stime


def name_of(item: pytest.Item) -> str:
    """A test's name, the same wherever the checkout lies."""
    return item.nodeid.replace(str(ROOT), ".")


class Listed:
    """Runs the listed tests, in that order, and no other."""

    def __init__(self, names: list[str]) -> None:
        self.order = {name: number for number, name in enumerate(names)}

    def pytest_collection_modifyitems(self, items: list[pytest.Item]) -> None:
        items[:] = sorted((i for i in items if name_of(i) in self.order), key=lambda i: self.order[name_of(i)])


def run(asked: dict[str, Any]) -> int:
    """Runs the tests that are asked for until one fails."""
    files = list(dict.fromkeys(name.split("::")[0] for name in asked["tests"]))
    return int(pytest.main(["-x", *OPTIONS, *files], plugins=[Listed(asked["tests"])]))


def ended(child: int, wall_s: float) -> tuple[int, float]:
    """How a process ended, and its processor seconds with those of what it started; killed once it waits too long."""
    end = time.monotonic() + wall_s
    while True:
        pid, status, used = os.wait4(child, os.WNOHANG)
        if pid:
            return os.waitstatus_to_exitcode(status), used.ru_utime + used.ru_stime
        if time.monotonic() > end:
            os.killpg(child, signal.SIGKILL)
            _, _, used = os.wait4(child, 0)
            return STUCK, used.ru_utime + used.ru_stime
        time.sleep(0.02)


def serve() -> int:
    for name in LIBRARIES:
        importlib.import_module(name)
    answers = os.fdopen(os.dup(1), "w", encoding="utf-8")
    nothing = os.open(os.devnull, os.O_RDWR)
    for line in iter(sys.stdin.readline, ""):
        asked = json.loads(line)
        child = os.fork()
        if not child:
            os.setsid()
            for stream in range(3):
                os.dup2(nothing, stream)
            resource.setrlimit(resource.RLIMIT_CPU, (asked["processor_s"], asked["processor_s"]))
            resource.setrlimit(resource.RLIMIT_DATA, (4 << 30, 4 << 30))
            status = 3
            try:
                status = run(asked)
            finally:
                os._exit(status)
        status, used = ended(child, asked["wall_s"])
        print(json.dumps({"status": status, "s": used}), file=answers, flush=True)
    return 0


def main() -> int:
    sys.path.insert(0, str(ROOT))
    if sys.argv[1] == "serve":
        return serve()
    _, _, file, *tests = sys.argv
    noting = Noting()
    signal.signal(signal.SIGPROF, noting.stop)
    signal.setitimer(signal.ITIMER_PROF, NOTED_S, 1.0)
    status = pytest.main(["-x", *OPTIONS, *tests], plugins=[noting])
    signal.signal(signal.SIGPROF, signal.SIG_IGN)
    Path(file).write_text(json.dumps(noting.tests), encoding="utf-8")
    return int(status == pytest.ExitCode.TESTS_FAILED and not noting.late)


if __name__ == "__main__":
    sys.exit(main())
