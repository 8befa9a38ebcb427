"""Whatever comes in: a rig file or a RigFileError; whatever is edited: nothing else changes."""

from __future__ import annotations

import random
from typing import Any

import pytest
import yaml
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.fuzz_rigfile import GRAMMAR_SEEDS, mutated, run, written
from tests.rigfile.test_read import EXAMPLES
from topo.errors import CommandError, RigFileError
from topo.rigfile.edit import add_part, set_scalar
from topo.rigfile.problems import Problems
from topo.rigfile.read import read_text
from topo.rigfile.syntax import parsed

SEEDS = [path.read_bytes() for path in EXAMPLES] + GRAMMAR_SEEDS
TEXTS = [seed.decode() for seed in SEEDS]
relaxed = settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.too_slow])


def read_or_refuse(data: str | bytes) -> None:
    try:
        read_text(data, "rig.yaml")
    except RigFileError as error:
        assert error.problems
        assert all((p.message + p.hint).isprintable() for p in error.problems)


def test_two_thousand_generated_files() -> None:
    outcome = run(2000, seed=20)
    assert not outcome.defects, outcome.defects[0]
    assert outcome.read > 50 and outcome.refused > 500


@relaxed
@given(st.binary(max_size=300))
def test_any_bytes(data: bytes) -> None:
    read_or_refuse(data)


@relaxed
@given(st.text(max_size=300))
def test_any_text(text: str) -> None:
    read_or_refuse(text)


@relaxed
@given(st.text(alphabet="a:-?{}[],#&*!|>'\"% \n\t~<@`", max_size=80))
def test_any_mix_of_yaml_signs(text: str) -> None:
    read_or_refuse(text)
    read_or_refuse("rig: A\ncomputer: {}\n" + text)


@relaxed
@given(st.sampled_from(SEEDS), st.integers(0, 10**9))
def test_mutated_files(data: bytes, seed: int) -> None:
    read_or_refuse(mutated(random.Random(seed), data))


def _tree(text: str, loader: Any) -> str | None:
    problems = Problems("x")
    try:
        return repr(parsed(text, problems, loader)) + str(problems.error() if len(problems) else "")
    except RigFileError:
        return None


@relaxed
@given(st.integers(0, 10**9))
def test_both_parsers_build_the_same_tree(seed: int) -> None:
    text = written(random.Random(seed)).encode("utf-8", "replace").decode()
    fast, slow = _tree(text, yaml.CSafeLoader), _tree(text, yaml.SafeLoader)
    if fast is not None and slow is not None:
        assert fast == slow


values = st.one_of(
    st.text(alphabet=st.characters(exclude_categories=("Cs", "Cc", "Cf", "Co", "Cn", "Zl", "Zp")), max_size=40),
    st.sampled_from(
        ["null", "~", "yes", "a: b", "# x", "'", '"', "- a", "{", "]", ",", "1.10", "*a", "&a", "!t", " a "]
    ),
)


@settings(relaxed, max_examples=60)
@given(st.sampled_from(TEXTS), st.data(), values)
def test_a_note_set_anywhere_changes_nothing_else(text: str, data: st.DataObject, value: str) -> None:
    rigfile = read_text(text, "rig.yaml")
    name = data.draw(st.sampled_from(sorted(rigfile.document.devices)))
    changed = set_scalar(rigfile, ("devices", name, "note"), value)
    assert read_text(changed, "rig.yaml").document.devices[name].note == value
    inserted = len(changed) - len(text)
    at = next((i for i, (a, b) in enumerate(zip(text, changed, strict=False)) if a != b), len(text))
    # One run of characters was put in: what is before it and what is behind it are the old text.
    assert any(text[:i] == changed[:i] and text[i:] == changed[i + inserted :] for i in range(max(0, at - 60), at + 1))
    again = set_scalar(read_text(changed, "rig.yaml"), ("devices", name, "note"), "plain")
    assert read_text(again, "rig.yaml").document.devices[name].note == "plain"
    assert len(again.splitlines()) == len(changed.splitlines())


@relaxed
@given(st.sampled_from(SEEDS), st.integers(0, 10**9), values, st.sampled_from(["devices", "hubs"]))
def test_edits_of_odd_files_are_right_or_refused(data: bytes, seed: int, value: str, section: str) -> None:
    try:
        rigfile = read_text(mutated(random.Random(seed), data), "rig.yaml")
    except RigFileError:
        return
    try:
        changed = add_part(rigfile, section, value[:20] or "x", {"profile": "p", "cable": {"length_m": 1}})
    except CommandError:
        return
    document = read_text(changed, "rig.yaml").document
    assert getattr(document, section).pop(value[:20] or "x").cable.length_m.value == 1
    assert document == rigfile.document


@pytest.mark.parametrize("text", TEXTS)
def test_every_value_can_be_set_to_itself(text: str) -> None:
    rigfile = read_text(text, "rig.yaml")
    tree = yaml.load(text, Loader=yaml.BaseLoader)  # every scalar as text

    def walk(node: Any, keys: tuple[str, ...]) -> None:
        for key, value in node.items():
            if isinstance(value, dict):
                walk(value, (*keys, key))
            elif isinstance(value, str):
                assert set_scalar(rigfile, (*keys, key), value) == text

    walk(tree, ())
