"""Listings as people post them: quoted, fenced, indented, escaped, in prose; each reads as it was printed.

Every format, two machines, every disguise: the same scan as of the plain text. Real recordings too, where they are.
"""

from __future__ import annotations

import html
import re
from collections.abc import Callable

import pytest

from tests.live.listings.formats import FORMATS
from tests.live.listings.machines import MACHINES
from tests.live.tools import SHARED
from topo.live.listings.decode import decoded
from topo.live.listings.pasted import unpasted
from topo.live.recording import read_scan
from topo.live.store import dumps


def each(change: Callable[[str], str]) -> Callable[[str], str]:
    return lambda text: "\n".join(change(line) for line in text.split("\n"))


def around(before: str, after: str) -> Callable[[str], str]:
    return lambda text: f"{before}{text}{after}"


INDENTED = each(lambda line: f"    {line}")
QUOTED = each(lambda line: f"> {line}")

DISGUISES: dict[str, Callable[[str], str | bytes]] = {
    "windows-lines": lambda t: t.replace("\n", "\r\n"),
    "quoted": QUOTED,
    "quoted-without-blank": each(lambda line: f">{line}"),
    "quoted-twice": each(lambda line: f"> > {line}"),
    "quoted-blanks-lost": each(lambda line: f"> {line}".rstrip()),
    "quoted-and-answered": lambda t: f"A person wrote:\n{QUOTED(t)}\n\nI see nothing wrong.\n",
    "indented-by-4": INDENTED,
    "indented-in-prose": lambda t: f"Hello, mine is:\n\n{INDENTED(t)}\n\nThanks\n",
    "tabbed": each(lambda line: f"\t{line}"),
    "blanks-at-ends-lost": each(str.rstrip),
    "fenced": around("Hello, here it is:\n```text\n", "\n```\nThanks\n"),
    "forum-tags": around("Hi all,\n\n[CODE]", "[/CODE]\n"),
    "forum-tags-alone": around("[code]\n", "\n[/code]\nAny idea?\n"),
    "prompt": around("me@box:~$ sudo some-command --here\n", "me@box:~$ \n"),
    "prompt-of-powershell": around("PS C:\\Users\\me> some command\n", "PS C:\\Users\\me>\n"),
    "prose": around("My camera drops. This is what it prints:\n\n", "\n\nBest regards\nA. Person\n"),
    "no-break-spaces": lambda t: t.replace("  ", "\u00a0 "),
    "blank-lines-lost": lambda t: re.sub(r"\n[ \t]*\n", "\n", t),
    "blank-lines-doubled": lambda t: t.replace("\n", "\n\n"),
    "html": html.escape,
    "utf-16": lambda t: t.replace("\n", "\r\n").encode("utf-16"),
    "utf-16-without-mark": lambda t: t.encode("utf-16-le"),
    "byte-order-mark": lambda t: t.encode("utf-8-sig"),
}


def bytes_of(text: str | bytes) -> bytes:
    return text if isinstance(text, bytes) else text.encode()


@pytest.mark.parametrize("disguise", sorted(DISGUISES))
@pytest.mark.parametrize("form", sorted(FORMATS))
def test_a_posted_listing_reads_as_the_printed_one(form: str, disguise: str) -> None:
    for machine in ("pier", "meadow"):
        text = FORMATS[form].print(MACHINES[machine])
        wanted = read_scan(text)
        found = read_scan(decoded(bytes_of(DISGUISES[disguise](text))))
        assert dumps(found) == dumps(wanted), (machine, found.problems)


@pytest.mark.parametrize("disguise", sorted(DISGUISES))
def test_real_listings_read_alike_in_any_disguise(disguise: str) -> None:
    names = [p for p in sorted(SHARED.glob("*")) if p.suffix in (".txt", ".klog") and p.name != "cannot-enable.klog"]
    if not names:
        pytest.skip("no recordings from real machines here: no folder shared/recordings beside the checkout")
    for path in names:
        text = path.read_bytes().decode("utf-8", "replace")
        wanted, found = read_scan(text), read_scan(decoded(bytes_of(DISGUISES[disguise](text))))
        assert (found.sightings, found.controllers) == (wanted.sightings, wanted.controllers), path.name


@pytest.mark.parametrize("line", [
    "S:  Product=AT&amp;T <modem>", "$ is a name", "      Manufacturer: me@box", "E: ID_MODEL=[code]", "| | > x",
    "~~~~", 'x "y" &lt; & z', "100% done", "[  1.000000] usb 1-1: Product: a > b",
])  # fmt: skip
def test_what_a_listing_says_itself_stays(line: str) -> None:
    assert line in unpasted(f"first\n{line}\n<last>").split("\n")
