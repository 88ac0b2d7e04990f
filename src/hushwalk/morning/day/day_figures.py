"""Figures of a day that is played, read once from data/tables/day.toml.

What they are used for is said at each function; where they come from stands in the table itself.
"""

import tomllib
from functools import cache
from importlib.resources import files

import numpy as np

from hushwalk.notes.figures import figure
from hushwalk.types import FloatArray


@cache
def _table() -> dict[str, dict[str, float | list[float] | str]]:
    path = files("hushwalk") / "data" / "tables" / "day.toml"
    return tomllib.loads(path.read_text(encoding="utf-8"))


def day_figure(section: str, key: str) -> float:
    """Give one figure of the table.

    Examples
    --------
    >>> day_figure("closing_in", "step_m")
    80.0
    """
    value = _table()[section][key]
    assert isinstance(value, int | float)  # noqa: S101 - our own table
    return float(value)


def closing_in_curve() -> tuple[FloatArray, FloatArray]:
    """Distances judged when a try begins [m], and the chance of each to reach the bird."""
    near, mid, far = (figure("closing_in", f"{name}_chance") for name in ("near", "mid", "far"))
    return np.array(_table()["closing_in"]["judged_m"], dtype=float), np.array([near, mid, far, far, far / 2])
