"""Bergh and Andersen, American Woodcock Symposium 11: effective radius 198 m in forest, 384 m in field, 309 m in both,
printed with areas of 12.3, 46.3 and 30.0 ha (abstract)."""

from math import pi

import pytest

from hushwalk.trip.species import read_card


@pytest.mark.parametrize(("where", "area_ha"), [("forest", 12.3), ("field", 46.3), ("both", 30.0)])
def test_radii_of_the_card_give_the_printed_areas(where: str, area_ha: float) -> None:
    radius_m = read_card("american_woodcock")["territory"][f"effective_radius_{where}_m"]
    assert pi * radius_m**2 / 1e4 == pytest.approx(area_ha, abs=0.05)
