"""The profile families that ship. Each folder is a plugin of its own: a hook module and one YAML file to a profile.

`copy-me/` is no family: it is a distribution to copy, and is not part of this one.
"""
