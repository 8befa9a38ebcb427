"""Devices that a program cannot tell apart."""
