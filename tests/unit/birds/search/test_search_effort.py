"""Where the minutes of a search find most: against brute force over sets, orders and pieces of ground."""

from itertools import combinations, permutations

import numpy as np
import pytest

from hushwalk.birds.search.search_effort import EffortParams, Likelihood, Orders, grown, plan_effort, spread_effort

PARAMS = EffortParams(sweep_m=9.6, strip_m=12.0, pace_ms=0.42, minutes_at_log=0, ring_m2=400.0)


def a_bird(name: str, middle: tuple[float, float], sd_m: float, share: float = 1.0) -> Likelihood:
    axis = np.arange(-200.0, 201.0, 20.0)
    xy = np.stack(np.meshgrid(axis + middle[0], axis + middle[1]), axis=-1).reshape(-1, 2)
    chance = np.exp(-((xy - middle) ** 2).sum(axis=1) / (2 * sd_m**2))
    return Likelihood(name, xy, share * chance / chance.sum(), 20.0)


def straight(a: tuple[float, float], b: tuple[float, float]) -> float:
    return float(np.hypot(a[0] - b[0], a[1] - b[1])) / 0.5


def test_ground_grows_in_one_piece_from_the_likeliest_cell() -> None:
    bird = a_bird("B1", (0.0, 0.0), 60.0)
    order = grown(bird)
    assert order[0] == np.argmax(bird.chance)
    assert sorted(order) == list(range(len(bird.chance)))
    assert grown(bird, 7).tolist() == order[:7].tolist()
    known = Orders()
    assert [known(bird, n).tolist() for n in (7, 12, 5)] == [order[:n].tolist() for n in (7, 12, 5)]
    for k in range(1, 60):
        near = np.abs(bird.xy_m[order[:k]] - bird.xy_m[order[k]]).sum(axis=1)
        assert near.min() == pytest.approx(20.0)


def test_the_time_goes_where_it_finds_most() -> None:
    birds = [a_bird("B1", (0.0, 0.0), 30.0), a_bird("B2", (500.0, 0.0), 90.0)]
    orders = [grown(b) for b in birds]
    budget = 12 * PARAMS.ring_s + 1.0
    efforts = spread_effort(birds, orders, [0, 1], budget, PARAMS)
    gained = sum(e.chance for e in efforts)
    masses = [b.chance[o] for b, o in zip(birds, orders, strict=True)]
    q = PARAMS.once
    best = max(
        q * (masses[0][:a].sum() + masses[1][:c].sum()) + q * (1 - q) * (masses[0][:b].sum() + masses[1][:d].sum())
        for a in range(13)
        for b in range(a + 1)
        for c in range(13 - a - b)
        for d in range(c + 1)
        if a + b + c + d <= 12
    )
    assert gained == pytest.approx(best, rel=1e-9)
    assert sum(e.seconds for e in efforts) <= budget


def test_the_best_spot_is_walked_twice_before_a_thin_rim_is_walked_once() -> None:
    bird = a_bird("B1", (0.0, 0.0), 25.0)
    (effort,) = spread_effort([bird], [grown(bird)], [0], 30 * PARAMS.ring_s, PARAMS)
    assert len(effort.cells) == 2
    assert 0 < effort.cells[1] < effort.cells[0]


def test_sets_and_order_are_the_best_of_all() -> None:
    rng = np.random.default_rng(5)
    for _ in range(8):
        birds = [
            a_bird(f"B{k}", tuple(rng.uniform(-900, 900, 2)), float(rng.uniform(25, 90)), float(rng.uniform(0.4, 1)))
            for k in range(4)
        ]
        budget = float(rng.uniform(2500, 7000))
        efforts = plan_effort(birds, (0.0, 0.0), (100.0, 0.0), budget, straight, PARAMS)
        orders = [grown(b) for b in birds]
        spots = [tuple(b.xy_m[o[0]]) for b, o in zip(birds, orders, strict=True)]
        best = 0.0
        for size in range(1, 5):
            for chosen in combinations(range(4), size):
                walk = min(
                    sum(straight(a, b) for a, b in zip(((0.0, 0.0), *way), (*way, (100.0, 0.0)), strict=True))
                    for way in (tuple(spots[i] for i in order) for order in permutations(chosen))
                )
                if walk < budget:
                    some = spread_effort(birds, orders, chosen, budget - walk, PARAMS)
                    best = max(best, sum(e.chance for e in some))
        assert sum(e.chance for e in efforts) == pytest.approx(best, abs=1e-9)


def no_way(*_: tuple[float, float]) -> float:
    return float(np.inf)


def test_no_time_and_no_way_search_nothing() -> None:
    birds = [a_bird("B1", (0.0, 0.0), 30.0)]
    assert plan_effort(birds, (0.0, 500.0), (0.0, 500.0), 60.0, straight, PARAMS) == []
    assert plan_effort(birds, (0.0, 500.0), (0.0, 500.0), 9000.0, no_way, PARAMS) == []
