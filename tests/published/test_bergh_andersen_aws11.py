"""Bergh and Andersen, American Woodcock Symposium 11: effective radius 198 m in forest, 384 m in field, 309 m in both,
printed with areas of 12.3, 46.3 and 30.0 ha (abstract)."""

from math import log, pi, sqrt

import numpy as np
import pytest

from hushwalk.hearing.call import call_from_card
from hushwalk.hearing.conditions import CALM
from hushwalk.hearing.level_soundscape import LevelSoundscape
from hushwalk.hearing.listener import Listener
from hushwalk.site.species import read_card


@pytest.mark.parametrize(("where", "area_ha"), [("forest", 12.3), ("field", 46.3), ("both", 30.0)])
def test_radii_of_the_card_give_the_printed_areas(where: str, area_ha: float) -> None:
    radius_m = read_card("american_woodcock")["territory"][f"effective_radius_{where}_m"]
    assert pi * radius_m**2 / 1e4 == pytest.approx(area_ha, abs=0.05)


def half_m(foliage_factor: float) -> float:
    """Distance at which a call is heard half of the time over level ground [m]."""
    call, far_m = call_from_card(read_card("american_woodcock").raw), np.arange(5.0, 1500.0, 1.0)
    return float(far_m[np.argmin(np.abs(LevelSoundscape(CALM, call, Listener()).chance(far_m, foliage_factor) - 0.5))])


def test_calls_carry_over_fields_as_far_as_counted_and_in_forest_as_found() -> None:
    """A half-normal curve of effective radius r falls to a half at r sqrt(ln 2). The level was set by the field; the
    forest radius was not used for it."""
    assert half_m(0.0) == pytest.approx(384 * sqrt(log(2)), rel=0.02)
    mixed, dense = half_m(0.5), half_m(1.0)
    assert dense < 198 * sqrt(log(2)) < mixed
