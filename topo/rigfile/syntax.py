"""Broken YAML told in plain words with its place."""

from __future__ import annotations

import yaml

from topo.rigfile.problems import Problems
from topo.rigfile.tree import Node, compose


def parsed(text: str, problems: Problems) -> Node | None:
    """The tree of a text. Raises RigFileError where the text is no YAML or passes a limit."""
    try:
        return compose(text, problems)
    except yaml.MarkedYAMLError as error:
        mark = error.problem_mark or error.context_mark
        problems.add(mark.line + 1 if mark else 0, mark.column + 1 if mark else 0, str(error.problem))
        raise problems.error() from None
