"""Checks of serial leads: rates, levels and lengths of the two ends."""
