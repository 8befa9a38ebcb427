"""Content held against a class of the schema: an object of it, or its problems noted in plain words."""

from __future__ import annotations

from typing import Any

from pydantic import ValidationError

from topo.rigfile.content import Content
from topo.rigfile.document import KeyPath
from topo.rigfile.problems import Problems


def validated(model: Any, content: Content, problems: Problems, base: KeyPath = (), data: Any = None) -> Any:
    """The data as an object of the schema, or None with its problems noted. `base` is where in the file it stands."""
    try:
        return model.model_validate(content.data if data is None else data)
    except ValidationError as error:
        from topo.rigfile.words import tell

        if content.data:
            tell(error.errors(include_url=False, include_input=False), model, content, problems, base)
        return None
