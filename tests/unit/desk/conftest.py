"""Lets each test here run a loop of its own, whatever the browser tests of the same process have left running.

Playwright's plain interface keeps a loop in the main thread between its calls; asyncio refuses a second one.
"""

import asyncio
from collections.abc import Iterator

import pytest


@pytest.fixture(autouse=True)
def _no_loop_is_running() -> Iterator[None]:
    running = asyncio._get_running_loop()
    asyncio._set_running_loop(None)
    yield
    asyncio._set_running_loop(running)
