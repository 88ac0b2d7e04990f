"""The published numbers that the sound science needs, read once from data/tables/sound.toml.

The formulas that use them live in sound_*.py, hearing_threshold.py and detection.py.
"""

import tomllib
from functools import cache
from importlib.resources import files
from typing import Any

import numpy as np

from hushwalk.types import FloatArray


@cache
def sound_table(name: str) -> dict[str, Any]:
    """Give one table of data/tables/sound.toml.

    Parameters
    ----------
    name : such as ``"foliage"``.

    Returns
    -------
    dict
        Its entries as they stand there, each with its ``source``.

    Examples
    --------
    >>> sound_table("foliage")["per_m_db"][0]
    0.02
    """
    path = files("hushwalk") / "data" / "tables" / "sound.toml"
    table: dict[str, Any] = tomllib.loads(path.read_text(encoding="utf-8"))[name]
    return table


def between_bands(bands_hz: FloatArray, table_hz: FloatArray, table_db: FloatArray) -> FloatArray:
    """Read a table at other bands, straight along the logarithm of frequency; flat beyond its ends.

    Parameters
    ----------
    bands_hz : shape (n,) wanted [Hz].
    table_hz, table_db : shape (m,) as printed [Hz], [dB].

    Returns
    -------
    ndarray, shape (n,)
    """
    found: FloatArray = np.interp(np.log2(bands_hz), np.log2(table_hz), table_db)
    return found
