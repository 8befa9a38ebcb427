"""Pictures of a rig: a scene of plain values, and renderers that each turn it into one kind of file or text.

graphviz and pygraphviz come in here alone. Nothing here computes a figure or reads a rig file.
"""
