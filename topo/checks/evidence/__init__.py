"""Checks of what logs, captures and tables of a night say of the rig."""
