"""Evidence: what logs, captures and tables of a night say, joined on one clock and held against chance and the rig.

Readers, one file each, turn an untrusted file into a `Reading`; nothing after them sees a byte of it. No wiring, no
drawing, no words for the terminal.
"""
