"""The sound budget as people read it."""

import tomllib
from importlib.resources import files

import numpy as np
import pytest

from hushwalk.grid.grid import Grid
from hushwalk.grid.layer import Layer
from hushwalk.hearing.acoustic_ground import AcousticGround
from hushwalk.hearing.call import call_from_card
from hushwalk.hearing.conditions import Conditions
from hushwalk.hearing.listener import Listener
from hushwalk.hearing.sound_budget import SoundBudget
from hushwalk.hearing.soundscape import Soundscape
from hushwalk.wording.sound_words import beaufort_words, budget_table, noise_words

BANDS_HZ = np.array([40.0, 63.0, 100.0])
GRID = Grid(32615, 500_000.0, 5_200_000.0, 10.0, 11, 61)
CARD = tomllib.loads((files("hushwalk") / "data" / "species" / "ruffed_grouse.toml").read_text(encoding="utf-8"))


def budget(heights_m: np.ndarray, foliage: float | None = None, conditions: Conditions | None = None) -> SoundBudget:
    cover = None if foliage is None else Layer("foliage", "1", GRID, np.full(GRID.shape, foliage))
    ground = AcousticGround(Layer("elevation", "m", GRID, np.tile(heights_m, (GRID.n_rows, 1))), cover)
    soundscape = Soundscape(ground, conditions or Conditions(), call_from_card(CARD), Listener())
    return soundscape.path((500_205.0, 5_199_945.0), (500_005.0, 5_199_945.0))


def test_the_table_names_every_term_and_the_chance() -> None:
    found = budget(np.zeros(GRID.n_cols), 0.25, Conditions(wind_at_ear_ms=2.0, snow="old", air="upwind"))
    text = budget_table(found)
    for word in ("spreading", "air", "ground", "snow", "foliage", "terrain", "weather", "needed", "margin", "wind of"):
        assert word in text
    for why in ("over 200 m", "200 m of cover, as 50 m of dense", "nothing in the way", "deep old snow", "upwind"):
        assert why in text
    assert text.splitlines()[-1] == f"Chance to hear one display over 200 m: {100 * found.chance:.0f} %"


@pytest.mark.parametrize(
    ("hills_m", "words"),
    [({10: 20.0}, "one edge, "), ({6: 20.0, 14: 20.0}, "two edges, "), ({10: 1.2}, "barely in the way (")],
)
def test_hills_in_words(hills_m: dict[int, float], words: str) -> None:
    heights = np.zeros(GRID.n_cols)
    for col, height_m in hills_m.items():
        heights[col] = height_m
    text = budget_table(budget(heights))
    assert words in text
    assert "open ground" in text


def test_words_for_what_there_is_to_listen_over() -> None:
    assert noise_words(BANDS_HZ, 0.0, float("nan")).startswith("quiet")
    words = noise_words(BANDS_HZ, 3.0, 60.0)
    assert "light breeze" in words
    assert "60 dB(A)" in words
    assert beaufort_words(0.0).startswith("calm")
    assert beaufort_words(25.0).startswith("fresh")
