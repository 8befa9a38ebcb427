"""Flows over scarce resources: who gets how much, and bursts that run together. Only numbers; nothing of USB."""
