"""Which tests call which functions, and running the tests that call one of them, those that call it themselves first.

    python tests/bench/calling.py note FILE TEST_FILE…    runs them, and writes what each test calls to FILE
    python tests/bench/calling.py run FILE TEST_FILE…     runs what FILE lists first, then the rest, until one fails

A test that starts another process is taken to call everything. A test that finds a value remembered by one before it
calls less than it does alone, so a file that calls a function is run whole.
"""

from __future__ import annotations

import json
import sys
import threading
import time
from collections.abc import Iterator
from pathlib import Path
from types import CodeType, FrameType
from typing import Any

import pytest

ROOT = Path(__file__).resolve().parents[2]
STARTS = ("subprocess.Popen", "os.fork", "os.posix_spawn", "os.exec")


class Noting:
    """Notes each test's functions of `topo/` as `path:qualified name`, and its processor time."""

    def __init__(self) -> None:
        self.tests: dict[str, dict[str, Any]] = {}
        self._codes: set[CodeType] = set()
        self._starts = False
        sys.addaudithook(self._heard)

    def _heard(self, event: str, _: tuple[Any, ...]) -> None:
        if event in STARTS:
            self._starts = True

    def _called(self, frame: FrameType, event: str, _: Any) -> None:
        self._codes.add(frame.f_code)  # a call; lines are not asked for

    def pytest_collection(self) -> None:
        """What is called while files are read belongs to no test."""
        self._codes.clear()
        self._starts = False

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_protocol(self, item: pytest.Item) -> Iterator[None]:
        self._codes.clear()
        self._starts, start = False, time.process_time()
        threading.settrace(self._called)
        sys.settrace(self._called)
        try:
            return (yield)
        finally:
            sys.settrace(None)
            threading.settrace(None)  # type: ignore[arg-type]
            ours = {f"{Path(code.co_filename).relative_to(ROOT).as_posix()}:{code.co_qualname}"
                    for code in self._codes if code.co_filename.startswith(f"{ROOT}/topo/")}
            self.tests[item.nodeid] = {"calls": sorted(ours), "all": self._starts, "s": time.process_time() - start}


class First:
    """Runs the listed tests first, in that order."""

    def __init__(self, names: list[str]) -> None:
        self.order = {name: number for number, name in enumerate(names)}

    def pytest_collection_modifyitems(self, items: list[pytest.Item]) -> None:
        items.sort(key=lambda item: self.order.get(item.nodeid, len(self.order)))


def main() -> int:
    what, file, *tests = sys.argv[1:]
    sys.path.insert(0, str(ROOT))
    options = ["-q", "-n", "0", "-p", "no:cacheprovider", *tests]
    if what == "run":
        return pytest.main(["-x", *options], plugins=[First(json.loads(Path(file).read_text(encoding="utf-8")))])
    noting = Noting()
    status = pytest.main(options, plugins=[noting])
    Path(file).write_text(json.dumps(noting.tests), encoding="utf-8")
    return status


if __name__ == "__main__":
    sys.exit(main())
