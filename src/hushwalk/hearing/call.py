"""The display as a sound source: its level by band one metre away and how high it is made.

When and how often a male displays lives in availability.py.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from hushwalk.errors import SettingsError
from hushwalk.types import FloatArray

LOWEST_HZ, HIGHEST_HZ = 40.0, 8000.0
"""The bands that the numbers of ground, foliage and ear cover."""


@dataclass(frozen=True)
class Call:
    """One display as it leaves the bird.

    Parameters
    ----------
    name : what the display is called, such as ``"drum"``.
    bands_hz : nominal third-octave bands, rising, within 40..8000 [Hz].
    level_at_1m_db : free-field level one metre away in each band [dB re 20 uPa].
    height_m : of the source above the ground [m].
    duration_s : of one display [s].

    Raises
    ------
    SettingsError
        If a number cannot be.
    """

    name: str
    bands_hz: tuple[float, ...]
    level_at_1m_db: tuple[float, ...]
    height_m: float
    duration_s: float

    def __post_init__(self) -> None:
        if not self.bands_hz or len(self.bands_hz) != len(self.level_at_1m_db):
            raise SettingsError(
                f"call {self.name!r} has {len(self.bands_hz)} bands_hz and {len(self.level_at_1m_db)} "
                "level_at_1m_db; give one level for each band"
            )
        if list(self.bands_hz) != sorted(set(self.bands_hz)):
            raise SettingsError(f"call {self.name!r}: bands_hz must rise, got {list(self.bands_hz)}")
        if self.bands_hz[0] < LOWEST_HZ or self.bands_hz[-1] > HIGHEST_HZ:
            raise SettingsError(
                f"call {self.name!r}: bands_hz reach from {self.bands_hz[0]:g} to {self.bands_hz[-1]:g} Hz, but the "
                f"losses on the way and the ear are known from {LOWEST_HZ:g} to {HIGHEST_HZ:g} Hz only"
            )
        if not (self.height_m >= 0 and self.duration_s > 0 and np.all(np.isfinite(self.level_at_1m_db))):
            raise SettingsError(f"call {self.name!r} needs height_m >= 0, duration_s > 0 and finite levels")

    @property
    def bands(self) -> FloatArray:
        """Bands as an array, shape (n,) [Hz]."""
        return np.array(self.bands_hz, dtype=float)

    @property
    def levels(self) -> FloatArray:
        """Levels at 1 m as an array, shape (n,) [dB]."""
        return np.array(self.level_at_1m_db, dtype=float)


def card_table(card: Mapping[str, Any], *path: str) -> Mapping[str, Any]:
    """Find a table of a species card.

    Parameters
    ----------
    card : the card as read from its TOML file.
    path : such as ``"display", "season"``.

    Raises
    ------
    SettingsError
        If the card does not hold it.
    """
    entry: Any = card
    for word in path:
        entry = entry.get(word) if isinstance(entry, Mapping) else None
    if not isinstance(entry, Mapping):
        raise SettingsError(f"species card {card.get('name', '')!r} holds no table [{'.'.join(path)}]; add it")
    return entry


def card_value(card: Mapping[str, Any], *path: str) -> Any:  # noqa: ANN401 - a card holds numbers, words and lists
    """Find one value of a species card.

    Parameters
    ----------
    card : the card as read from its TOML file.
    path : tables and key, such as ``"sound", "height_m"``.

    Raises
    ------
    SettingsError
        If the card does not hold it.
    """
    table = card_table(card, *path[:-1])
    if path[-1] not in table:
        raise SettingsError(
            f"species card {card.get('name', '')!r} lacks {path[-1]!r} in [{'.'.join(path[:-1])}]; add it"
        )
    return table[path[-1]]


def call_from_card(card: Mapping[str, Any]) -> Call:
    """Read the call of a species card.

    Parameters
    ----------
    card : the card with its table ``[sound]``: call, bands_hz, level_at_1m_db, height_m, duration_s.

    Raises
    ------
    SettingsError
        If a key is missing or cannot be.
    """
    try:
        return Call(
            name=str(card_value(card, "sound", "call")),
            bands_hz=tuple(float(f) for f in card_value(card, "sound", "bands_hz")),
            level_at_1m_db=tuple(float(level) for level in card_value(card, "sound", "level_at_1m_db")),
            height_m=float(card_value(card, "sound", "height_m")),
            duration_s=float(card_value(card, "sound", "duration_s")),
        )
    except TypeError as fault:
        raise SettingsError(f"species card {card.get('name', '')!r}, [sound]: {fault}") from None
