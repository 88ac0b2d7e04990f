"""Published distances of drumming ruffed grouse, which disagree by three to five times.

Petraborg et al. 1953: 201 m "characteristic"; Sumanik 1966 in Archibald 1974: 201 to 402 m or more; the continental
point-count models: ln(tau) = 4.48963, an effective radius of 89.1 m for listeners who attend to every species.
"""

import tomllib
from importlib.resources import files

import numpy as np

from hushwalk.hearing.call import call_from_card
from hushwalk.hearing.conditions import CALM
from hushwalk.hearing.level_soundscape import LevelSoundscape
from hushwalk.hearing.listener import Listener

CARD = tomllib.loads((files("hushwalk") / "data" / "species" / "ruffed_grouse.toml").read_text(encoding="utf-8"))
CALL = call_from_card(CARD)
FAR_M = np.arange(5.0, 1500.0, 1.0)


def median_m(listener: Listener) -> float:
    return float(FAR_M[np.argmin(np.abs(LevelSoundscape(CALM, CALL, listener).chance(FAR_M, 0.25) - 0.5))])


def test_a_focal_listener_hears_most_drums_at_201_m_and_some_at_402_m() -> None:
    near, far = LevelSoundscape(CALM, CALL, Listener()).chance(np.array([201.0, 402.0]), 0.25)
    assert near > 0.5 > far > 0.2
    assert 201 < median_m(Listener()) < 402


def test_the_pessimistic_listener_is_the_one_of_the_point_counts() -> None:
    tau = np.exp(4.48963)
    half = tau * np.sqrt(np.log(2))  # where exp(-r^2/tau^2) is a half
    assert abs(median_m(Listener(evidence="pessimistic")) / half - 1) < 0.05
