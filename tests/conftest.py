"""What every test may ask for: the folder of real open layers, the demo, and proof that published tests ran."""

import ipaddress
import os
import socket
from importlib import import_module
from pathlib import Path
from typing import Any

import pytest

ROOT = Path(__file__).resolve().parent.parent
os.environ |= dict.fromkeys(("http_proxy", "https_proxy", "HTTP_PROXY", "HTTPS_PROXY"), "http://127.0.0.1:9")
os.environ |= {"no_proxy": "127.0.0.1,localhost", "NO_PROXY": "127.0.0.1,localhost"}
os.environ.setdefault("HUSHWALK_CACHE", "off")  # a test works everything out anew, unless it asks for kept steps


_connect = socket.socket.connect


def _loopback_only(self: socket.socket, address: Any) -> None:
    """No test leaves this machine; what is no socket of Python's is sent to a proxy that is not there."""
    if self.family in {socket.AF_INET, socket.AF_INET6}:
        host = address[0].partition("%")[0]
        if host != "localhost" and not ipaddress.ip_address(host).is_loopback:
            raise PermissionError(f"a test asks {address}, beyond this machine")
    _connect(self, address)


socket.socket.connect = _loopback_only  # type: ignore[method-assign, assignment]


def _shared_data() -> Path:
    return Path(os.environ.get("HUSHWALK_SHARED_DATA", ROOT.parent / "shared" / "data"))


@pytest.fixture(scope="session")
def shared_data() -> Path:
    """The real open layers and benchmark instances that lie beside the checkout."""
    folder = _shared_data()
    if not folder.is_dir():
        pytest.skip("the folder of real open layers is not beside the checkout")
    return folder


@pytest.fixture(scope="session")
def demo_folder() -> Path:
    return ROOT / "data_demo"


@pytest.fixture(scope="session")
def demo_report(demo_folder: Path) -> Any:
    """The demo, planned once; tests that look at it stand in one group, so that only one process plans it."""
    story, trip = (import_module(f"hushwalk.{name}") for name in ("morning.story", "site.trip_file"))
    params = story.RunParams(search_s=None, iterations=1500, proof_s=0.0)
    return story.plan_morning(trip.read_trip(demo_folder / "trip.toml"), params)


@pytest.hookimpl(tryfirst=True)  # before the runner in several processes reads the groups
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    for item in items:
        part = Path(item.path).relative_to(ROOT / "tests").parts[0]
        if part == "browser":
            item.add_marker("browser")
            if item.get_closest_marker("xdist_group") is None:
                item.add_marker(pytest.mark.xdist_group("browser"))
        if part == "speed":
            item.add_marker("speed")


def pytest_collection_finish(session: pytest.Session) -> None:
    """A plan that many tests look at is made once only if they run in one process, so the groups must be heeded."""
    grouped = [item for item in session.items if item.get_closest_marker("xdist_group")]
    if getattr(session.config.option, "loadgroup", False) and not all("@" in item.nodeid for item in grouped):
        raise pytest.UsageError("the groups of tests are lost: pytest and pytest-xdist do not fit each other")


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """A published check that was skipped although its data is here is told, so that it cannot rot."""
    published = [r for r in terminalreporter.stats.get("passed", []) if "tests/published/" in r.nodeid]
    skipped = [r for r in terminalreporter.stats.get("skipped", []) if "tests/published/" in r.nodeid]
    if published or skipped:
        terminalreporter.write_line(f"published checks: {len(published)} ran, {len(skipped)} skipped")
