"""Broken YAML told in plain words with its place; where a slip can be mended for reading on, so are later ones."""

from __future__ import annotations

from typing import Any

from topo.later import pattern
from topo.rigfile.outside import yaml
from topo.rigfile.problems import Problems
from topo.rigfile.tree import LOADER, Stopped, YamlNode, compose

_MENDINGS = 20
_MENDED_TEXT = 4_000_000  # characters read again at most: a large file gets fewer mendings
_BREAKS = pattern("(\r\n|\r|\n)")


def parsed(text: str, problems: Problems, loader: Any = LOADER) -> YamlNode | None:
    """The tree of a text. Raises RigFileError where the text is no YAML or passes a limit.

    A line that was mended to read on has its one problem noted; further ones on it are not told.
    """
    pieces: list[str] | None = None
    for _ in range(min(_MENDINGS, 1 + _MENDED_TEXT // (len(text) + 1))):
        attempt = Problems(problems.file)
        last: list[Any] = []
        try:
            root = compose(text if pieces is None else "".join(pieces), attempt, loader, last)
        except Stopped:
            problems.take(attempt)
            break
        except yaml.MarkedYAMLError as error:
            pieces = _BREAKS.split(text.removeprefix("\ufeff")) if pieces is None else pieces
            if not _mend(pieces, error, last[-1] if last else None, problems):
                break
        except yaml.YAMLError:  # the character check leaves nothing that gets here
            problems.add(0, 0, "YAML cannot be read from this file")
            break
        else:
            problems.take(attempt)
            return root
    raise problems.error()


def _mend(pieces: list[str], error: Any, last: Any, problems: Problems) -> bool:
    """Notes the mistake and mends its line in `pieces` (lines with their breaks between). False: cannot read on."""
    from topo.rigfile.mistakes import recognised

    mistake = recognised(pieces[::2], error, last)
    known = any(problems.is_muted(number) for number, _ in mistake.mended)
    problems.add(mistake.line, mistake.column, mistake.message, mistake.hint)
    for number, mended in mistake.mended:
        pieces[(number - 1) * 2] = mended
        if not mistake.exact:
            problems.mute(number)
    return bool(mistake.mended) and not known
