"""Records of facts for tests, every fact with the same basis. No tests here."""

from __future__ import annotations

from typing import TypeVar

from topo.model.declare import Record
from topo.model.facts import Basis, Fact

R = TypeVar("R", bound=Record)


def facts(record: type[R], basis: Basis = "declared", **values: object) -> R:
    """A record of that class with these values."""
    return record(**{name: Fact(value, basis) for name, value in values.items()})
