"""Planning: where a device plugs in, the fewest moves that clear the faults, and what stops when a part fails.

Every answer is computed by studying the whole rig again after the change; nothing is estimated. What counts as a
finding is asked through an `Examine`, so that this room knows no check by name.
"""
