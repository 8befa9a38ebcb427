"""Devices slower than they could be, and what follows from it."""
