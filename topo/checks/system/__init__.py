"""Settings of the computer."""
