"""The bird of the species card, level ground, and a ridge on it."""

import tomllib
from importlib.resources import files
from typing import Any

import numpy as np
import pytest

from hushwalk.grid.grid import Grid
from hushwalk.grid.layer import Layer
from hushwalk.hearing.availability import Display, display_from_card
from hushwalk.hearing.call import Call, call_from_card


@pytest.fixture(scope="session")
def card() -> dict[str, Any]:
    text = (files("hushwalk") / "data" / "species" / "ruffed_grouse.toml").read_text(encoding="utf-8")
    return tomllib.loads(text)


@pytest.fixture(scope="session")
def call(card: dict[str, Any]) -> Call:
    return call_from_card(card)


@pytest.fixture(scope="session")
def display(card: dict[str, Any]) -> Display:
    return display_from_card(card)


@pytest.fixture(scope="session")
def flat() -> Layer:
    grid = Grid(32615, 500_000.0, 5_200_000.0, 10.0, 61, 161)
    return Layer("elevation", "m", grid, np.full(grid.shape, 300.0))
