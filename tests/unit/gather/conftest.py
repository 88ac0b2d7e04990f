"""The made country on a loopback server, and a way to gather from it without waiting."""

import importlib.util
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest

from hushwalk.gather.services import OWN_TABLE
from hushwalk.gather.square import square_round
from hushwalk.gather.story import Gathered, GatherParams, gather
from hushwalk.gather.transport import AskParams

HURRY = AskParams(contact="tests@example.org", tries=3, backoff_s=0.0, busy_s=0.0)
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


@pytest.fixture
def services_at(made: ModuleType, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Callable[..., Any]]:
    """Start the services for a place such as "us"; every address leads to them; answers are kept in a new folder."""
    running = []

    def start(place: str | tuple[float, float], more: str = "") -> Any:
        context = made.made_services(made.PLACES[place] if isinstance(place, str) else place)
        running.append(context)
        server = context.__enter__()
        monkeypatch.setenv(OWN_TABLE, str(server.table(tmp_path, more)))
        monkeypatch.setenv("HUSHWALK_ANSWERS", str(tmp_path / "answers"))
        return server

    yield start
    for context in running:
        context.__exit__(None, None, None)


@pytest.fixture
def gathered_at(tmp_path: Path) -> Callable[..., Gathered]:
    """Gather some kinds of layer of a small square round the place of the services."""

    def run(
        server: Any, *only: str, ask: AskParams = HURRY, refresh: tuple[str, ...] = (), half_m: float = HALF_M
    ) -> Gathered:
        box = square_round(*server.place, half_m)
        return gather(tmp_path / "trip", box, GatherParams(ask, refresh, only))

    return run
