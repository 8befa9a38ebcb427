"""The reader: from a path or a text to a `RigFile`, or to one error that tells everything wrong with it.

source (bytes, limits) → syntax and tree (YAML) → content (text with places) → schema and meaning → RigFile
"""

from __future__ import annotations

import os

from topo.rigfile.content import content_of
from topo.rigfile.document import RigFile
from topo.rigfile.entries import RigDocument
from topo.rigfile.meaning import check_meaning
from topo.rigfile.problems import Problems
from topo.rigfile.source import check_text, decoded, load
from topo.rigfile.syntax import parsed
from topo.rigfile.validate import validated


def read(path: str | os.PathLike[str]) -> RigFile:
    """Reads a rig file. Raises RigFileError with every problem, each with its line and column."""
    name = os.fspath(path)
    return read_text(load(name), name)


def read_text(text: str | bytes, path: str) -> RigFile:
    """Reads the text of a rig file; `path` is what messages call it and where `profile_files` are looked for.

    Raises RigFileError with every problem, each with its line and column.
    """
    text = decoded(text, path) if isinstance(text, bytes) else text
    check_text(text, path)
    problems = Problems(path)
    content = content_of(parsed(text, problems), path, problems)
    document = validated(RigDocument, content, problems)
    check_meaning(content, problems)
    if "profiles" in content.data:
        from topo.rigfile.profiles import check_facts

        check_facts(content, problems)
    problems.raise_if_any()
    assert document is not None, "a document that does not fit the schema has a problem"
    return RigFile(path, text, document, content.places, content.values)
