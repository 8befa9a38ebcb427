"""Kinds, by the name the live side knows them by: they live in `topo.model.kinds`, since comparing needs them too."""

from topo.model.kinds import How, Kind, best_mbit, endpoints, in_use, kind_of, speed_word, translators

__all__ = ["How", "Kind", "best_mbit", "endpoints", "in_use", "kind_of", "speed_word", "translators"]
