"""The rig file: text with positions, read into a typed document with all its problems told at once.

PyYAML and pydantic come in here and nowhere else.
"""
