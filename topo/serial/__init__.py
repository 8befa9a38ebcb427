"""Serial lines: from the wired rig to exchanges, loads and waits. First come, first served, one exchange at a time.

Nothing of USB's bus times lives here, and nothing of guiding; `topo/usb/` puts the lines beside its own links.
"""
