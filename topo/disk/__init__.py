"""The disk: the one place that writes files and folders for a person. Knows nothing of rigs, scans or pictures.

Whole or not at all: a temporary file in the same folder, flushed, then one step that puts it in place. Logs that grow
line by line (`topo.live.notes`) are the one exception.
"""
