"""The area report in a real browser with the network cut off, at the width of a laptop and of a phone."""

import importlib.util
from collections.abc import Iterator
from pathlib import Path

import pytest
from click.testing import CliRunner
from playwright.sync_api import Browser, Page

from hushwalk.cli import hushwalk

TOUCH_PX = 24  # WCAG 2.2, 2.5.8: a target is at least 24 by 24 px
CONTRAST = 4.5  # WCAG 2.2, 1.4.3: text that is not large
CONTRASTS = (Path(__file__).parent / "contrast.js").read_text(encoding="utf-8").split("\n", 1)[1]


@pytest.fixture(scope="module")
def report_page(tmp_path_factory: pytest.TempPathFactory) -> Path:
    spec = importlib.util.spec_from_file_location("made_region", Path(__file__).parents[1] / "made_region.py")
    made = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(made)
    folder = made.make_region(tmp_path_factory.mktemp("region"))
    said = CliRunner().invoke(hushwalk, ["areas", str(folder / "areas.toml"), "--top", "4"], catch_exceptions=False)
    assert said.exit_code == 0
    return folder / "areas" / "areas.html"


@pytest.fixture(params=[(1280, 900), (390, 844)], ids=["laptop", "phone"])
def opened(request: pytest.FixtureRequest, report_page: Path, chromium: Browser) -> Iterator[tuple[Page, list[str]]]:
    width, height = request.param
    context = chromium.new_context(viewport={"width": width, "height": height}, offline=True)
    page = context.new_page()
    seen: list[str] = []
    page.on("request", lambda r: seen.append(r.url) if not r.url.startswith(("data:", "file:")) else None)
    page.on("console", lambda m: seen.append(m.text) if m.type in {"error", "warning"} else None)
    page.on("pageerror", lambda e: seen.append(str(e)))
    page.goto(report_page.as_uri())
    yield page, seen
    context.close()


def test_nothing_is_asked_for_and_nothing_sticks_out(opened: tuple[Page, list[str]]) -> None:
    page, seen = opened
    assert seen == []
    assert page.evaluate("document.documentElement.scrollWidth <= window.innerWidth + 1")


def test_every_small_map_is_as_wide_as_the_others(opened: tuple[Page, list[str]]) -> None:
    page, _ = opened
    sizes = [one.bounding_box() for one in page.locator("section figure svg").all()]
    assert len(sizes) == 4
    assert len({round(size["width"], 1) for size in sizes}) == 1
    assert sizes[0]["width"] > 300
    assert len({round(size["height"], 1) for size in sizes}) == 1


def test_a_rank_leads_to_its_map_by_key(opened: tuple[Page, list[str]]) -> None:
    page, _ = opened
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.textContent") == "To the ranked places"
    link = page.locator("tbody th a").nth(1)
    link.focus()
    outline = link.evaluate("node => getComputedStyle(node).outlineStyle")
    assert outline == "solid"
    page.keyboard.press("Enter")
    box = page.locator("#area2").bounding_box()
    assert -1 <= box["y"] <= 400


def test_names_contrast_and_size_of_targets(opened: tuple[Page, list[str]]) -> None:
    page, _ = opened
    assert page.locator("html").get_attribute("lang") == "en"
    assert page.locator("h1").count() == 1
    pictures = page.locator("svg:visible").all()
    assert all(one.get_attribute("aria-label") or one.get_attribute("aria-hidden") == "true" for one in pictures)
    assert all(one.get_attribute("scope") for one in page.locator("th").all())
    said = page.evaluate(CONTRASTS, "body")
    assert len(said) > 60
    assert [words for words, ratio in said if ratio < CONTRAST] == []
    for link in page.locator("tbody a").all():
        size = link.bounding_box()
        assert min(size["width"], size["height"]) >= TOUCH_PX
