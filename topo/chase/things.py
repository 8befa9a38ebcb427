"""What somebody may have at hand, one entry each: the words of `--have`. Free sockets are the rig's own."""

from __future__ import annotations

THINGS: dict[str, str] = {
    "cable": "a spare cable, short and known to be good, of the same plugs and grade",
    "long-cable": "a cable that reaches from the part to the computer",
    "hub": "another hub",
    "supply": "a second supply of the same volts and polarity",
    "lead": "another 12 V lead with its own fuse",
    "laptop": "a second computer with the drivers",
    "router": "a network that can do 5 GHz",
    "admin": "the right to change settings of the system",
    "log": "the logs of the programs and of the system",
}
"""Each thing and its words."""

USUAL = ("admin", "log")
"""What is taken to be at hand where nobody says otherwise: it costs nothing."""
