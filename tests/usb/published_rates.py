"""Rates that makers and owners publish, as a table: what a camera sends, over which link, and how fast.

Names of makers are left out; the kind of source stands beside each. `bits` are those of a sample as sent; 10 and 12 are
packed. A rate is bound by the link (`LINK`), or it is left out of what the link is held to, with the reason.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

LINK = ""
SENSOR = "the sensor reads out no faster: the rate says nothing of the link"
BINNED = "binned in the camera, which reads the whole sensor all the same: the rate is not that of the bytes sent"
BURST = "more than the link carries: a burst from the camera's memory"
SOFTWARE = "held up by the computer's software: the source says so"


@dataclass(frozen=True)
class Published:
    """One published rate: frames a second, or else seconds of one download, of frames so many pixels wide and high."""

    link: Literal["high", "super"]
    width: int
    height: int
    bits: int
    rate: float
    kind: Literal["fps", "s"]
    source: str
    left_out: str = LINK

    @property
    def megabytes(self) -> float:
        """Of one frame: packed where the bits are not whole bytes."""
        return self.width * self.height * self.bits / 8 / 1e6


def _fps(
    link: Literal["high", "super"], source: str, left_out: str, *cases: tuple[int, int, int, float]
) -> list[Published]:
    return [Published(link, width, height, bits, rate, "fps", source, left_out) for width, height, bits, rate in cases]


def _downloads(source: str, left_out: str, *cases: tuple[Literal["high", "super"], int, int, float]) -> list[Published]:
    return [Published(link, width, height, 16, took, "s", source, left_out) for link, width, height, took in cases]


MANUAL_5MP = "manual of an industrial camera, table of greatest rates"
SCIENCE = "manual of scientific cameras, table of rates that are sustained at USB 3"
CATALOGUE = "data sheets of several makers"
MANUAL_3MP = "technical reference of an industrial camera"
DEEP_SKY = "download times on the page of a maker of cooled cameras"
THREAD = "issue thread, answered by the maintainers"

PUBLISHED: tuple[Published, ...] = (
    *_fps("super", CATALOGUE, LINK, (4968, 3378, 16, 10.0), (6248, 4176, 16, 6.8), (5320, 4600, 8, 15.0),
          (2048, 1536, 8, 118.0), (4000, 3000, 8, 31.0)),
    *_fps("super", MANUAL_3MP, LINK, (2048, 1536, 8, 120.0), (1920, 1080, 8, 182.0)),
    *_fps("super", MANUAL_5MP, LINK, (2560, 2048, 8, 61.9), (2560, 2048, 16, 30.9), (2560, 2048, 10, 49.5),
          (2560, 2048, 12, 41.3)),
    *_fps("super", f"{SCIENCE}, 5.5 MP", LINK, (2560, 2160, 12, 40.0), (2560, 2160, 16, 30.0), (2048, 2048, 12, 53.0),
          (2048, 2048, 16, 40.0), (1920, 1080, 12, 107.0), (1920, 1080, 16, 80.0)),
    *_fps("super", f"{SCIENCE}, 4.2 MP", LINK, (2048, 2048, 12, 53.0), (2048, 2048, 16, 40.0), (1920, 1080, 12, 107.0),
          (1920, 1080, 16, 80.0)),
    *_fps("super", THREAD, LINK, (5472, 3648, 24, 6.01), (5472, 3648, 8, 17.0)),
    *_downloads(DEEP_SKY, LINK, ("super", 11_760, 8896, 0.66), ("super", 14_304, 10_748, 0.95),
                ("super", 1024, 1024, 0.05), ("high", 11_760, 8896, 5.57), ("high", 14_304, 10_748, 6.80),
                ("high", 1024, 1024, 0.07)),
    *_fps("high", CATALOGUE, LINK, (1280, 960, 8, 30.0)),
    *_downloads(DEEP_SKY, BINNED, ("super", 5880, 4448, 0.43), ("super", 7152, 5374, 0.60), ("high", 5880, 4448, 1.15),
                ("high", 7152, 5374, 1.71)),
    *_fps("super", MANUAL_5MP, BINNED, (2560, 1024, 8, 123.6), (2560, 1024, 16, 61.8), (2560, 1024, 10, 99.2),
          (2560, 1024, 12, 82.6), (2560, 512, 8, 245.7), (2560, 512, 16, 123.4), (2560, 512, 10, 198.7),
          (2560, 512, 12, 165.2)),
    *_fps("super", CATALOGUE, SENSOR, (1440, 1080, 8, 60.0), (720, 540, 8, 522.0), (1616, 1240, 8, 131.0),
          (1280, 1024, 8, 201.0)),
    *_fps("super", MANUAL_3MP, SENSOR, (640, 480, 8, 608.0)),
    *_fps("super", SCIENCE, SENSOR, (2560, 2160, 12, 36.0), (2048, 2048, 12, 38.0), (1920, 1080, 12, 72.0),
          (512, 512, 16, 419.0)),
    *_fps("super", SCIENCE, BURST, (2048, 2048, 16, 52.0)),
    *_fps("high", "specification of an industrial camera", SENSOR, (2560, 1920, 8, 6.0)),
    *_fps("super", THREAD, SOFTWARE, (2448, 2048, 8, 8.0)),
)
"""Every case, in the order of its source."""

PLAIN_RATES: tuple[tuple[Literal["high", "super"], float, str], ...] = (
    ("high", 40.0, "manual of industrial cameras: a strong desktop"),
    ("high", 40.96, "note of a maker of controllers: 10 packets a microframe inward"),
    ("high", 42.0, "encyclopedia: disks read at up to so much"),
    ("super", 350.0, "article of a maker of controllers, the best it saw; glossary of a trade body, from so much"),
    ("super", 377.0, "issue thread: where an older controller was full"),
)
"""Rates that are published as such, MB/s."""
