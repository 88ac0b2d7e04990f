import numpy as np
import pytest
from scipy.integrate import quad
from scipy.stats import norm

from hushwalk.errors import InputError, SettingsError
from hushwalk.hearing.listener import Listener
from hushwalk.hearing.listener_offset import HeardRecord, level_chances, refit
from hushwalk.wording.listener_words import offset_sentence


def test_the_pessimistic_evidence_is_11_db_worse() -> None:
    assert Listener(2.0).gain_db == 2
    assert Listener(2.0, evidence="pessimistic").gain_db == -9


def test_a_listener_that_cannot_be() -> None:
    with pytest.raises(SettingsError, match="evidence"):
        Listener(evidence="hopeful")  # type: ignore[arg-type]
    with pytest.raises(SettingsError, match="sd_db"):
        Listener(sd_db=0.0)


def test_without_notes_the_prior_stays() -> None:
    found = refit([])
    assert (found.offset_db, found.low_db, found.high_db) == pytest.approx((0, -9.8, 9.8), abs=0.06)


def test_the_posterior_of_one_record_by_integration() -> None:
    found = refit([HeardRecord(-4.0, heard=True, display_chance=0.7)])

    def weight(x: float) -> float:
        return float(norm.pdf(x, 0, 5) * 0.7 * norm.cdf((x - 4) / 6))

    whole, _ = quad(weight, -40, 40)
    for end, share in ((found.low_db, 0.025), (found.offset_db, 0.5), (found.high_db, 0.975)):
        assert quad(weight, -40, end)[0] / whole == pytest.approx(share, abs=0.003)


def test_many_records_find_the_true_offset_and_the_interval_holds_it() -> None:
    rng, covered = np.random.default_rng(5), 0
    for _ in range(40):
        true_db = rng.normal(0, 5)
        margins = rng.uniform(-20, 20, 60)
        displayed = rng.random(60) < 0.7
        heard = displayed & (rng.random(60) < norm.cdf((margins + true_db) / 6))
        found = refit([HeardRecord(m, bool(h), 0.7) for m, h in zip(margins, heard, strict=True)])
        covered += found.low_db <= true_db <= found.high_db
    # 95 % of 40 is 38; fewer than 34 would happen once in 200 times
    assert covered >= 34


def test_a_silent_bird_teaches_less_than_one_that_surely_drummed() -> None:
    sure = refit([HeardRecord(3.0, heard=False)] * 5)
    perhaps = refit([HeardRecord(3.0, heard=False, display_chance=0.3)] * 5)
    assert sure.offset_db < perhaps.offset_db < 0


def test_a_record_that_cannot_be() -> None:
    with pytest.raises(InputError, match="display_chance"):
        HeardRecord(3.0, heard=True, display_chance=0.0)


def test_the_offset_in_words() -> None:
    assert "1 records" in offset_sentence(refit([HeardRecord(0.0, heard=True)]))


def test_a_male_found_because_one_stop_heard_him_teaches_nothing_of_the_ear() -> None:
    for margin in (-12.0, 0.0, 12.0):
        found = refit([HeardRecord(margin, heard=True, display_chance=0.6, known_by_ear="B1")])
        assert (found.offset_db, found.low_db, found.high_db) == pytest.approx((0, -9.8, 9.8), abs=0.06)


def test_the_posterior_of_a_male_known_by_ear_by_the_trapezoid_rule() -> None:
    stops = [(2.0, True, 0.9), (-5.0, False, 0.5), (4.0, False, 0.7)]
    found = refit([HeardRecord(m, h, a, "B1") for m, h, a in stops], shared=0.6)
    spread, common = 6 * np.sqrt(0.4), 6 * np.sqrt(0.6)

    loudness = np.linspace(-25, 25, 2001)
    weight = norm.pdf(loudness, 0, common)

    def likelihood(x: float) -> float:
        chances = [a * norm.cdf((m + x + loudness) / spread) for m, _, a in stops]
        seen = np.prod([c if h else 1 - c for c, (_, h, _) in zip(chances, stops, strict=True)], axis=0)
        some_stop = 1 - np.prod([1 - c for c in chances], axis=0)
        return float(np.trapezoid(seen * weight, loudness) / np.trapezoid(some_stop * weight, loudness))

    places = np.linspace(-25, 25, 401)
    posterior = [norm.pdf(x, 0, 5) * likelihood(x) for x in places]
    upto = np.cumsum(posterior) / np.sum(posterior)
    for end, share in ((found.low_db, 0.025), (found.offset_db, 0.5), (found.high_db, 0.975)):
        assert np.interp(end, places + 0.0625, upto) == pytest.approx(share, abs=0.004)


def test_ears_are_learnt_without_favour_though_only_heard_males_are_known() -> None:
    rng, covered, naive, ruled = np.random.default_rng(11), 0, [], []
    for _ in range(50):
        true_db = rng.normal(0, 5)
        records: list[HeardRecord] = []
        for male in range(30):
            margins, common = rng.uniform(-18, 6, 5), rng.normal(0, 6 * np.sqrt(0.6))
            chance = 0.7 * norm.cdf((margins + true_db + common) / (6 * np.sqrt(0.4)))
            heard = rng.random(5) < chance
            if heard.any():  # nobody finds the log of a male that nobody heard
                records += [HeardRecord(m, bool(h), 0.7, f"B{male}") for m, h in zip(margins, heard, strict=True)]
        found = refit(records, shared=0.6)
        covered += found.low_db <= true_db <= found.high_db
        ruled.append(found.offset_db - true_db)
        naive.append(refit([HeardRecord(r.margin_db, r.heard, 0.7) for r in records]).offset_db - true_db)
    # 95 % of 50 is 47.5; fewer than 43 would happen once in 300 times
    assert covered >= 43
    assert abs(np.mean(ruled)) < 0.6
    assert np.mean(naive) > 2.0, "taken as known otherwise, heard males flatter the ear"


def test_a_male_known_by_ear_was_heard() -> None:
    with pytest.raises(InputError, match=r"'B1'.*no record of him was heard"):
        refit([HeardRecord(0.0, heard=False, known_by_ear="B1")])
    with pytest.raises(InputError, match="share of the variance"):
        refit([], shared=1.0)


def test_the_levels_of_evidence_are_weighed_by_what_was_heard() -> None:
    added, before = (0.0, -5.5, -11.0), (0.5, 0.3, 0.2)
    assert level_chances((), added, before) == pytest.approx(before)
    # a male whose path has 8 dB to spare is heard by a focal listener, and at 11 dB less hardly ever
    heard, silent = (
        level_chances([HeardRecord(8.0, heard=was) for _ in range(6)], added, before) for was in (True, False)
    )
    assert heard[0] > before[0]
    assert heard[2] < before[2]
    assert silent[0] < before[0]
    assert silent[2] > before[2]
    assert sum(heard) == pytest.approx(1)


def test_the_weight_of_a_level_is_the_likelihood_over_offsets_worked_out_by_hand() -> None:
    # P(heard | level) = Phi((m + added) / sqrt(6^2 + 5^2)): the offset's sd is 5 dB, the spread 6 dB
    added, before = (0.0, -5.5, -11.0), (0.5, 0.3, 0.2)
    chance = np.array([norm.cdf((4.0 + one) / np.sqrt(61)) for one in added]) * before
    assert level_chances([HeardRecord(4.0, heard=True)], added, before) == pytest.approx(
        chance / chance.sum(), abs=1e-4
    )
