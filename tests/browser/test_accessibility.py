"""Contrast, visible focus and names on every page, at the width of a laptop and of a phone, by day and by red light.

The numbers are those of WCAG 2.2 at level AA: contrast 4.5 (1.4.3), a focus that can be seen (2.4.7), headings that do
not skip a level (common practice for 1.3.1), names for all pictures and controls (1.1.1, 4.1.2).
"""

from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path

import pytest
from click.testing import CliRunner
from playwright.sync_api import Browser, Page

from hushwalk.cli import hushwalk

HERE = Path(__file__).parent
LEAST = 4.5
MEASURE = (HERE / "contrast.js").read_text(encoding="utf-8").split("\n", 1)[1]
SIZES = {"laptop": (1280, 900), "phone": (390, 844)}


@pytest.fixture(scope="module")
def pages(tmp_path_factory: pytest.TempPathFactory, demo_folder: Path, address: str) -> dict[str, str]:
    folder = tmp_path_factory.mktemp("pages")
    asked = ["session", str(demo_folder / "trip.toml"), "ALDER", "--days", "2", "--out", str(folder)]
    said = CliRunner().invoke(hushwalk, asked, catch_exceptions=False)
    assert said.exit_code == 0
    return {"map": address, "sessions": (folder / "sessions.html").as_uri()}


@pytest.fixture(params=SIZES)
def size(request: pytest.FixtureRequest) -> tuple[int, int]:
    return SIZES[request.param]


@pytest.fixture(params=["map", "sessions"])
def page(
    request: pytest.FixtureRequest, size: tuple[int, int], pages: dict[str, str], chromium: Browser
) -> Iterator[Page]:
    width, height = size
    context = chromium.new_context(viewport={"width": width, "height": height}, offline=True)
    opened = context.new_page()
    opened.goto(pages[request.param])
    yield opened
    context.close()


def dim(page: Page, within: str) -> list[tuple[str, float]]:
    said = page.evaluate(MEASURE, within)
    assert len(said) > 20
    return [(words, round(ratio, 2)) for words, ratio in said if ratio < LEAST]


def note(page: Page) -> None:
    """Open the notes where the page has them, keep one, and open all that hangs on it."""
    if page.locator("#take").count():
        page.wait_for_selector("#notes[data-ready]", state="attached")
        for button in ("#take", "[data-key='9']", "#keep", "#kept button", "#codes", "#copy"):
            page.locator(button).first.click()


def test_all_text_stands_out(page: Page) -> None:
    for details in page.locator("details").all():
        details.evaluate("node => node.open = true")
    note(page)
    assert dim(page, "body") == []


def test_all_text_stands_out_by_red_light(size: tuple[int, int], pages: dict[str, str], chromium: Browser) -> None:
    context = chromium.new_context(viewport={"width": size[0], "height": size[1]}, offline=True)
    page = context.new_page()
    page.goto(pages["map"])
    page.click("#night")
    note(page)
    assert dim(page, "#notes, header, main > p, .tools, .scroll, .cautions, details") == []
    context.close()


def test_focus_can_be_seen_wherever_it_goes(page: Page) -> None:
    seen = []
    for _ in range(40):
        page.keyboard.press("Tab")
        said = page.evaluate("""() => {
            const node = document.activeElement;
            if (!node || node === document.body) return null;
            const style = getComputedStyle(node);
            return [node.outerHTML.slice(0, 80), style.outlineStyle, parseFloat(style.outlineWidth)];
        }""")
        if said is None:
            break
        seen.append(said)
    faint = [words for words, style, width in seen if style in {"none", "auto"} or width < 2]
    assert faint == []
    if "map.html" in page.url:
        assert len(seen) > 8
    else:
        assert seen  # a wide table can be moved by key


def test_headings_do_not_skip_a_level_and_pictures_have_names(page: Page) -> None:
    levels = page.evaluate("() => [...document.querySelectorAll('h1,h2,h3,h4')].map(h => Number(h.tagName[1]))")
    assert levels[0] == 1
    assert levels.count(1) == 1
    assert all(after - before <= 1 for before, after in pairwise(levels))
    nameless = page.evaluate("""() => [...document.querySelectorAll('svg, img')]
        .filter(e => e.checkVisibility() && !e.closest('[aria-hidden=true]') && !e.getAttribute('aria-label')
            && e.getAttribute('alt') === null && !e.closest('.leaflet-pane')).map(e => e.outerHTML.slice(0, 80))""")
    assert nameless == []
    assert page.evaluate("() => [...document.querySelectorAll('th')].every(th => th.scope)")
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth + 1")
    assert page.title()
