"""The search of a late morning: in time, promising what its lines find, never where no path leads."""

from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta

import numpy as np
import pytest

from hushwalk.birds.search.search_effort import Likelihood, effort_of
from hushwalk.birds.search.search_plan import SearchParams, StraightWalk, WalkLeg, earliest_search, plan_search
from hushwalk.errors import InputError, NoPlanError
from hushwalk.grid.polyline import polyline_length
from hushwalk.wording.search_words import left_out_words, search_rules

NOON = datetime(2027, 4, 25, 16, tzinfo=UTC)
HOME = (0.0, 0.0)


def a_bird(name: str, middle: tuple[float, float], sd_m: float = 25.0) -> Likelihood:
    axis = np.arange(-100.0, 101.0, 5.0)
    xy = np.stack(np.meshgrid(axis + middle[0], axis + middle[1]), axis=-1).reshape(-1, 2)
    chance = np.exp(-((xy - middle) ** 2).sum(axis=1) / (2 * sd_m**2))
    chance /= chance.sum()
    return Likelihood(name, xy, chance, 5.0, {name: chance})


NEAR, FAR = a_bird("B1", (300.0, 0.0)), a_bird("B2", (1200.0, 0.0))


@dataclass(frozen=True)
class Shore(StraightWalk):
    """Water east of a line: nobody stands or walks there."""

    east_m: float = 800.0

    def seconds(self, start: tuple[float, float], end: tuple[float, float]) -> float:
        return np.inf if max(start[0], end[0]) > self.east_m else super().seconds(start, end)

    def leg(self, start: tuple[float, float], end: tuple[float, float]) -> WalkLeg:
        straight = super().leg(start, end)
        return WalkLeg(self.seconds(start, end), straight.line_m)

    def clear(self, start: tuple[float, float], end: tuple[float, float]) -> bool:
        return max(start[0], end[0]) <= self.east_m


def test_a_search_begins_late_and_after_the_quiet() -> None:
    sunrise = datetime(2027, 4, 25, 11, tzinfo=UTC)
    assert earliest_search(None, sunrise) == sunrise + timedelta(hours=4)
    heard = sunrise + timedelta(hours=4, minutes=10)
    assert earliest_search(heard, sunrise) == heard + timedelta(minutes=20)


def test_areas_come_in_walking_order_and_fill_the_time() -> None:
    by = NOON + timedelta(hours=4)
    plan = plan_search([FAR, NEAR], HOME, HOME, not_before=NOON, back_by=by)
    assert {a.bird for a in plan.areas} == {"B1", "B2"}
    assert [a.number for a in plan.areas] == [1, 2]
    assert NOON < plan.areas[0].arrive < plan.areas[0].leave < plan.areas[1].arrive
    assert by - timedelta(minutes=20) < plan.back <= by
    assert plan.left_out == ()
    assert 1.0 < plan.logs_expected < 2.0


def test_the_promise_is_that_of_the_lines_as_drawn() -> None:
    plan = plan_search([NEAR], HOME, HOME, not_before=NOON, back_by=NOON + timedelta(minutes=70))
    (area,) = plan.areas
    effort = plan.params.effort
    first, second = area.passes
    # By hand: every line of a pass, and half of each step between two lines, over the ground of that pass.
    missed = {}
    for one in area.passes:
        along = np.hypot(*np.diff(one.path_m[1:] if one is second else one.path_m, axis=0).T)
        seen = along[::2].sum() + along[1::2].sum() / 2
        if one is second:  # the step from the last line of the first pass to the first of the second
            step = float(np.hypot(*(one.path_m[1] - one.path_m[0])))
            seen += step / 2 if step < 36 else 0.0
        for xy in one.cells_m.tolist():
            missed[tuple(xy)] = missed.get(tuple(xy), 1.0) * np.exp(-effort.sweep_m * seen / (25 * len(one.cells_m)))
    chance = {tuple(xy): c for xy, c in zip(NEAR.xy_m.tolist(), NEAR.chance.tolist(), strict=True)}
    assert area.logs == pytest.approx(sum(chance[xy] * (1 - miss) for xy, miss in missed.items()))
    assert area.by_bird == {"B1": pytest.approx(area.logs)}
    length = polyline_length(first.path_m) + polyline_length(second.path_m)
    assert area.minutes == pytest.approx(length / effort.pace_ms / 60 + 10 * area.logs, abs=0.01)
    # By hand: 40 m round a log along lines 12 m apart at 0.42 m/s
    assert effort.round_log_s == pytest.approx(np.pi * 1600 / 12 / 0.42)


def test_the_second_pass_runs_at_a_right_angle_to_the_first() -> None:
    turned = (NEAR.xy_m - NEAR.xy_m[0]) @ np.array([[0.8, 0.6], [-0.6, 0.8]]) + NEAR.xy_m[0]
    for xy_m in (NEAR.xy_m, turned):
        ground = replace(NEAR, xy_m=xy_m)
        plan = plan_search([ground], HOME, HOME, not_before=NOON, back_by=NOON + timedelta(minutes=70))
        first, second = plan.areas[0].passes
        assert (first.towards_deg - second.towards_deg) % 180 == pytest.approx(90.0)


def test_with_little_time_the_best_ground_that_fits_is_searched() -> None:
    plan = plan_search([FAR, NEAR], HOME, HOME, not_before=NOON, back_by=NOON + timedelta(minutes=50))
    assert [a.bird for a in plan.areas] == ["B1"]
    assert plan.back <= NOON + timedelta(minutes=50)
    assert [left_out_words(bird) for bird in plan.left_out] == ["B2: in the same time more is found elsewhere"]
    assert plan_search([FAR], HOME, HOME, not_before=NOON, back_by=NOON + timedelta(minutes=5)).areas == ()


def test_a_farther_eye_finds_more_in_the_same_time() -> None:
    def found(seen_from_m: float) -> float:
        params = SearchParams(effort=effort_of(seen_from_m))
        by = NOON + timedelta(minutes=60)
        return plan_search([NEAR], HOME, HOME, not_before=NOON, back_by=by, params=params).logs_expected

    assert found(3.0) < found(6.0) < found(12.0)


def test_ground_that_cannot_be_reached_is_left_out() -> None:
    by = NOON + timedelta(hours=4)
    plan = plan_search([FAR, NEAR], HOME, HOME, not_before=NOON, back_by=by, walk=Shore())
    assert [a.bird for a in plan.areas] == ["B1"]
    half = plan_search([a_bird("B3", (790.0, 0.0))], HOME, HOME, not_before=NOON, back_by=by, walk=Shore())
    assert half.areas
    assert all(one.path_m[:, 0].max() <= 800 for area in half.areas for one in area.passes)
    with pytest.raises(NoPlanError, match="no way"):
        plan_search([NEAR], HOME, (900.0, 0.0), not_before=NOON, back_by=by, walk=Shore())


def test_times_the_wrong_way_round_and_no_birds_are_told() -> None:
    with pytest.raises(InputError, match="no time is left"):
        plan_search([NEAR], HOME, HOME, not_before=NOON, back_by=NOON)
    with pytest.raises(InputError, match="no bird"):
        plan_search([], HOME, HOME, not_before=NOON, back_by=NOON + timedelta(hours=1))


def test_the_rules_keep_to_one_visit_and_say_what_is_taken_for_true() -> None:
    rules = " ".join(search_rules(SearchParams()))
    for words in ("Search each area once, and do not come back that day", "20 minutes", "12 m apart", "the 40 m round"):
        assert words in rules
