"""Every renderer against names that are syntax somewhere: text stays text, and nothing else appears."""

from __future__ import annotations

import html
import os
import re
import shutil
import subprocess
import sys
from pathlib import Path
from xml.etree import ElementTree

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.computed import example_report
from tests.draw.rigs import EXAMPLES, NASTY, finding_at, hostile, rig_text, study_of
from topo.cli.main import status_of
from topo.draw.dot import dot_text
from topo.draw.engine import drawn
from topo.draw.mermaid import render_mermaid
from topo.draw.page import PageTold, render_page
from topo.draw.picture import picture
from topo.draw.renderers import renderers
from topo.draw.scene import Scene
from topo.draw.svg import render_svg
from topo.draw.tree import plain_text, tree_lines
from topo.model.plain import plain
from topo.words.cells import cells

few = settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.too_slow])
names = st.lists(hostile, min_size=7, max_size=7, unique=True)
SVG = "{http://www.w3.org/2000/svg}"


def hostile_scene(seven: list[str]) -> Scene:
    hub, camera, guide, mount, title, supply, port = seven
    study = study_of(rig_text(hub, camera, guide, mount, title, supply, port, controller=title))
    return picture(study, [finding_at(camera, title), finding_at(hub, guide)])


@given(names)
@few
def test_svg_holds_names_as_text_and_known_elements_alone(seven: list[str]) -> None:
    data = render_svg(hostile_scene(seven))
    root = ElementTree.fromstring(data)
    allowed = {"svg", "title", "desc", "style", "g", "polygon", "path", "polyline", "text", "rect"}
    assert {element.tag.removeprefix(SVG) for element in root.iter()} <= allowed
    for element in root.iter():
        for name, value in element.attrib.items():
            assert not name.lower().startswith("on") and "href" not in name
            assert "url(" not in value and "javascript:" not in value
    titles = {element.text for element in root.iter(f"{SVG}title")}
    assert {plain(name) for name in (*seven[:3], seven[5])} <= titles
    assert root.find(f"{SVG}title").text == plain(seven[4])  # type: ignore[union-attr]
    css = "".join(element.text or "" for element in root.iter(f"{SVG}style"))
    assert "@import" not in css and "url(" not in css


@pytest.mark.parametrize("bundled", [False, True])
def test_every_sign_of_a_name_is_seen(bundled: bool, monkeypatch: pytest.MonkeyPatch) -> None:
    """Names stand in the picture as they are, in nodes, on wires and in captions, with either engine."""
    if bundled:
        monkeypatch.setenv("PATH", "")
    for name in NASTY:
        name = name.replace("/", "")[:20].strip()
        study = study_of(rig_text(mount=name, title=name, port=name[:4].strip()))
        root = ElementTree.fromstring(render_svg(picture(study, [finding_at(name)])))
        texts = [(element.text or "").replace("\u00a0", " ") for element in root.iter(f"{SVG}text")]
        assert texts.count(plain(name)) >= 2, name
        assert plain(name[:4].strip()) in texts, name


@given(names)
@few
def test_dot_holds_as_many_nodes_and_edges_as_the_scene(seven: list[str]) -> None:
    import pygraphviz

    scene = hostile_scene(seven)
    graph = pygraphviz.AGraph(string=dot_text(scene))
    parts = [name for name in graph.nodes() if re.fullmatch("n[0-9]+", name)]
    assert sorted(parts) == sorted(node.key for node in scene.nodes)
    assert all(re.fullmatch("[a-z]+[0-9]*[a-z]*[0-9]*", name) for name in graph.nodes())
    wires = [edge for edge in graph.edges() if edge[0].startswith("n")]
    assert len(wires) == sum(wire.kind != "inside" for wire in scene.wires)


@given(names)
@few
def test_tree_fits_and_moves_no_cursor(seven: list[str]) -> None:
    scene = hostile_scene(seven)
    for ascii_only in (False, True):
        for columns in (40, 80):
            text = plain_text(tree_lines(scene, columns, ascii_only))
            assert all(cells(line) <= columns for line in text.split("\n"))
            assert all(char.isprintable() or char == "\n" for char in text)


@given(names)
@few
def test_mermaid_keeps_its_grammar(seven: list[str]) -> None:
    text = render_mermaid(hostile_scene(seven)).decode()
    inside = r'"(?:<br/>|[\w .,/+%-]|#[0-9]+;)*"'
    line = re.compile(
        rf'flowchart LR|  n\d+\[{inside}\]|  n\d+ (?:===|---|-\.-)(?:\|{inside}\|)? n\d+'
        r"|  classDef \w+ [\w:#,; -]+|  class [n\d,]+ \w+")
    for written in text.rstrip("\n").split("\n"):
        assert line.fullmatch(written), written
        assert "<" not in written.replace("<br/>", "") and "_" not in re.sub("#[0-9]+;", "", written)


@given(names)
@few
def test_page_escapes_and_runs_nothing(seven: list[str]) -> None:
    hub, camera, guide, mount, title, supply, port = seven
    study = study_of(rig_text(hub, camera, guide, mount, title, supply, port))
    page = render_page(study, [finding_at(guide, camera)], PageTold(remarks=(title,))).decode()
    from html.parser import HTMLParser

    tags: set[str] = set()
    attributes: set[str] = set()
    links: set[str] = set()

    class Reader(HTMLParser):
        def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
            tags.add(tag)
            attributes.update(name for name, _ in attrs)
            links.update(value or "" for name, value in attrs if name == "href")

    Reader().feed(page)
    assert not tags & {"script", "iframe", "object", "embed", "link", "img", "form", "base", "audio", "video"}
    assert not {name for name in attributes if name.startswith("on") or name in ("src", "style", "srcset")}
    assert all(re.fullmatch("#picture-(broad|slim)-n[0-9]+", link) for link in links) and links
    assert html.escape(plain(title), quote=True) in page
    assert "default-src 'none'" in page


@pytest.mark.parametrize("name", NASTY)
def test_every_renderer_draws_every_nasty_name(name: str) -> None:
    name = name.replace("/", "")
    scene = hostile_scene([name[:62] + f"{n}" for n in range(7)])
    for renderer in renderers():
        if renderer.name in ("png", "pdf") and name not in NASTY[:6]:
            continue
        assert renderer.render(scene), renderer.name


@pytest.mark.parametrize("kind,start", [("svg", b"<?xml"), ("png", b"\x89PNG"), ("pdf", b"%PDF")])
def test_the_wheels_engine_draws_without_any_program(kind: str, start: bytes, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("PATH", "")
    picture_bytes = drawn(dot_text(hostile_scene(list("abcdefg"))), kind)  # type: ignore[arg-type]
    assert picture_bytes.startswith(start)


def test_png_is_as_wide_as_asked() -> None:
    study = study_of(rig_text())
    for width in (900, 1200):
        data = drawn(dot_text(picture(study, (), width)), "png")
        assert int.from_bytes(data[16:20], "big") == width


GOLDEN = Path(__file__).with_name("golden.dot")


def test_dot_is_the_golden_one_under_any_hash_seed() -> None:
    """To renew after a change of the look: TOPO_WRITE_GOLDEN=1, then look at the picture."""
    code = ("from tests.draw.rigs import *; from topo.draw.dot import dot_text; from topo.draw.picture import picture;"
            "import sys; s = study_of(rig_text());"
            "sys.stdout.buffer.write(dot_text(picture(s, [finding_at('guide-camera')])).encode())")
    root = EXAMPLES.parent
    found = set()
    for seed in ("0", "1", "4711"):
        environment = {**os.environ, "PYTHONHASHSEED": seed, "PYTHONPATH": str(root)}
        found.add(subprocess.run([sys.executable, "-c", code], cwd=root, env=environment, capture_output=True,
                                 check=True).stdout)
    assert len(found) == 1
    if os.environ.get("TOPO_WRITE_GOLDEN"):
        GOLDEN.write_bytes(found.copy().pop())
    assert found.pop() == GOLDEN.read_bytes()


@pytest.mark.parametrize("example", sorted(path.parent.name for path in EXAMPLES.glob("*/rig.yaml")))
def test_an_installed_dot_has_nothing_to_warn_of(example: str, tmp_path: Path) -> None:
    dot = shutil.which("dot")
    if dot is None:
        pytest.skip("Graphviz is not installed here")
    report = example_report(example)
    text = dot_text(picture(report.study, report.findings))
    done = subprocess.run([dot, "-Tsvg"], input=text.encode(), capture_output=True, timeout=60)
    assert done.returncode == 0 and done.stderr == b""


def test_without_any_engine_what_needs_none_is_drawn_and_the_rest_is_told(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    """As where there is no wheel of an engine and no Graphviz: Alpine, 32-bit ARM, Windows on ARM."""
    monkeypatch.setitem(sys.modules, "pygraphviz", None)
    monkeypatch.setenv("PATH", str(tmp_path))
    monkeypatch.setenv("TOPO_PROFILES", os.devnull)
    rig = str(EXAMPLES / "two-cameras" / "rig.yaml")
    for options in ([], *(["-o", str(tmp_path / f"rig.{ending}")] for ending in ("mmd", "dot", "svg"))):
        assert status_of(["draw", rig, *options]) == 0
    capfd.readouterr()
    for ending in (".png", ".pdf"):
        assert status_of(["draw", rig, "-o", str(tmp_path / f"rig{ending}")]) == 2
        assert "install Graphviz (the program `dot`)" in capfd.readouterr().err
    assert sorted(path.name for path in tmp_path.iterdir()) == ["rig.dot", "rig.mmd", "rig.svg"]
