"""Plugins: what hooks there are, how they are loaded one by one, and what they supply. pluggy comes in here alone."""
