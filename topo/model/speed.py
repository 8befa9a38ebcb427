"""USB signalling speeds, in order."""

from __future__ import annotations

from enum import IntEnum
from typing import Literal, get_args

SpeedWord = Literal["low", "full", "high", "super", "super-plus"]
SPEED_WORDS: tuple[SpeedWord, ...] = get_args(SpeedWord)
"""The names used in rig files, the slowest first."""


class Speed(IntEnum):
    """A USB speed. Compares by what carries more; `mbit` is the signalling rate in Mb/s."""

    LOW = 1
    FULL = 2
    HIGH = 3
    SUPER = 4
    SUPER_PLUS = 5

    @property
    def mbit(self) -> float:
        """Signalling rate in Mb/s (USB 2.0 chapter 7; USB 3.2 chapter 6)."""
        return _MBIT[self]

    @property
    def word(self) -> SpeedWord:
        """The name used in rig files: low, full, high, super, super-plus."""
        return SPEED_WORDS[self - 1]

    @property
    def label(self) -> str:
        """The signalling rate as people say it: 480 Mb/s, 5 Gb/s."""
        return f"{self.mbit:g} Mb/s" if self.mbit < 1000 else f"{self.mbit / 1000:g} Gb/s"

    @property
    def is_superspeed(self) -> bool:
        """True for the speeds that run on the SuperSpeed side of a port."""
        return self >= Speed.SUPER

    @classmethod
    def from_word(cls, word: str) -> Speed:
        """The speed of a rig-file word. Raises ValueError for a word that is none."""
        for number, known in enumerate(SPEED_WORDS, 1):
            if word == known:
                return cls(number)
        raise ValueError(f"no USB speed is called {word!r}")

    @classmethod
    def from_mbit(cls, mbit: float) -> Speed:
        """The speed whose signalling rate is nearest at or below `mbit` (20 Gb/s counts as super-plus)."""
        return max((speed for speed in cls if speed.mbit <= mbit), default=cls.LOW)


_MBIT = {Speed.LOW: 1.5, Speed.FULL: 12.0, Speed.HIGH: 480.0, Speed.SUPER: 5000.0, Speed.SUPER_PLUS: 10000.0}
