"""The pack for a forum: a redacted rig, and the post and pictures made from the redacted rig alone.

Nothing here reads the person's own rig but `redact.py`, and what leaves that file is an allow-list.
"""
