"""Kouffeld, Larson and Gutierrez 2013, Journal of Wildlife Management: 290 and 230 males on 5,349 ha in two springs
at the peak of the cycle (5.42 and 4.30 per 100 ha, difference -0.0112/ha inside the printed -0.024 to -0.005);
density against evenness of cover types r = +0.43 (abstract)."""

import numpy as np
import pytest

from hushwalk.grid.grid import Grid
from hushwalk.grid.layer import Layer
from hushwalk.habitat.density import density
from hushwalk.habitat.ingredients import mixture
from hushwalk.habitat.suitability import SurfaceParams, suitability
from hushwalk.site.species import read_card

GRID = Grid(32615, 0.0, 0.0, 50.0, 40, 40)
COUNTED = (290 / 53.49, 230 / 53.49)  # per km2


def test_what_was_counted() -> None:
    assert (round(COUNTED[0], 2), round(COUNTED[1], 2)) == (5.42, 4.30)
    assert -0.024 < (230 - 290) / 5_349 < -0.005


def test_the_worked_landscape_of_the_reference_notes_gives_six_point_nine_and_brackets_the_counts() -> None:
    """30 % young aspen (q .8), 30 % older aspen (.4), 20 % hardwood (.2), 20 % pine (.05): Q 0.41, L 0.95."""
    card = read_card("ruffed_grouse")
    quality = np.random.default_rng(1).permutation(np.repeat([0.8, 0.4, 0.2, 0.05], [480, 480, 320, 320]))
    cover = Layer("quality", "1", GRID, quality.reshape(GRID.shape))
    share = Layer("share", "1", GRID, np.full(GRID.shape, 0.18))  # scores 0.9, so that L = 0.5 + 0.5 x 0.9
    needs = [need for need in card.needs("lake_states") if need.key in {"cover_quality", "landscape_share"}]
    everywhere = SurfaceParams(home_radius_m=1e5, floor=card.surface.floor)
    surface = suitability(needs, {"cover_quality": cover, "landscape_share": share}, everywhere)
    assert surface.home.values == pytest.approx(0.41)
    assert surface.lifted.values == pytest.approx(0.95)
    males = density(surface.layer, card.density("lake_states", "peak"))
    assert males.middle.values == pytest.approx(6.9, abs=0.05)
    for counted in COUNTED:
        assert males.low.values.mean() < counted < males.high.values.mean()


def test_ground_without_a_cover_layer_is_taken_as_what_they_counted_on_average() -> None:
    quality = read_card("ruffed_grouse").needs("lake_states")[0]
    best = read_card("ruffed_grouse").density("lake_states", "peak").middle_per_km2
    assert quality.when_absent == pytest.approx(COUNTED[0] / best, abs=0.01)


def test_density_rises_with_evenness() -> None:
    card = read_card("ruffed_grouse")
    need = next(n for n in card.needs("lake_states") if n.key == "mixture")
    kinds = {14: "aspen", 16: "hardwood", 21: "conifer"}
    even = np.random.default_rng(2).choice([14.0, 16.0, 21.0], GRID.shape)
    uneven = np.where(np.random.default_rng(2).random(GRID.shape) < 0.9, 14.0, 21.0)
    mixed, plain = (
        mixture(Layer("cover", "class", GRID, codes), kinds, 1_000.0).values.mean() for codes in (even, uneven)
    )
    assert need.weight > 0
    assert need.curve(mixed) > need.curve(plain)
