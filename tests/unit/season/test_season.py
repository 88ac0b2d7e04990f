from datetime import UTC, datetime, timedelta

import numpy as np
import pytest
from scipy import stats
from scipy.integrate import quad

from hushwalk.birds.fix import FixParams
from hushwalk.birds.posterior import EarshotParams
from hushwalk.birds.rehearsal import rehearse
from hushwalk.errors import InputError
from hushwalk.grid.grid import Grid
from hushwalk.grid.layer import Layer
from hushwalk.notes.bearing import Listening
from hushwalk.notes.ledger import LedgerRow
from hushwalk.notes.notes import BearingNote, LogNote, SessionNote, VisitNote
from hushwalk.season.season import Outcome, SeasonSum, believe, compare, sum_season
from hushwalk.wording.listener_words import rehearsal_sentences
from hushwalk.wording.season_words import belief_reason, calibration_sentence, sum_sentence

AT = datetime(2027, 4, 25, 11, tzinfo=UTC)
HERE = (-92.1, 46.8)


def kept(*notes):
    return [LedgerRow(str(i), note, AT, "typed") for i, note in enumerate(notes)]


def test_a_season_is_summed_by_morning():
    day = timedelta(days=1)
    visits = kept(
        VisitNote(AT, HERE, "P01", heard=True, end=AT + timedelta(minutes=5)),
        VisitNote(AT, HERE, "P02", heard=False, end=AT + timedelta(minutes=4)),
        VisitNote(AT + day, HERE, "P01", heard=False),
    )
    bearings = [BearingNote(AT, HERE, "P01", b, 10.0, "T", 0.0, 0.0, 10.0) for b in ("B1", "B2", "B2")]
    logs = kept(LogNote(AT, HERE, "LOG01", "fresh pile"), LogNote(AT, HERE, "LOG02", "few"))
    sessions = kept(SessionNote(AT, "walk", disturbance="a hen flushed"), SessionNote(AT, "walk"))
    total = sum_season(visits, kept(*bearings), logs, sessions)
    assert (total.mornings, total.stops, total.stops_heard, total.minutes) == (2, 3, 1, 9.0)
    assert (total.bearings, total.birds, total.logs, total.logs_in_use, total.disturbances) == (3, 2, 2, 1, 1)
    assert total.by_morning == (("2027-04-25", 2, 1, 2, 2), ("2027-04-26", 1, 0, 0, 0))
    assert sum_sentence(total).startswith("2 mornings, 3 stops of which 1 heard a bird")
    one = SeasonSum(1, 1, 1, 1.0, 1, 1, 1, 1, 1, (("2027-04-25", 1, 1, 1, 1),))
    assert sum_sentence(one) == (
        "1 morning, 1 stop of which 1 heard a bird, 1 minute listened, 1 bearing, 1 bird by name and morning, "
        "1 log of which 1 in use, 1 disturbance noted"
    )
    east = sum_season(kept(VisitNote(AT.replace(hour=22), HERE, "P01", heard=True)), [], [], [], time_zone="Asia/Tokyo")
    assert east.by_morning[0][0] == "2027-04-26"


def test_the_belief_is_the_posterior_by_plain_integration():
    # Gamma(a, a) prior times Poisson likelihood, integrated numerically: nothing is taken from the closed form.
    a, expected, heard = 2.0, 3.2, 1

    def unscaled(f):
        return stats.gamma.pdf(f, a, scale=1 / a) * stats.poisson.pmf(heard, f * expected)

    whole = quad(unscaled, 0, 30)[0]
    (belief,) = believe([Outcome("A", 2.0, 1), Outcome("A", 1.2, 0)], {"A": 4.0}, shape=a)
    assert belief.factor == pytest.approx(quad(lambda f: f * unscaled(f), 0, 30)[0] / whole)
    assert quad(unscaled, 0, belief.low)[0] / whole == pytest.approx(0.05, abs=1e-6)
    assert quad(unscaled, 0, belief.high)[0] / whole == pytest.approx(0.95, abs=1e-6)
    assert belief.density_per_km2 == pytest.approx((4 * belief.factor, 4 * belief.low, 4 * belief.high))


@pytest.mark.parametrize(("expected", "heard", "verdict"), [(8.0, 0, "drop"), (2.0, 5, "revisit"), (1.0, 0, "keep")])
def test_verdicts(expected, heard, verdict):
    (belief,) = believe([Outcome("A", expected, heard)])
    assert belief.verdict.value == verdict
    assert belief_reason(belief)


def test_predicted_against_heard():
    # Exact 90 % interval of a Poisson count of 10: 5.43 to 16.96 (from memory; re-derived by the tails).
    result = compare([Outcome("m1", 4.0, 3), Outcome("m2", 6.0, 7)])
    assert (result.ratio, result.low, result.high) == pytest.approx((1.0, 0.543, 1.696), abs=0.001)
    assert stats.poisson.sf(9, result.low * 10) == pytest.approx(0.05)
    assert stats.poisson.cdf(10, result.high * 10) == pytest.approx(0.05)
    assert "as predicted" in calibration_sentence(result)
    assert "fewer than predicted" in calibration_sentence(compare([Outcome("m", 20.0, 5)]))
    assert compare([Outcome("m", 3.0, 0)]).low == 0
    for bad in (lambda: compare([]), lambda: Outcome("m", -1.0, 0), lambda: believe([Outcome("m", 1.0, 1)], shape=0.0)):
        with pytest.raises(InputError):
            bad()


def test_a_rehearsal_tells_how_well_the_stops_do():
    grid = Grid(32615, -600.0, 600.0, 20.0, 60, 60)
    density = Layer("density", "1/km2", grid, np.full(grid.shape, 4.0))
    stops = [Listening(f"P{i}", (x, 0.0), 8.0) for i, x in enumerate((-300.0, 0.0, 300.0))]
    params = FixParams(earshot=EarshotParams(cell_m=20.0))
    played = rehearse(stops, density, np.random.default_rng(4), mornings=25, displaying_share=1.0, params=params)
    assert played.mornings == 25
    assert 0 < len(played.birds) <= played.displayed
    assert played.hit_rate(0.95) > 0.85
    assert played.median_area_ha(0.5) < played.median_area_ha(0.95)
    assert len(rehearsal_sentences(played)) == 7
    with pytest.raises(InputError, match="needs stops"):
        rehearse([], density, np.random.default_rng(4))
