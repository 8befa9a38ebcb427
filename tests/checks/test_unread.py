"""Checks of scans and logs are known by name, and their files read when more is asked."""

from __future__ import annotations

import importlib
from dataclasses import fields

import pytest

from topo.checks import MODULES, all_checks
from topo.model.check import Check

CHECKS = dict(zip(MODULES, all_checks(), strict=True))


@pytest.mark.parametrize("module", MODULES)
def test_what_a_place_tells_is_what_the_file_says(module: str) -> None:
    check, said = CHECKS[module], importlib.import_module(f"topo.checks.{module}").CHECK
    assert isinstance(check, Check)
    assert (check.name, check.needs) == (said.name, said.needs)  # first: nothing of an unread one was asked for
    for field in fields(Check):
        assert getattr(check, field.name) is getattr(said, field.name) or getattr(check, field.name) == getattr(
            said, field.name)


def test_nothing_else_is_made_up() -> None:
    check = all_checks()[-1]
    with pytest.raises(AttributeError):
        check.severity  # type: ignore[attr-defined]  # noqa: B018
    with pytest.raises(AttributeError):
        check.name = "other"  # type: ignore[misc]
