"""Birds of several mornings and logs, joined where they are of one male."""

from datetime import date, timedelta

import numpy as np
import pytest

from hushwalk.birds.alternate_logs import AlternateLogs
from hushwalk.birds.posterior import EarshotParams
from hushwalk.birds.season_birds import MorningBird, SeasonGround, UsedLog, _Score, log_quiet, season_birds
from hushwalk.grid.grid import Grid
from hushwalk.grid.layer import Layer
from hushwalk.notes.bearing import Listening

GRID = Grid(32615, 0.0, 2000.0, 20.0, 100, 100)
DAY = date(2027, 4, 23)
ROWS, COLS = np.divmod(np.arange(GRID.n_cells), GRID.n_cols)
CENTRES = GRID.xy(ROWS, COLS)
LOG_MALES = np.full(GRID.n_cells, np.log(5 * GRID.cell_area_km2))
LOGS = AlternateLogs(GRID)


def near(xy_m, sd_m=60.0):
    place = np.exp(-0.5 * (np.hypot(*(CENTRES - np.array(xy_m)).T) / sd_m) ** 2)
    return place / place.sum()


def bird(day, name, xy_m, sd_m=60.0):
    # Evidence of bearings that say so much of a place: the males expected where they point, times their density.
    return MorningBird(DAY + timedelta(days=day), name, near(xy_m, sd_m), -3.0)


def ground(days, quiet=-0.2):
    quiet_of = {DAY + timedelta(days=k): np.full(GRID.n_cells, quiet) for k in range(days)}
    return SeasonGround(GRID, LOG_MALES, quiet_of)


def males(found):
    return {frozenset([*(f"{d.day}{n}" for d, n in b.mornings), *b.logs]) for b in found.birds}


def test_mornings_that_agree_are_one_male_and_names_do_not_matter():
    tracks = [
        bird(0, "B4", (500, 500)),
        bird(1, "B4", (1500, 1500)),
        bird(1, "B1", (520, 490)),
        bird(2, "B2", (490, 505)),
    ]
    found = season_birds(tracks, ground(3))
    assert males(found) == {frozenset({"23B4", "24B1", "25B2"}), frozenset({"24B4"})}
    assert [b.number for b in found.birds] == [1, 2]
    low, best, high = found.males
    assert low <= best == 2 <= high
    assert found.of(DAY + timedelta(days=1), "B1").number == 1
    assert found.of(DAY, "B9") is None
    again = season_birds(tracks, ground(3))
    assert [b.one_bird for b in again.birds] == [b.one_bird for b in found.birds]


def test_days_are_summed_in_their_order_so_that_every_run_gives_the_same_bits():
    rng = np.random.default_rng(5)
    quiet = {DAY + timedelta(days=k): rng.normal(-0.3, 0.1, GRID.n_cells) for k in range(9)}
    tracks = [bird(k, "B1", (500, 500)) for k in range(9)]
    found = _Score(tracks, SeasonGround(GRID, LOG_MALES, quiet), LOGS).by_cell(frozenset(range(9)), without=0)
    score = _Score(tracks, SeasonGround(GRID, LOG_MALES, quiet), LOGS)
    by_hand = score.base
    for day in sorted(quiet):
        by_hand = by_hand - quiet[day]
    assert np.array_equal(found, by_hand + sum(score.spread[k] for k in range(1, 9)))


def test_two_birds_of_one_morning_are_two_males():
    found = season_birds([bird(0, "B1", (500, 500)), bird(0, "B2", (500, 500))], ground(1))
    assert len(found.birds) == 2


def test_an_alternate_log_is_still_the_same_male_and_a_far_one_is_not():
    tracks = [bird(0, "B1", (500, 500), 25), bird(1, "B1", (500, 500), 25), bird(2, "B1", (500, 610), 25)]
    assert season_birds(tracks, ground(3)).males[0] == 1  # one male or two, nobody can know
    far = [*tracks[:2], bird(2, "B1", (500, 900), 25)]
    assert season_birds(far, ground(3)).males == (2, 2, 2)


def test_a_log_takes_its_bearings_and_what_it_cannot_explain_is_somebody_else():
    log = UsedLog("LOG02", (500.0, 500.0), DAY, "B4")
    found = season_birds(
        [bird(0, "B4", (520, 520)), bird(1, "B4", (1100, 500)), bird(1, "B7", (480, 510)), log], ground(2)
    )
    assert males(found) == {frozenset({"23B4", "24B7", "LOG02"}), frozenset({"24B4"})}
    with_log = next(b for b in found.birds if b.logs)
    values = with_log.place.values.ravel()
    assert values[np.hypot(*(CENTRES - np.array(log.xy_m)).T) < 40].sum() > 0.8


def test_the_ground_shrinks_with_each_morning_and_stays_without_one():
    one = Layer("chance of place", "1", GRID, near((500, 500), 120).reshape(GRID.shape))

    def area(place):
        ordered = np.sort(place.values.ravel())[::-1]
        return np.searchsorted(np.cumsum(ordered), 0.8)

    alone = season_birds([bird(0, "B1", (500, 500), 120)], ground(1))
    assert alone.place_of(DAY, "B1", one).values == pytest.approx(one.values, abs=1e-6)
    tracks = [bird(k, "B1", (500 + 20 * k, 500), 120) for k in range(3)]
    areas = [area(season_birds(tracks[: k + 1], ground(k + 1)).place_of(DAY, "B1", one)) for k in range(3)]
    assert areas[0] > 1.3 * areas[1] > 1.3 * areas[2]


def test_water_draws_no_bird_to_it():
    wet = CENTRES[:, 0] > 1000
    dry = SeasonGround(GRID, np.where(wet, -1000.0, LOG_MALES), ground(2).log_quiet)
    near_dry = np.where(wet, 0.0, near((900, 500)))
    tracks = [MorningBird(DAY + timedelta(days=k), "B1", near_dry / near_dry.sum(), -3.0) for k in range(2)]
    found = season_birds(tracks, dry)
    assert len(found.birds) == 1
    assert found.birds[0].place.values.ravel()[wet].sum() < 1e-6
    one = Layer("chance of place", "1", GRID, (near_dry / near_dry.sum()).reshape(GRID.shape))
    joined = found.place_of(DAY, "B1", one).values.ravel()
    assert joined[np.hypot(*(CENTRES - np.array([900, 500])).T) < 150].sum() > 0.9


def test_silence_of_another_morning_counts():
    where = Listening("P1", (500.0, 500.0), 10.0)
    quiet = log_quiet([where], CENTRES, {}, 0.6, EarshotParams())
    here = np.hypot(*(CENTRES - 500).T) < 30
    assert quiet[here].max() < np.log(0.6)
    assert quiet.min() >= np.log(0.4)
    assert quiet[np.hypot(*(CENTRES - 500).T) > 1200].min() > -0.05


def test_numbers_that_merge_or_split_are_said():
    # Two wide places on two mornings seem two males; the third lies between them and joins both, or not.
    tracks = [bird(0, "B1", (420, 500), 25), bird(1, "B1", (650, 500), 25), bird(2, "B1", (535, 500), 25)]
    found = season_birds(tracks, ground(3))
    for change in found.changes:
        assert len(change.numbers) > 1 or len(change.into) > 1
    assert {n for change in found.changes for n in change.into} <= {b.number for b in found.birds}
    if len(found.birds) == 1:
        assert found.changes[-1].numbers == (1, 2)


def test_nothing_noted_no_male():
    assert season_birds([], ground(1)).birds == ()
