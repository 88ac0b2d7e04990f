"""Red light on every page: its button comes first, it is remembered, and no dot of the page is green or blue.

Why red: rods, which see in the dark, hardly answer to light above 620 nm (CIE 1951 scotopic luminous efficiency V'(620)
= 0.0007, from memory), while the green and the blue of a screen lie where they answer most.
"""

import importlib.util
import io
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from types import ModuleType

import numpy as np
import pytest
from click.testing import CliRunner
from PIL import Image
from playwright.sync_api import Browser, Page

from hushwalk.cli import hushwalk
from hushwalk.outputs.search.search_page import search_page
from hushwalk.outputs.walk.walk_map import map_page

DIM = 10  # 4 % of 255: what is left of green or blue may come from the edge of a letter only
SIZES = {"laptop": (1280, 900), "phone": (390, 844)}
PAGES = ("map", "search", "session", "areas")


def made(name: str) -> ModuleType:
    spec = importlib.util.spec_from_file_location(name, Path(__file__).parents[1] / f"{name}.py")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.fixture(scope="module")
def pages(tmp_path_factory: pytest.TempPathFactory, demo_folder: Path) -> dict[str, str]:
    folder = tmp_path_factory.mktemp("red")
    searched = made("made_search").made_search()
    walk = replace(made("made_report").made_report(), detections=searched.detections)
    (folder / "map.html").write_text(map_page(walk), encoding="utf-8")
    (folder / "search.html").write_text(search_page(searched), encoding="utf-8")
    region = made("made_region").make_region(folder)
    for asked in (
        ["session", str(demo_folder / "trip.toml"), "ALDER", "--days", "1", "--out", str(folder)],
        ["areas", str(region / "areas.toml"), "--top", "2"],
    ):
        assert CliRunner().invoke(hushwalk, asked, catch_exceptions=False).exit_code == 0
    files = {"session": folder / "sessions.html", "areas": region / "areas" / "areas.html"}
    return {name: files.get(name, folder / f"{name}.html").as_uri() for name in PAGES}


@pytest.fixture(params=[(name, size) for name in PAGES for size in SIZES], ids=" ".join)
def page(request: pytest.FixtureRequest, pages: dict[str, str], chromium: Browser) -> Iterator[Page]:
    name, size = request.param
    width, height = SIZES[size]
    context = chromium.new_context(viewport={"width": width, "height": height}, offline=True)
    opened = context.new_page()
    opened.goto(pages[name])
    yield opened
    context.close()


def red(page: Page) -> Page:
    """Switch to red light, where the page has not opened in it."""
    if page.get_attribute("#night", "aria-pressed") == "false":
        page.click("#night")
    return page


def dots(page: Page) -> np.ndarray:
    picture = Image.open(io.BytesIO(page.screenshot(full_page=True))).convert("RGB")
    return np.asarray(picture).reshape(-1, 3)


def test_no_dot_is_green_or_blue_with_all_opened(page: Page) -> None:
    red(page)
    for node in page.locator("details").all():
        node.evaluate("node => node.open = true")
    page.evaluate("""() => {
        document.querySelector('[data-stop]')?.click();
        document.querySelector('.leaflet-control-layers')?.classList.add('leaflet-control-layers-expanded');
        document.querySelectorAll('.leaflet-control-layers-overlays input:not(:checked)').forEach(box => box.click());
    }""")
    page.wait_for_timeout(300)
    seen = dots(page)
    assert seen[:, 0].max() > 240
    assert (seen[:, 1:] > DIM).any(axis=1).sum() == 0


def test_the_page_is_dark_and_opens_so_again(page: Page) -> None:
    lit = dots(red(page))[:, 0].mean() / 255
    assert lit < 0.35  # judgement: a third of the red of a white screen at most
    page.reload()
    assert page.evaluate("document.documentElement.classList.contains('dark')")
    assert page.get_attribute("#night", "aria-pressed") == "true"
    page.click("#night")
    assert (dots(page)[:, 1:] > DIM).any(axis=1).mean() > 1 / 2
    page.reload()
    assert page.get_attribute("#night", "aria-pressed") == "false"


def test_the_button_is_the_first_thing_on_the_page(page: Page) -> None:
    first = page.evaluate("document.querySelector('h1, h2, p, li, button, img, figure, table').id")
    assert first == "night"
    box = page.locator("#night").bounding_box()
    assert box["y"] + box["height"] < 120
    assert box["height"] >= 43


def test_red_comes_before_the_first_picture(page: Page) -> None:
    """The script that remembers stands in the head, before anything is drawn."""
    assert page.evaluate("[...document.head.querySelectorAll('script')].length") == 1
    red(page).emulate_media(media="print")
    assert page.evaluate("getComputedStyle(document.documentElement).backgroundColor") != "rgb(0, 0, 0)"
