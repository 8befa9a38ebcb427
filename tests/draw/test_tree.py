"""The tree in the terminal: what it says once and not twice."""

from __future__ import annotations

from tests.draw.rigs import study_of
from topo.draw.picture import picture
from topo.draw.tree import plain_text, tree_lines

TEXT = """\
rig: R
computer:
  controllers: {c: {}}
  ports:
    usb2-1: {speed: high, controller: c}
devices:
  adapter: {speed: full, serial_sockets: 1, plug: computer/usb2-1}
  mount: {role: mount, serial: {baud: 9600, polls_per_s: 1, bytes_out: 9, bytes_in: 9}, plug: adapter/serial-1}
"""


def test_the_rate_of_a_serial_line_stands_there_once() -> None:
    assert plain_text(tree_lines(picture(study_of(TEXT), ()))).count("9600 baud") == 1
