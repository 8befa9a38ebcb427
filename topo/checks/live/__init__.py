"""Checks of what is plugged in: each takes a `Comparison` of the rig file and a scan."""
