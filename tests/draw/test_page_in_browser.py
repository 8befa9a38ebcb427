"""The page of each example as Chromium lays it out: on a phone, on a desk and on paper.

A file with a script of ours is laid beside the page and looks into it through a frame; the page itself runs none.
"""

from __future__ import annotations

import html
import json
import re
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from tests.computed import compute_once
from tests.draw.rigs import EXAMPLES
from tests.draw.test_browser import chromium, run
from tests.samples import share
from topo.cli.report_page import command

__all__ = ["chromium"]
NAMES = sorted(path.parent.name for path in EXAMPLES.glob("*/rig.yaml"))
LOOK = """<!doctype html><body style="margin:0">
<iframe id=f src="page.html" width=%d height=900 style="border:0"></iframe>
<pre id=told></pre><script>
addEventListener('load',()=>setTimeout(()=>{
 const d=f.contentDocument,w=f.contentWindow,
  out={wide:[],small:[],badges:[],links:[],plans:[],sideways:[],scripts:d.scripts.length};
 const seen=e=>e.getClientRects().length>0;
 out.page=[d.documentElement.scrollWidth,d.documentElement.clientWidth];
 for(const e of d.querySelectorAll('body *')){if(!seen(e)||e.closest('figure'))continue;
  if(e.getBoundingClientRect().right>w.innerWidth+1)out.wide.push(e.tagName+' '+e.textContent.slice(0,40));
  if([...e.childNodes].some(n=>n.nodeType==3&&n.data.trim())&&parseFloat(w.getComputedStyle(e).fontSize)<11)
   out.small.push(e.textContent.slice(0,40));}
 for(const t of d.querySelectorAll('svg text')){if(!seen(t))continue;const s=t.ownerSVGElement,
  scale=s.getBoundingClientRect().width/s.viewBox.baseVal.width;
  if(parseFloat(t.getAttribute('font-size'))*scale<10.95)out.small.push(t.textContent+' '+scale);
  if(t.getAttribute('text-anchor')=='middle'&&t.getAttribute('font-weight')){const b=t.getBBox(),
   boxes=[...t.parentNode.querySelectorAll('rect')].map(r=>r.getBBox()).filter(r=>r.y<=b.y+4&&b.y+b.height<=r.y+r.height+4
    &&r.x<=b.x+b.width/2&&b.x+b.width/2<=r.x+r.width&&r.width<400),
   inside=boxes.some(r=>r.x<=b.x+.5&&b.x+b.width<=r.x+r.width+.5&&Math.abs(r.x+r.width/2-b.x-b.width/2)<1.5);
   if(!inside)out.badges.push(t.textContent);}}
 for(const a of d.querySelectorAll('.finding a')){if(!seen(a))continue;const to=d.querySelector(a.getAttribute('href'));
  out.links.push([a.textContent,!!to&&seen(to),to?(to.querySelector('title')||{}).textContent:'']);}
 for(const i of d.querySelectorAll('input[type=radio]')){i.checked=true;
  out.plans.push([...d.querySelectorAll('div[class*=plan]')].filter(seen).map(e=>e.className));
  for(const f of d.querySelectorAll('figure'))if(seen(f)&&f.scrollWidth>f.clientWidth)out.sideways.push(i.id);}
 told.textContent=JSON.stringify(out);},50))
</script>"""


@pytest.fixture(scope="module")
def pages(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    made = {}
    with pytest.MonkeyPatch.context() as patched:
        compute_once(patched)
        for name in NAMES:
            folder = tmp_path_factory.mktemp(name)
            done = CliRunner().invoke(command, [str(EXAMPLES / name / "rig.yaml"), "-o", str(folder / "page.html")])
            assert done.exit_code == 0, done.output
            made[name] = folder
    return made


def looked_at(chromium: str, folder: Path, width: int) -> dict[str, Any]:
    (folder / "look.html").write_text(LOOK % width, "utf-8")
    dom = run(chromium, folder / "profile", "--allow-file-access-from-files", "--virtual-time-budget=4000",
              "--window-size=1300,1000", "--dump-dom", (folder / "look.html").as_uri())
    found = re.search(r"<pre id=\"told\">(.*?)</pre>", dom, re.S)
    assert found and found[1], "the script beside the page told nothing"
    told: dict[str, Any] = json.loads(html.unescape(found[1]))
    return told


@pytest.mark.parametrize("width", [390, 900, 1200])
@pytest.mark.parametrize("name", share(NAMES, 2))
def test_page_fits_and_reads(chromium: str, pages: dict[str, Path], name: str, width: int) -> None:
    told = looked_at(chromium, pages[name], width)
    assert told["page"][0] <= told["page"][1] and not told["wide"], "nothing is wider than the page"
    assert not told["small"], "no text under 11 px"
    assert width < 900 or not told["sideways"], "no picture scrolls sideways, whatever plan is chosen"
    assert not told["badges"], "the words of a badge are inside it, and in its middle"
    assert told["scripts"] == 0
    assert all(works for _, works, _ in told["links"]), "a finding's link leads to what is there and seen"
    assert all(part == title for part, _, title in told["links"]), "and that is its part"
    for number, shown in enumerate(told["plans"]):
        assert [each for each in shown if "plan" in each] == [f"plan plan{number}" if number else "plan0"]


def test_links_and_plans_are_there_to_be_tried(chromium: str, pages: dict[str, Path]) -> None:
    told = looked_at(chromium, pages["twin-telescopes"], 1200)
    assert len(told["links"]) == 6 and len(told["plans"]) >= 4


def test_the_look_can_fail(chromium: str, tmp_path: Path) -> None:
    (tmp_path / "page.html").write_text(
        "<body><div style='width:2000px'>x</div><p style='font-size:8px'>y</p><section class=finding><a href=#no>z</a>"
        "</section><svg viewBox='0 0 100 50' width=100 height=50><g><rect x=0 y=0 width=20 height=20></rect><text x=10 "
        "y=14 text-anchor=middle font-weight=bold font-size=11>far too long</text></g></svg>"
        "<input type=radio id=r><figure style='overflow-x:auto'><div style='width:900px'>w</div></figure>", "utf-8")
    told = looked_at(chromium, tmp_path, 390)
    assert told["sideways"] == ["r"]
    assert told["wide"] and told["small"] and told["badges"] and told["links"] == [["z", False, ""]]


@pytest.mark.parametrize("name", share(NAMES, 1))
def test_on_paper_no_sheet_is_empty_and_text_is_readable(chromium: str, pages: dict[str, Path], name: str) -> None:
    pypdf = pytest.importorskip("pypdf")
    target = pages[name] / "page.pdf"
    run(chromium, pages[name] / "profile", "--no-pdf-header-footer", f"--print-to-pdf={target}",
        (pages[name] / "page.html").as_uri())
    sheets = pypdf.PdfReader(target).pages
    words = [len(sheet.extract_text().split()) for sheet in sheets]
    assert words[0] > 60 and min(words) > 5, words
    sizes: list[float] = []

    def visit(text: str, cm: list[float], tm: list[float], font: Any, size: float) -> None:
        if text.strip():
            sizes.append(abs(size * tm[3] * cm[3]))

    for sheet in sheets:
        sheet.extract_text(visitor_text=visit)
    assert min(sizes) >= 11 * 0.75 * 0.97, "11 px of a page are 8.25 points on paper, less what a letter sheet takes"
