"""Everything that is drawn, on one sheet to look at: `python -m tests.draw.contact_sheet OUT.png` (not a test).

Each example as a picture at 900 and 390 pixels, before and after, its page as Chromium shows it on a desk and a phone,
its sheet of plan B; each in colour, in grey, and as three colour-vision deficiencies are simulated (the matrices of
`test_look.py`). Needs Chromium, pillow and numpy; a page that cannot be made is left out and named.
"""

from __future__ import annotations

import io
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from tests.draw.rigs import EXAMPLES
from tests.draw.test_look import MACHADO

HIGH, WIDE, GAP = 620, 620, 8
WIDTHS = (900, 390)
EYES = ("full colour", "grey", *(name for name in MACHADO if name != "full colour"))


def pictures(name: str, folder: Path) -> Iterator[tuple[str, bytes]]:
    """What is drawn of an example, each with its name."""
    from topo.draw.dot import dot_of
    from topo.draw.engine import drawn
    from topo.draw.layout import place
    from topo.draw.paint import painted
    from topo.draw.picture import picture
    from topo.pipeline import advice_sheet, check_file

    rig = EXAMPLES / name / "rig.yaml"
    report = check_file(rig)
    for width in WIDTHS:
        scene = picture(report.study, report.findings, width, report.first)
        yield f"{name} {width}", drawn(dot_of(painted(place(scene))), "png")
    if (advice := advice_sheet(report)) is not None:
        yield f"{name} before and after", drawn(dot_of(advice), "png")
    page, sheet = folder / f"{name}.html", folder / f"{name}.pdf"
    topo = [sys.executable, "-m", "topo"]
    subprocess.run([*topo, "report", str(rig), "-o", str(page)], check=True, capture_output=True)
    for width in (1200, 500):  # Chromium makes no window narrower than 500
        yield f"{name} page {width}", _shot(page, width, folder)
    subprocess.run([*topo, "planb", str(rig), "-o", str(sheet)], check=True, capture_output=True)
    if shutil.which("pdftoppm"):
        subprocess.run(["pdftoppm", "-r", "60", "-png", "-singlefile", str(sheet), str(sheet.with_suffix(""))],
                       check=True)
        yield f"{name} plan B", sheet.with_suffix(".png").read_bytes()


def _shot(page: Path, width: int, folder: Path) -> bytes:
    from tests.draw.test_browser import CHROMIUM, FLAGS

    if CHROMIUM is None:
        raise SystemExit("Chromium is not installed")
    target = folder / "shot.png"
    subprocess.run([CHROMIUM, *FLAGS, f"--user-data-dir={folder / 'profile'}", f"--window-size={width},1600",
                    f"--screenshot={target}", page.as_uri()], check=True, capture_output=True)
    return target.read_bytes()


def seen_by(image: Any, eyes: str) -> Any:
    """The image in grey, or as the simulated eyes see it, computed in linear light."""
    import numpy
    from PIL import Image

    if eyes == "full colour":
        return image
    if eyes == "grey":
        return image.convert("L").convert("RGB")
    light = numpy.asarray(image, dtype=float) / 255
    light = numpy.where(light <= 0.04045, light / 12.92, ((light + 0.055) / 1.055) ** 2.4)
    light = numpy.clip(light @ numpy.array(MACHADO[eyes]).T, 0, 1)
    shown = numpy.where(light <= 0.0031308, light * 12.92, 1.055 * light ** (1 / 2.4) - 0.055)
    return Image.fromarray((shown * 255).round().astype("uint8"))


def contact_sheet(names: list[str]) -> Any:
    """One image: a row for each picture and a column for each pair of eyes."""
    from PIL import Image, ImageDraw

    rows = []
    with tempfile.TemporaryDirectory() as folder:
        for name in names:
            for title, data in pictures(name, Path(folder)):
                image = Image.open(io.BytesIO(data)).convert("RGB")
                small = min(1.0, HIGH / image.height, WIDE / image.width)
                size = max(1, round(image.width * small)), max(1, round(image.height * small))
                image = image.resize(size, Image.LANCZOS)
                rows.append((title, [seen_by(image, eyes) for eyes in EYES]))
    wide = max(sum(image.width + GAP for image in row) for _, row in rows)
    sheet = Image.new("RGB", (wide, len(rows) * (HIGH + 22)), "#888888")
    pen = ImageDraw.Draw(sheet)
    for number, (title, row) in enumerate(rows):
        x, y = 0, number * (HIGH + 22)
        pen.text((4, y + 4), f"{title}: {', '.join(EYES)}", fill="white")
        for image in row:
            sheet.paste(image, (x, y + 20))
            x += image.width + GAP
    return sheet


if __name__ == "__main__":
    chosen = sys.argv[2:] or sorted(path.parent.name for path in EXAMPLES.glob("*/rig.yaml"))
    contact_sheet(chosen).save(sys.argv[1])
