"""The made country on a loopback server, and a way to gather from it without waiting."""

import importlib.util
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest
from pytest_httpserver import HTTPServer

from hushwalk.gather.services import OWN_TABLE
from hushwalk.gather.square import square_round
from hushwalk.gather.story import Gathered, GatherParams, gather
from hushwalk.gather.transport import AskParams

HURRY = AskParams(contact="tests@example.org", tries=3, backoff_s=0.01, busy_s=0.0)
HALF_M = 900.0


@pytest.fixture(scope="session")
def made() -> ModuleType:
    """The module of the made country."""
    spec = importlib.util.spec_from_file_location("made_services", Path(__file__).parents[2] / "made_services.py")
    assert spec
    assert spec.loader
    module = importlib.util.module_from_spec(spec)
    sys.modules["made_services"] = module
    spec.loader.exec_module(module)
    return module


@pytest.fixture(scope="session")
def loopback() -> Iterator[HTTPServer]:
    """One server for all tests: to end one takes half a second."""
    with HTTPServer(host="127.0.0.1", threaded=True) as server:
        yield server


@pytest.fixture
def services_at(
    made: ModuleType, loopback: HTTPServer, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> Callable[..., Any]:
    """Start the services for a place such as "us"; every address leads to them; answers are kept in a new folder."""

    def start(place: str, more: str = "") -> Any:
        loopback.clear()
        server = made.MadeServices(loopback, made.PLACES[place])
        monkeypatch.setenv(OWN_TABLE, str(server.table(tmp_path, more)))
        monkeypatch.setenv("HUSHWALK_ANSWERS", str(tmp_path / "answers"))
        return server

    return start


@pytest.fixture
def gathered_at(tmp_path: Path) -> Callable[..., Gathered]:
    """Gather some kinds of layer of a small square round the place of the services."""

    def run(
        server: Any, *only: str, ask: AskParams = HURRY, refresh: tuple[str, ...] = (), half_m: float = HALF_M
    ) -> Gathered:
        box = square_round(*server.place, half_m)
        return gather(tmp_path / "trip", box, GatherParams(ask, refresh, only))

    return run
