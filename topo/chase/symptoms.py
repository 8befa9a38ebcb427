"""Symptoms in the words of the trade, one entry each: whom they hit, and how much likelier they make each fault.

All factors are common practice, no source; a kind that is not named cannot cause the symptom. To change what a symptom
points to, change `caused_by` here. `unseen` is the factor for each further device that a suspect reaches and that
nobody saw in trouble.
"""

from __future__ import annotations

from collections.abc import Mapping

from topo.frozen import frozen
from topo.model.rig import Role


@frozen
class Symptom:
    """One symptom. `hits` are roles that show it where nobody says which part does; empty: it has to be said.

    `unseen` counts for electrical kinds, `unseen_others` for the rest. `least` is how many parts it takes.
    """

    name: str
    words: str
    hits: tuple[Role, ...]
    caused_by: Mapping[str, float]
    unseen: float = 0.45
    unseen_others: float = 1.0
    least: int = 1


ATTITUDE = "at-one-attitude"
"""The symptom for which it counts whether a cable runs over an axis."""

SYMPTOMS: tuple[Symptom, ...] = (
    Symptom(
        "guiding-jumps", "guiding jumps, or stars come out long", ("guiding",),
        {"cable": 0.3, "superspeed": 1, "socket": 0.3, "hub": 0.3, "hub-sag": 0.2, "device": 0.5, "sharing": 3,
         "limit": 0.7, "sky": 8, "host": 1.5, "other": 1},
        unseen=0.8,
    ),
    Symptom(
        "guide-late", "guide frames come late", ("guiding",),
        {"cable": 0.5, "superspeed": 2, "hub": 0.3, "device": 0.7, "sharing": 4, "limit": 1, "sky": 2, "host": 2,
         "other": 1},
        unseen=0.8,
    ),
    Symptom(
        "guide-missing", "guide frames are missing", ("guiding",),
        {"cable": 1, "socket": 1, "superspeed": 0.5, "hub": 1, "hub-sag": 0.7, "hub-dead": 0.7, "controller": 1,
         "device": 1, "sharing": 1, "limit": 1, "suspend": 0.2, "host": 1, "other": 1},
    ),
    Symptom(
        "frames-torn", "frames are torn, striped or black", ("imaging",),
        {"cable": 0.7, "socket": 0.5, "superspeed": 1, "hub": 0.3, "hub-sag": 0.5, "hub-dead": 0.5, "device": 1,
         "lead": 0.5, "supply": 0.5, "sharing": 1, "limit": 3, "host": 1, "other": 1},
    ),
    Symptom(
        "camera-timeout", "the camera's download times out", ("imaging",),
        {"cable": 1, "socket": 0.5, "superspeed": 0.7, "hub": 0.5, "controller": 0.5, "device": 1, "lead": 1,
         "supply": 0.5, "sharing": 1, "limit": 2, "host": 1, "other": 1},
    ),
    Symptom(
        "drops", "a device drops and comes back", (),
        {"cable": 2, "socket": 2, "hub": 0.4, "hub-sag": 0.5, "hub-dead": 0.5, "controller": 0.3, "device": 1.5,
         "lead": 1, "supply": 0.5, "suspend": 1, "radio": 0.3, "other": 1},
    ),
    Symptom(
        "several-drop", "several devices drop together", (),
        {"cable": 1, "socket": 1, "hub": 2, "hub-sag": 2, "hub-dead": 2, "controller": 1.5, "lead": 1.5, "supply": 1,
         "host": 0.3, "other": 1},
        least=2,
    ),
    Symptom(
        "not-found", "a device is not found", (),
        {"cable": 2, "socket": 2, "hub": 1, "hub-sag": 1, "hub-dead": 1, "controller": 0.5, "device": 2, "lead": 2,
         "supply": 1, "suspend": 1, "host": 2, "other": 1},
    ),
    Symptom(
        "port-gone", "the port of a device is gone, or has another number", (),
        {"cable": 1, "socket": 1, "hub": 0.7, "hub-sag": 0.7, "hub-dead": 0.7, "controller": 0.3, "device": 1,
         "lead": 0.7, "supply": 0.5, "suspend": 0.5, "host": 1, "other": 1},
    ),
    Symptom(
        "port-in-use", "a program says that the port is in use", (),
        {"device": 0.2, "host": 1, "other": 1},
    ),
    Symptom(
        "wrong-answers", "the wrong device answers", (),
        {"device": 0.3, "host": 0.7, "other": 1},
    ),
    Symptom(
        "fails-after-idle", "a device works at first and fails after it was idle", (),
        {"cable": 0.3, "socket": 0.3, "hub": 0.5, "hub-sag": 0.2, "device": 1, "suspend": 6, "host": 0.7, "other": 1},
    ),
    Symptom(
        "slow-downloads", "downloads are slow", ("imaging",),
        {"superspeed": 4, "hub": 0.5, "device": 0.5, "sharing": 2, "limit": 2, "host": 1, "other": 1},
        unseen=0.8,
    ),
    Symptom(
        "mount-stalls", "the mount stalls or stops answering", ("mount",),
        {"cable": 1, "socket": 1, "hub": 0.6, "hub-sag": 0.7, "hub-dead": 0.7, "controller": 0.5, "device": 1.5,
         "lead": 2, "supply": 2, "suspend": 0.5, "sky": 0.5, "host": 0.5, "other": 1},
    ),
    Symptom(
        ATTITUDE, "a device fails at one position of the mount, at a flip or after a knock", (),
        {"cable": 3, "superspeed": 3, "socket": 2, "hub": 0.3, "hub-sag": 0.3, "hub-dead": 0.3, "device": 0.7,
         "lead": 3, "supply": 0.3, "other": 1},
    ),
)
"""Every symptom, in the order it is offered."""

SYMPTOM_OF = {symptom.name: symptom for symptom in SYMPTOMS}
