"""Kubisiak 1985, Wisconsin DNR Technical Bulletin 151: 7.2 drumming males per 100 acres in aspen of 6 to 10 years,
4.1 in aspen of all ages (abstract)."""

import pytest

from hushwalk.science.habitat_relations import kubisiak_1985_density_per_km2, stand_age_score
from hushwalk.site.species import read_card

ACRE_HA = 0.40468564224  # definition of the international acre


def test_per_hundred_acres_becomes_per_square_kilometre() -> None:
    young, all_ages = kubisiak_1985_density_per_km2()
    assert young == pytest.approx(7.2 / ACRE_HA)
    assert (round(young, 2), round(all_ages, 2)) == (17.79, 10.13)
    assert read_card("ruffed_grouse").density("lake_states", "peak").middle_per_km2 == pytest.approx(young, abs=0.005)


def test_the_age_curve_averages_to_the_published_all_age_share() -> None:
    curve = next(need.curve for need in read_card("ruffed_grouse").needs("lake_states") if need.key == "stand_age")
    mean = curve.mean(0.0, 60.0)
    assert mean == pytest.approx(32.995 / 60)  # trapezoids of the table by hand; the reference notes print 0.549
    assert mean == pytest.approx(4.1 / 7.2, rel=0.05)
    assert read_card("ruffed_grouse").file.cover.age_unknown == pytest.approx(4.1 / 7.2, abs=0.005)


def test_the_plateau_lies_where_it_was_published() -> None:
    assert stand_age_score([6, 8, 10]).tolist() == [1.0, 1.0, 1.0]
    assert (stand_age_score([2, 5, 12, 25, 50]) < 1.0).all()


def test_aspen_stands_far_above_oak_and_alder_beside_it() -> None:
    _, best = read_card("ruffed_grouse").cover_quality("lake_states")
    usual, _ = read_card("ruffed_grouse").cover_quality("lake_states")
    aspen, oak, alder = 14, 17, 27  # codes of data/cover/kinds.csv
    assert best[aspen] >= 3 * best[oak]
    assert usual[alder] >= best[aspen]
