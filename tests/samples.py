"""How much of a sample a run tries: the README's command a share of it, `pytest -m slow` the rest.

A share is the beginning of the sample, so the same cases are tried each time, and what one finds the other finds too.
`.ci/run` runs both, and those that draw their cases one by one (Hypothesis) with `TOPO_BIG=1` as well.
"""

from __future__ import annotations

import os
from collections.abc import Iterable
from typing import Any

import pytest

BIG = bool(os.environ.get("TOPO_BIG"))


def share(sample: Iterable[Any], few: int, several: bool = False) -> list[Any]:
    """A sample for `pytest.mark.parametrize`: all beyond the first few are marked slow. `several` where each of it is
    the values of several parameters."""
    return [one if number < few else pytest.param(*(one if several else (one,)), marks=pytest.mark.slow)
            for number, one in enumerate(sample)]


def number(of_all: int, few: int) -> int:
    """How many of a sample that is drawn one by one."""
    return of_all if BIG else few
