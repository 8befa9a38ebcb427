"""What the reader returns: the typed document with the place of everything in it."""

from __future__ import annotations

from collections.abc import Mapping

from topo.frozen import frozen
from topo.model.rig import Place
from topo.rigfile.entries import RigDocument

KeyPath = tuple[str, ...]
"""Keys from the top of the file down, list positions as text: ('devices', 'mount', 'plug')."""


@frozen
class RigFile:
    """A rig file that follows the schema. `places` gives where each key stands; `values` where each value stands.

    `text` is the file as read, so that a later edit changes one scalar and nothing else.
    """

    path: str
    text: str
    document: RigDocument
    places: Mapping[KeyPath, Place]
    values: Mapping[KeyPath, Place]

    def place(self, *keys: str) -> Place:
        """The place of a key, or of the nearest key above it that the file has."""
        for end in range(len(keys), 0, -1):
            if keys[:end] in self.places:
                return self.places[keys[:end]]
        return Place(self.path, 1, 1)
