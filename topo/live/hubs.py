"""Boxes, by the name the live side knows them by: they live in `topo.model.boxes`, since comparing needs them too."""

from topo.model.boxes import Box, JoinedBy, box_of, joined

__all__ = ["Box", "JoinedBy", "box_of", "joined"]
