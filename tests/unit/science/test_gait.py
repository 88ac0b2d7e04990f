import numpy as np
import pytest

from hushwalk.errors import SettingsError
from hushwalk.science.gait import ford_seconds, gait_named, pace_functions, steepness_seconds_per_metre
from hushwalk.sources import cite

STEEP = np.linspace(-5, 5, 401)


@pytest.mark.parametrize("name", pace_functions())
def test_every_function_is_a_speed_everywhere_and_cites_its_source(name: str) -> None:
    pace = pace_functions()[name]
    speed = pace.speed_ms(STEEP)
    assert speed.shape == STEEP.shape
    assert np.all((speed >= 0.001) & (speed < 5))
    assert pace.seconds_per_metre(STEEP) == pytest.approx(1 / speed)
    assert cite(pace.source) != pace.source
    assert pace.terrain in {"on path", "off path"}


@pytest.mark.parametrize("name", [n for n, p in pace_functions().items() if p.partner])
def test_a_partner_exists_and_walked_on_the_other_terrain(name: str) -> None:
    pace = pace_functions()[name]
    assert pace_functions()[pace.partner].terrain != pace.terrain


def test_women_walk_at_0_95_of_the_mens_speed() -> None:
    for terrain in ("on", "off"):
        men = pace_functions()[f"irmischer_clarke_{terrain}_path"].speed_ms(0.1)
        women = pace_functions()[f"irmischer_clarke_{terrain}_path_female"].speed_ms(0.1)
        assert float(women / men) == pytest.approx(0.95)


def test_growth_is_refused_by_a_function_that_does_not_know_it() -> None:
    with pytest.raises(SettingsError, match=r"tobler_on_path.*density"):
        pace_functions()["tobler_on_path"].speed_ms(0.0, density=0.2)


def test_a_gait_pairs_the_curves_of_the_same_authors() -> None:
    chosen = gait_named("irmischer_clarke_on_path")
    assert (chosen.on_path.name, chosen.off_path.name) == ("irmischer_clarke_on_path", "irmischer_clarke_off_path")
    assert float(chosen.off_path_seconds_per_metre(0.0)) == pytest.approx(1 / 0.7785, rel=1e-4)


def test_a_trail_curve_alone_is_slowed_off_the_trail_by_three_fifths() -> None:
    gait = gait_named("rees")
    curve = gait.on_path.seconds_per_metre(STEEP) / 0.6
    assert gait.off_path_seconds_per_metre(STEEP) == pytest.approx(
        np.maximum(curve, steepness_seconds_per_metre(STEEP))
    )
    gentle = np.linspace(-0.1, 0.05, 31)  # where height takes no longer than the way
    share = gait.on_path_seconds_per_metre(gentle) / gait.off_path_seconds_per_metre(gentle)
    assert share == pytest.approx(0.6)


def test_the_persons_own_factor_and_snow_multiply_all_times() -> None:
    plain, slow = gait_named("tobler_on_path"), gait_named("tobler_on_path", pace_factor=1.2, snow_sinkage_m=0.10)
    ratio = slow.on_path_seconds_per_metre(0.0) / plain.on_path_seconds_per_metre(0.0)
    assert float(ratio) == pytest.approx(1.2 * np.sqrt(2.8424))  # eta of 10 cm from the published cubic


def test_a_wrong_name_is_told_with_the_nearest() -> None:
    with pytest.raises(SettingsError, match=r"walker\.pace 'tobler_onpath'.*did you mean 'tobler_on_path'"):
        gait_named("tobler_onpath")


@pytest.mark.parametrize("factor", [0.0, -1.0, np.nan, np.inf])
def test_a_pace_factor_must_be_positive(factor: float) -> None:
    with pytest.raises(SettingsError, match="pace_factor"):
        gait_named("rees", pace_factor=factor)


def test_a_ford_takes_a_minute_or_two() -> None:
    assert 60 < ford_seconds() < 180
