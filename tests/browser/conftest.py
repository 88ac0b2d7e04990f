"""One browser for all pages, and the pages that several files look at, each made once."""

import importlib.util
import shutil
from collections.abc import Iterator
from pathlib import Path
from types import ModuleType

import pytest
from playwright.sync_api import Browser, Playwright, sync_playwright

from hushwalk.morning.report import Report
from hushwalk.outputs.walk.walk_map import map_page

BROWSER = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")
TESTS = Path(__file__).parents[1]


def made(name: str) -> ModuleType:
    """Load a module of the test folder by its path, because test folders are no packages."""
    spec = importlib.util.spec_from_file_location(name, TESTS / f"{name}.py")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.fixture(scope="session")
def play() -> Iterator[Playwright]:
    """Start Playwright once; a second start in the same process is refused."""
    with sync_playwright() as running:
        yield running


@pytest.fixture(scope="session")
def chromium(play: Playwright) -> Iterator[Browser]:
    if BROWSER is None:
        pytest.skip("no Chromium on this machine")
    browser = play.chromium.launch(executable_path=BROWSER, args=["--no-sandbox", "--disable-gpu"])
    yield browser
    browser.close()


@pytest.fixture(scope="session")
def report() -> Report:
    """A small morning made by hand, whose title tries to break out of the page."""
    module = made("made_report")
    return module.made_report(title=module.NAUGHTY)


@pytest.fixture(scope="session")
def address(report: Report, tmp_path_factory: pytest.TempPathFactory) -> str:
    """The map page of that morning."""
    path = tmp_path_factory.mktemp("page") / "map.html"
    path.write_bytes(map_page(report).encode("utf-8"))
    return path.as_uri()


@pytest.fixture(scope="session")
def demo_page(demo_report: Report, tmp_path_factory: pytest.TempPathFactory) -> str:
    """The map page of the planned demo; who asks for it stands in the group of the plan."""
    path = tmp_path_factory.mktemp("demo") / "map.html"
    path.write_text(map_page(demo_report), encoding="utf-8")
    return path.as_uri()
