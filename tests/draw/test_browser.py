"""A real Chromium opens the page and the picture: nothing is fetched, nothing runs, the path lights up."""

from __future__ import annotations

import http.server
import os
import re
import shutil
import subprocess
import threading
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.draw.rigs import finding_at, rig_text, study_of
from topo.draw.page import render_page
from topo.draw.picture import picture
from topo.draw.svg import render_svg

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")
FLAGS = (
    "--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--hide-scrollbars",
    "--disable-background-networking", "--disable-component-update", "--disable-sync",
)
TITLE = "<script>document.title='ran'</script><img src=x.png onerror=alert(1)>".replace("/", "")
HOSTILE = {"title": TITLE, "camera": "<img src=x.png>", "guide": "</style><script>".replace("/", ""), "hub": "a&#60;b"}


@pytest.fixture(scope="module")
def chromium() -> str:
    if CHROMIUM is None:
        if os.environ.get("CI"):
            pytest.fail("Chromium is not installed, and on CI it must be")
        pytest.skip("Chromium is not installed")
    return CHROMIUM


class Site:
    """A server of a few files that remembers what was asked of it."""

    def __init__(self, files: dict[str, tuple[str, bytes]]) -> None:
        self.asked: list[str] = []
        site = self

        class Handler(http.server.BaseHTTPRequestHandler):
            def do_GET(self) -> None:
                site.asked.append(self.path)
                kind, data = files.get(self.path, ("text/plain", b""))
                self.send_response(200)
                self.send_header("Content-Type", kind)
                self.send_header("Content-Length", str(len(data)))
                self.end_headers()
                self.wfile.write(data)

            def log_message(self, format: str, *args: object) -> None:
                pass

        self.server = http.server.ThreadingHTTPServer(("127.0.0.1", 0), Handler)
        self.url = f"http://127.0.0.1:{self.server.server_address[1]}"
        threading.Thread(target=self.server.serve_forever, daemon=True).start()


@pytest.fixture(scope="module")
def site() -> Iterator[Site]:
    study = study_of(rig_text(**HOSTILE))
    page = render_page(study, [finding_at(HOSTILE["guide"], TITLE)])
    made = Site({
        "/page.html": ("text/html; charset=utf-8", page),
        "/picture.svg": ("image/svg+xml", render_svg(picture(study))),
        "/control.html": ("text/html", b"<h1>x</h1><img src=x.png><script>document.title='ran'</script>"),
        "/lit.html": ("text/html; charset=utf-8", page.replace(b":is(:hover,:focus)", b".lit").replace(
            b'<tr class="k-', b'<tr class="lit k-', 1)),
    })
    yield made
    made.server.shutdown()


def run(chromium: str, folder: Path, *arguments: str) -> str:
    done = subprocess.run([chromium, *FLAGS, f"--user-data-dir={folder}", *arguments], capture_output=True, timeout=120,
                          check=True, text=True, encoding="utf-8")
    return done.stdout


def test_the_control_fetches_and_runs(chromium: str, site: Site, tmp_path: Path) -> None:
    """Shows that the tests below could fail."""
    site.asked.clear()
    dom = run(chromium, tmp_path, "--dump-dom", f"{site.url}/control.html")
    assert "/x.png" in site.asked and "<title>ran</title>" in dom


@pytest.mark.parametrize("path", ["/page.html", "/picture.svg"])
def test_nothing_is_fetched_and_names_stay_text(chromium: str, site: Site, tmp_path: Path, path: str) -> None:
    site.asked.clear()
    dom = run(chromium, tmp_path, "--dump-dom", f"{site.url}{path}")
    # Browsers ask any site for its icon by themselves, unless the policy forbids it, as that of the page does.
    assert [asked for asked in site.asked if path == "/page.html" or asked != "/favicon.ico"] == [path]
    assert "&lt;script&gt;document.title='ran'&lt;script&gt;" in dom
    assert "<script" not in dom and "<img" not in dom and "<title>ran" not in dom
    assert "a&amp;#60;b" in dom


def test_pointing_at_a_part_changes_the_picture(chromium: str, site: Site, tmp_path: Path) -> None:
    """The rule for pointing, with a class in place of the pointer that a headless browser has not."""
    shots = []
    for path in ("/page.html", "/lit.html"):
        target = tmp_path / f"{len(shots)}.png"
        run(chromium, tmp_path / "profile", "--window-size=1080,900", f"--screenshot={target}", f"{site.url}{path}")
        shots.append(target.read_bytes())
    assert shots[0] != shots[1]


def test_light_and_dark_differ(chromium: str, site: Site, tmp_path: Path) -> None:
    from PIL import Image

    corners = []
    for scheme in ("0", "1"):  # dark, light
        target = tmp_path / f"{scheme}.png"
        run(chromium, tmp_path / "profile", "--window-size=900,700", f"--blink-settings=preferredColorScheme={scheme}",
            f"--screenshot={target}", f"{site.url}/picture.svg")
        corners.append(Image.open(target).convert("L").getpixel((3, 3)))
    assert corners[0] < 60 < 200 < corners[1]


def test_every_part_has_its_rule() -> None:
    page = render_page(study_of(rig_text()), []).decode()
    rows = set(re.findall(r'<tr class="(k-n[0-9]+)"', page))
    assert len(rows) == 3
    for row in rows:
        assert f"body:has(.{row}:is(:hover,:focus))" in page and f"p-{row[2:]}" in page
