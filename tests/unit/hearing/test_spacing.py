from dataclasses import replace

import numpy as np
import pytest

from hushwalk.errors import InputError, SettingsError
from hushwalk.grid.layer import Layer
from hushwalk.hearing.acoustic_ground import AcousticGround
from hushwalk.hearing.availability import Display
from hushwalk.hearing.call import Call
from hushwalk.hearing.conditions import CALM
from hushwalk.hearing.listener import Listener
from hushwalk.hearing.soundscape import FootprintParams, Soundscape
from hushwalk.hearing.spacing import SpacingParams, distance_curve, spacing_advice
from hushwalk.wording.morning_words import spacing_sentence

FAR_M = np.arange(0.0, 1500.0, 5.0)

# A simulation of 400 000 birds apart from this code, 10 stops in line, 5 min, 5 males per km2, half-normal hearing,
# half of the males displaying at random times without pauses:
# half distance [m], spacing [m], males, per hour, heard twice per hour; it agrees with integration within 0.05
SIMULATED = [
    (300, 150, 4.04, 3.15, 1.58), (300, 200, 4.52, 3.16, 1.38), (300, 300, 5.43, 3.13, 1.00),
    (300, 400, 5.98, 2.94, 0.63), (300, 800, 7.18, 2.22, 0.07), (170, 100, 1.39, 1.22, 0.58),
    (170, 200, 1.83, 1.28, 0.34), (170, 300, 2.10, 1.21, 0.15), (75, 150, 0.43, 0.33, 0.03),
]  # fmt: skip


def half_normal(half_m: float) -> np.ndarray:
    """Chance by distance that falls to a half at half_m."""
    scale_m = half_m / 1.17741
    return np.exp(-(FAR_M**2) / (2 * scale_m**2))


@pytest.mark.parametrize(("half_m", "spacing_m", "males", "per_hour", "twice"), SIMULATED)
def test_a_line_of_stops_hears_what_a_simulation_hears(
    display: Display, half_m: float, spacing_m: float, males: float, per_hour: float, twice: float
) -> None:
    curve = half_normal(half_m)
    display = replace(display, participation=0.5, participation_low=0.3, bout_share=1.0)
    how = SpacingParams(dwell_s=300.0, shortest_m=spacing_m, longest_m=spacing_m)
    found = spacing_advice(FAR_M, curve, display, how)
    assert found.males[0] == pytest.approx(males, abs=0.06)
    assert found.per_hour[0] == pytest.approx(per_hour, abs=0.05)
    assert found.twice_per_hour[0] == pytest.approx(twice, abs=0.05)


def test_the_advice_is_the_best_of_those_tried(display: Display) -> None:
    found = spacing_advice(FAR_M, half_normal(300), display)
    assert found.low_m <= found.spacing_m <= found.high_m
    assert found.per_hour.max() == found.per_hour[list(found.tried_m).index(found.spacing_m)]
    assert found.low_m >= 100
    assert found.high_m <= 400  # from a half to four thirds of the half-distance the curve is flat
    assert f"{found.spacing_m:.0f} m" in spacing_sentence(found)


def test_the_curve_of_a_real_coverage_is_that_of_level_ground(flat: Layer, call: Call) -> None:
    posts = np.array([(500_805.0, 5_199_695.0), (500_605.0, 5_199_695.0)])
    how = FootprintParams(reach_m=280.0, target_cell_m=10.0)
    soundscape = Soundscape(AcousticGround(flat), CALM, call, Listener(), how)
    far, chance = distance_curve(soundscape.coverage(posts), posts, 275.0)
    assert chance == pytest.approx(soundscape.level.chance(far), abs=0.02)


def test_where_nothing_is_heard_there_is_no_advice(display: Display) -> None:
    with pytest.raises(InputError, match="nothing is heard"):
        spacing_advice(FAR_M, np.zeros_like(FAR_M), display)
    with pytest.raises(SettingsError, match="at least 2 stops"):
        SpacingParams(stops=1)
