"""How words are set and guessed, whatever they are about: cells of a terminal, names that somebody may have meant.

Nothing here knows a rig, a scan or a report.
"""
