"""The one door to PyYAML. Most of what importing it takes are patterns of its own reader, which we have no use for."""

from topo.later import compiled_later

with compiled_later():
    import yaml

__all__ = ["yaml"]
