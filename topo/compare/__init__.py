"""Holds a rig file against a scan: which part is which thing, what was measured, and the study with it. No findings:
checks make them. No scanning: a scan comes in as a value.
"""
