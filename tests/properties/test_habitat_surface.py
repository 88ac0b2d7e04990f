"""What must hold of the suitability over any ground; directions as published, see the reference beside each."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from hushwalk.grid.grid import Grid
from hushwalk.grid.layer import Layer
from hushwalk.habitat.density import density
from hushwalk.habitat.ingredients import cover_quality, mixture, share_of_kinds, where_kinds
from hushwalk.habitat.suitability import Suitability, SurfaceParams, suitability
from hushwalk.science.blending import compensating_mean, lift, limiting_product
from hushwalk.site.reading.cover_kinds import cover_kinds, kinds_by_key
from hushwalk.site.species import SpeciesCard, read_card

GRID = Grid(32615, 0.0, 0.0, 30.0, 24, 24)
CARD = read_card("ruffed_grouse")
CODE = {key: kind.code for key, kind in kinds_by_key().items()}
WOODS = [
    "aspen",
    "pine",
    "northern_hardwood",
    "young_forest",
    "alder_swamp",
    "grassland",
    "open_water",
    "upland_conifer",
]
unit = st.floats(0, 1)
seeds = st.integers(0, 2**32 - 1)
quick = settings(max_examples=20, deadline=None)


def landscape(seed: int) -> NDArray[np.float64]:
    """Random stands of random kinds, three cells wide."""
    rng = np.random.default_rng(seed)
    share = rng.dirichlet(np.ones(len(WOODS)))
    stands = rng.choice([CODE[key] for key in WOODS], (8, 8), p=share)
    return np.kron(stands, np.ones((3, 3)))


def judged(
    codes: NDArray[np.float64], region: str = "lake_states", card: SpeciesCard = CARD, **more: Layer
) -> Suitability:
    cover = Layer("cover", "class", GRID, codes)
    usual, best = card.cover_quality(region)
    groups = {code: kind.group for code, kind in cover_kinds().items() if kind.group not in {"water", "built", "bare"}}
    conifer = {code: kind.conifer_share for code, kind in cover_kinds().items() if kind.group not in {"", "water"}}
    ingredients = {
        "cover_quality": cover_quality(cover, usual, best, *(more[key] for key in ("stand_age",) if key in more)),
        "landscape_share": share_of_kinds(cover, card.landscape_shares(region), card.radii.landscape_m, "aspen"),
        "mixture": mixture(cover, groups, card.radii.mixture_m),
        "conifer_share": share_of_kinds(cover, conifer, card.radii.conifer_m, "conifer"),
    } | {key: where_kinds(layer, cover, frozenset(best)) for key, layer in more.items()}
    return suitability(card.needs(region), ingredients, card.surface)


def males(made: Suitability, region: str = "lake_states") -> float:
    return density(made.layer, CARD.density(region, "unknown")).males()[1]


@quick
@given(st.lists(st.tuples(unit, st.floats(0, 3)), min_size=1, max_size=5), st.data())
def test_a_better_score_never_makes_a_worse_product_or_mean(
    pairs: list[tuple[float, float]], data: st.DataObject
) -> None:
    scores, weights = [p[0] for p in pairs], [p[1] for p in pairs]
    which = data.draw(st.integers(0, len(pairs) - 1))
    better = [*scores]
    better[which] = data.draw(st.floats(scores[which], 1))
    assert limiting_product(better, weights) >= limiting_product(scores, weights)
    if sum(weights) > 1e-6:
        assert compensating_mean(better, weights) >= compensating_mean(scores, weights) - 1e-12


@quick
@given(st.lists(unit, min_size=2, max_size=5), st.data())
def test_leaving_out_a_need_that_scores_the_mean_of_the_others_changes_nothing(
    scores: list[float], data: st.DataObject
) -> None:
    weights = data.draw(st.lists(st.floats(0.1, 3), min_size=len(scores), max_size=len(scores)))
    mean = float(compensating_mean(scores, weights))
    assert compensating_mean([*scores, mean], [*weights, 1.0]) == pytest.approx(mean)
    assert compensating_mean([*scores, np.nan], [*weights, 1.0]) == pytest.approx(mean)
    assert 0 <= lift(mean, 0.3) <= 1


@quick
@given(seeds)
def test_suitability_lies_between_nothing_and_all_and_water_holds_nobody(seed: int) -> None:
    codes = landscape(seed)
    made = judged(codes)
    assert made.layer.known.all()
    assert ((made.layer.values >= 0) & (made.layer.values <= 1)).all()
    assert (made.layer.values[codes == CODE["open_water"]] == 0).all()
    assert (made.layer.values[codes == CODE["aspen"]] > 0).all()


@quick
@given(seeds, st.integers(0, 7), st.integers(0, 7))
def test_more_young_forest_never_lowers_the_ground_of_a_home_range(seed: int, row: int, col: int) -> None:
    """Wiggers and others 1992: only hardwood regeneration of 7 to 15 years goes with density."""
    codes = landscape(seed)
    more = codes.copy()
    more[3 * row : 3 * row + 3, 3 * col : 3 * col + 3] = CODE["aspen"]
    young = Layer("age", "a", GRID, np.full(GRID.shape, 10.0))
    before, after = judged(codes, stand_age=young).home.values, judged(more, stand_age=young).home.values
    assert (after >= before - 1e-12).all()


@quick
@given(seeds)
def test_swapping_aspen_for_pine_lowers_the_males_in_every_region(seed: int) -> None:
    """Mehls and others 2014: aspen sought, ponderosa avoided at 400 and 4,800 m; pine lowest of all in Wisconsin."""
    codes = landscape(seed)
    swapped = np.where(codes == CODE["aspen"], CODE["pine"], codes)
    for region in CARD.file.region:
        before, after = males(judged(codes, region), region), males(judged(swapped, region), region)
        assert after < before or (codes == swapped).all()


@quick
@given(seeds)
def test_a_canopy_of_eighty_per_cent_beats_one_of_forty(seed: int) -> None:
    """Wiggers and others 1992: 70 to 89 % is best."""
    codes = landscape(seed)
    dense, thin = (Layer("canopy", "%", GRID, np.full(GRID.shape, percent)) for percent in (80.0, 40.0))
    woods = np.isin(codes, [code for code, kind in cover_kinds().items() if kind.forest])
    better, worse = judged(codes, canopy_cover=dense), judged(codes, canopy_cover=thin)
    assert (better.local.values[woods] > worse.local.values[woods]).all()
    assert (better.local.values[~woods] == worse.local.values[~woods]).all()


@quick
@given(seeds)
def test_a_stand_in_its_prime_beats_an_old_one(seed: int) -> None:
    """Kubisiak 1985: 7.2 males per 100 acres in aspen of 6 to 10 years, 4.1 in aspen of all ages."""
    codes = landscape(seed)
    prime, unknown = judged(codes, stand_age=Layer("age", "a", GRID, np.full(GRID.shape, 8.0))), judged(codes)
    aspen = codes == CODE["aspen"]
    assert prime.local.values[aspen] == pytest.approx(unknown.local.values[aspen] / CARD.file.cover.age_unknown)


def test_conifers_near_the_log_count_against_it_in_minnesota_and_not_in_wyoming() -> None:
    """Michigan Tech thesis 1376: away from canopy conifers; Buhler and Anderson 2001: more of them at the logs."""
    curves = {
        region: next(n.curve for n in CARD.needs(region) if n.key == "conifer_share")
        for region in ("lake_states", "northern_rockies")
    }
    assert curves["lake_states"](0.1) > curves["lake_states"](0.4)
    assert curves["northern_rockies"](0.1) < curves["northern_rockies"](0.4)


@quick
@given(seeds, st.floats(0, 200))
def test_averaging_over_the_home_range_makes_no_male_out_of_nothing(seed: int, radius_m: float) -> None:
    """With nothing worthless on the ground, the mean over discs keeps the level of plain ground."""
    codes = np.full(GRID.shape, float(np.random.default_rng(seed).choice([CODE["aspen"], CODE["pine"]])))
    usual, best = CARD.cover_quality("lake_states")
    quality = cover_quality(Layer("cover", "class", GRID, codes), usual, best)
    need = CARD.needs("lake_states")[0]
    made = suitability([need], {"cover_quality": quality}, SurfaceParams(radius_m, 0.5))
    assert made.layer.values == pytest.approx(quality.values)
