"""Notes on the page survive reloads and kills of the browser: what was shown as kept is there when it opens again.

Six kills in an ordinary run, sixty with HUSHWALK_FULL_CHECKS; as many reloads in between. The network is cut off.
"""

import contextlib
import os
import random
import shutil
import signal
import subprocess
import time
from pathlib import Path

import pytest
from playwright.sync_api import Page, Playwright

BROWSER = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")
KILLS = 60 if os.environ.get("HUSHWALK_FULL_CHECKS") else 6
NO_NETWORK = ("--host-resolver-rules=MAP * ~NOTFOUND", "--proxy-server=127.0.0.1:9", "--disable-background-networking")
NO_COPY = "Object.defineProperty(window, 'localStorage', { get() { throw new Error('no'); } })"
"""The copy that the page keeps besides its database is taken away: the database alone must do."""
START_S = 40.0


class OwnBrowser:
    """A Chromium that this test started itself, in a process group of its own, so that it can be killed at once."""

    def __init__(self, program: str, profile: Path) -> None:
        profile.mkdir(exist_ok=True)
        port_file = profile / "DevToolsActivePort"
        port_file.unlink(missing_ok=True)
        words = ["--headless=new", "--no-sandbox", "--disable-gpu", "--no-first-run", "--remote-debugging-port=0"]
        self.process = subprocess.Popen(
            [program, *words, *NO_NETWORK, f"--user-data-dir={profile}", "about:blank"],
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
            start_new_session=True,
        )
        until = time.monotonic() + START_S
        while not (port_file.is_file() and port_file.read_text().count("\n")):
            assert time.monotonic() < until, "the browser does not start"
            time.sleep(0.05)
        self.port = int(port_file.read_text().split()[0])

    def kill(self) -> None:
        """End the browser and its helpers as a dead battery would, without a word."""
        with contextlib.suppress(ProcessLookupError):
            os.killpg(self.process.pid, signal.SIGKILL)
        self.process.wait()


def open_notes(page: Page, address: str) -> None:
    page.goto(address)
    page.wait_for_selector("#notes[data-ready]", state="attached")
    if page.locator("#notes").is_hidden():
        page.click("#take")


def shown(page: Page) -> list[str]:
    return list(reversed(page.locator("#kept span").all_inner_texts()))


def take(page: Page, number: int) -> str:
    """Take a bearing that no other note has, and come back the moment it is shown as kept."""
    before = page.locator("#kept li").count()
    page.fill("#reading", f"{number // 10 % 360:03d}.{number % 10}")
    page.click("#keep")
    page.wait_for_function("n => document.querySelectorAll('#kept li').length > n", arg=before, polling=5)
    words = page.locator("#kept span").first.inner_text()
    assert f"{number // 10 % 360:03d}" in words
    return words


@pytest.mark.skipif(BROWSER is None, reason="no Chromium on this machine")
def test_no_note_is_lost(play: Playwright, address: str, tmp_path: Path) -> None:
    kept: list[str] = []
    number = 0
    rng = random.Random(7)  # noqa: S311 - when to kill
    for _ in range(KILLS):
        browser = OwnBrowser(BROWSER, tmp_path / "profile")
        try:
            context = play.chromium.connect_over_cdp(f"http://127.0.0.1:{browser.port}").contexts[0]
            context.add_init_script(NO_COPY)
            page = context.pages[0]
            open_notes(page, address)
            assert shown(page) == kept
            for _ in range(rng.randint(1, 3)):
                number += 1
                kept.append(take(page, number))
            page.reload()
            open_notes(page, address)
            assert shown(page) == kept
            number += 1
            kept.append(take(page, number))
        finally:
            browser.kill()
    assert len(kept) >= 2 * KILLS
