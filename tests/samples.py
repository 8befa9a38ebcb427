"""How much of a random sample a run tries: a share of it by default, all of it with `TOPO_BIG=1`, as `.ci/run` does.

A share is the beginning of the sample, so the same cases are tried each time, and what one finds the other finds too.
"""

from __future__ import annotations

import os
from collections.abc import Sequence
from typing import TypeVar

T = TypeVar("T")
BIG = bool(os.environ.get("TOPO_BIG"))


def share(sample: Sequence[T], few: int) -> Sequence[T]:
    """The first few of a sample, or all of it."""
    return sample if BIG else sample[:few]


def number(of_all: int, few: int) -> int:
    """How many of a sample that is drawn one by one."""
    return of_all if BIG else few
