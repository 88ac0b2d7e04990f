from datetime import UTC, datetime, timedelta

import numpy as np
import pytest

from hushwalk.birds.credible_ground import credible_ground
from hushwalk.birds.fix import FixParams, find_bird
from hushwalk.birds.posterior import EarshotParams
from hushwalk.birds.search_order import SearchParams, WalkLeg, earliest_search, plan_search, straight_walk
from hushwalk.birds.sweep import sweep_of
from hushwalk.errors import InputError, NoPlanError
from hushwalk.grid.grid import Grid
from hushwalk.grid.layer import Layer
from hushwalk.notes.bearing import Bearing
from hushwalk.science.crossing import azimuth_to
from hushwalk.wording.search_words import left_out_words, search_rules

GRID = Grid(32615, -2000.0, 2000.0, 10.0, 400, 400)
PARAMS = FixParams(earshot=EarshotParams(cell_m=10.0))
NOON = datetime(2027, 4, 25, 16, tzinfo=UTC)


def fix_at(x, y, bird):
    stops = [(x - 200.0, y - 200.0), (x + 200.0, y - 200.0), (x, y + 250.0)]
    taken = [
        Bearing(f"{bird}{i}", s, float(azimuth_to(np.array(s), np.array([x, y]))), 8.0, f"{bird}{i}", bird)
        for i, s in enumerate(stops)
    ]
    return find_bird(taken, [], GRID, params=PARAMS)


NEAR, FAR = fix_at(300.0, 0.0, "B1"), fix_at(1200.0, 0.0, "B2")


def test_a_search_begins_late_and_after_the_quiet():
    sunrise = datetime(2027, 4, 25, 11, tzinfo=UTC)
    assert earliest_search(None, sunrise) == sunrise + timedelta(hours=4)
    heard = sunrise + timedelta(hours=4, minutes=10)
    assert earliest_search(heard, sunrise) == heard + timedelta(minutes=20)


def test_areas_come_in_walking_order_within_the_time():
    plan = plan_search([FAR, NEAR], (0.0, 0.0), (0.0, 0.0), not_before=NOON, back_by=NOON + timedelta(hours=4))
    assert {a.bird for a in plan.areas} == {"B1", "B2"}
    assert [a.number for a in plan.areas] == [1, 2]
    assert plan.areas[0].arrive > NOON
    assert plan.areas[1].arrive > plan.areas[0].leave
    assert plan.back <= NOON + timedelta(hours=4)
    assert all(a.minutes <= 45 + 10 for a in plan.areas)
    assert plan.logs_expected == pytest.approx(sum(a.chance for a in plan.areas))
    assert 0.5 < plan.logs_expected < 2 * 0.8
    assert plan.left_out == ()
    assert any("20 minutes" in rule for rule in search_rules(plan.params))


def test_with_little_time_the_best_area_that_fits_is_searched():
    plan = plan_search([FAR, NEAR], (0.0, 0.0), (0.0, 0.0), not_before=NOON, back_by=NOON + timedelta(minutes=60))
    assert [a.bird for a in plan.areas] == ["B1"]
    assert [left_out_words(bird) for bird in plan.left_out] == ["B2: no time left today"]
    none = plan_search([FAR], (0.0, 0.0), (0.0, 0.0), not_before=NOON, back_by=NOON + timedelta(minutes=5))
    assert none.areas == ()


def test_ground_that_cannot_be_reached_is_left_out():
    straight = straight_walk(1.0)

    def walk(start, end):
        leg = straight(start, end)
        return WalkLeg(np.inf, leg.line_m[:0]) if end[0] > 800 or start[0] > 800 else leg

    plan = plan_search(
        [FAR, NEAR], (0.0, 0.0), (0.0, 0.0), not_before=NOON, back_by=NOON + timedelta(hours=4), walk=walk
    )
    assert [a.bird for a in plan.areas] == ["B1"]
    assert all(a.path_m[:, 0].max() <= 800 for a in plan.areas)
    with pytest.raises(NoPlanError, match="no way"):
        plan_search([NEAR], (0.0, 0.0), (900.0, 0.0), not_before=NOON, back_by=NOON + timedelta(hours=4), walk=walk)


def test_times_the_wrong_way_round_and_no_birds_are_told():
    with pytest.raises(InputError, match="no time is left"):
        plan_search([NEAR], (0.0, 0.0), (0.0, 0.0), not_before=NOON, back_by=NOON)
    with pytest.raises(InputError, match="no bird"):
        plan_search([], (0.0, 0.0), (0.0, 0.0), not_before=NOON, back_by=NOON + timedelta(hours=1))


def test_the_rules_keep_to_one_visit():
    assert any("once" in rule and "do not come back that day" in rule for rule in search_rules(SearchParams()))


def test_a_sweep_sees_every_cell_of_a_ground():
    values = np.zeros((40, 40))
    values[10:20, 5:35] = 1 / 300
    chance = Layer("chance", "1", Grid(32615, 0.0, 400.0, 10.0, 40, 40), values)
    ground = credible_ground(chance, 0.999)
    sweep = sweep_of(ground, chance, (0.0, 0.0), 20.0, 1e6)
    assert sweep.whole
    assert sweep.chance == pytest.approx(1.0)
    # Five lines of 300 m and four steps of 20 m.
    assert sweep.length_m == pytest.approx(5 * 300 + 4 * 20)
    steps = np.diff(sweep.turns_m, axis=0)
    lines = [np.linspace(a, a + d, 2001) for a, d in zip(sweep.turns_m[:-1], steps, strict=True)]
    walked = np.concatenate(lines)
    rows, cols = np.nonzero(ground.inside)
    nearest = [np.hypot(*(walked - xy).T).min() for xy in chance.grid.xy(rows, cols)]
    assert max(nearest) <= 10.0 + 1e-3
    assert np.hypot(*sweep.turns_m[0]) == pytest.approx(np.hypot(*np.abs(sweep.turns_m).min(axis=0)), abs=25)


def test_a_sweep_that_is_too_long_keeps_to_the_likeliest_strips():
    whole = sweep_of(NEAR.ground(0.95), NEAR.chance, (0.0, 0.0), 20.0, 1e6)
    part = sweep_of(NEAR.ground(0.95), NEAR.chance, (0.0, 0.0), 20.0, whole.length_m / 2)
    assert not part.whole
    assert part.length_m <= whole.length_m / 2 + 1
    assert part.chance > 0.55 * whole.chance
    with pytest.raises(InputError, match="cannot be walked"):
        sweep_of(NEAR.ground(0.95), NEAR.chance, (0.0, 0.0), 0.0, 100.0)
