"""A few hundred mutants each time; many more by hand with `fuzz_evidence.py`."""

from __future__ import annotations

from tests.evidence.fuzz_evidence import run


def test_mutants_crash_nothing() -> None:
    told = run(200, 7)
    assert len(told) >= 5, told
