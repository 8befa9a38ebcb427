"""Wiring: from a rig file and profiles to a rig, from a rig to who is plugged into what. No figures of traffic here."""
