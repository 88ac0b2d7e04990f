"""What decides detection on a morning: gathered once, kept with the ground of the trip."""

from dataclasses import replace
from io import BytesIO
from pathlib import Path

import numpy as np
import pytest

from hushwalk.errors import InputError, SettingsError
from hushwalk.files.values import read_values, write_values
from hushwalk.hearing.listener import EVIDENCE
from hushwalk.site.detectability import (
    LOWER_FLOOR,
    Detectability,
    availability_at,
    availability_table,
    detectability_of,
    evidence_weights,
    sound_budget_between,
)
from hushwalk.site.morning_clock import Clock, morning_clock
from hushwalk.site.settings import TripSettings, WalkerSettings
from hushwalk.site.site import Site, read_site
from hushwalk.site.trip_file import read_trip


@pytest.fixture(scope="module")
def settings() -> TripSettings:
    return read_trip(Path(__file__).parents[3] / "data_demo" / "trip.toml")


@pytest.fixture(scope="module")
def site(settings: TripSettings) -> Site:
    return read_site(settings)


@pytest.fixture(scope="module")
def clock(settings: TripSettings, site: Site) -> Clock:
    return morning_clock(settings.morning, site.car.lon_deg, site.car.lat_deg)


def test_it_is_what_the_trip_file_says(settings: TripSettings, site: Site) -> None:
    windy = replace(settings, weather=replace(settings.weather, wind_at_ear_ms=4.0, rain="light"))
    found = detectability_of(windy, site)
    assert found.soundscape.air.wind_at_ear_ms == found.weather.wind_ms == 4.0
    assert found.weather.rain == "light"
    assert found.soundscape.ground.elevation is site.ground.elevation
    assert found.verdict().word == "stay in bed"


def test_the_pessimistic_level_hears_less_on_the_same_ground(settings: TripSettings, site: Site) -> None:
    focal = detectability_of(settings, site).at_evidence("focal")
    pessimistic = focal.at_evidence("pessimistic")
    assert pessimistic.level.earshot_m(0.25) < focal.level.earshot_m(0.25)
    assert pessimistic.soundscape.ground is focal.soundscape.ground
    assert pessimistic.display is focal.display


def test_what_is_heard_at_a_lower_level_is_what_following_every_path_again_gives(
    settings: TripSettings, site: Site
) -> None:
    focal = detectability_of(settings, site)
    post = np.array([[site.car.xy_m[0] + 150.0, site.car.xy_m[1] + 80.0]])
    heard = focal.soundscape.coverage(post)
    for (weight, lower), evidence in zip(focal.at_levels(heard), EVIDENCE, strict=True):
        again = focal.soundscape.at_evidence(evidence).coverage(post).chance.toarray()
        floor = 0.0 if evidence == "focal" else LOWER_FLOOR
        assert lower.chance.toarray() == pytest.approx(np.where(again >= floor, again, 0.0), abs=1e-9)
        assert 0 < weight < 1
    with pytest.raises(InputError, match="not raised"):
        heard.at_gain(1.0, 6.0, 0.01)


def test_the_levels_that_are_planned_with_are_those_of_the_trip_file() -> None:
    assert evidence_weights(WalkerSettings()) == pytest.approx((0.5, 0.3, 0.2))
    assert evidence_weights(WalkerSettings(evidence="pessimistic")) == (0.0, 0.0, 1.0)
    assert evidence_weights(WalkerSettings(evidence_weights=(1.0, 1.0, 0.0))) == (0.5, 0.5, 0.0)
    with pytest.raises(SettingsError, match="one above 0"):
        evidence_weights(WalkerSettings(evidence_weights=(0.0, 0.0, 0.0)))
    with pytest.raises(SettingsError, match="leave one of the two out"):
        evidence_weights(WalkerSettings(evidence="middle", evidence_weights=(1.0, 0.0, 0.0)))


def test_the_mean_earshot_is_that_of_the_levels(settings: TripSettings, site: Site) -> None:
    found = detectability_of(settings, site)
    far = [found.earshot_of(evidence) for evidence in EVIDENCE]
    assert far == pytest.approx([300, 153, 73], abs=2)
    assert found.mean_earshot_m == pytest.approx(0.5 * far[0] + 0.3 * far[1] + 0.2 * far[2])


def test_it_comes_back_from_a_file_with_the_ground_shared(settings: TripSettings, site: Site) -> None:
    file = BytesIO()
    found = detectability_of(settings, site)
    write_values(file, (found, site.ground.elevation))
    file.seek(0)
    again, elevation = read_values(file)  # type: ignore[misc]
    assert isinstance(again, Detectability)
    assert again.soundscape.ground.elevation is elevation
    post = np.array([site.car.xy_m])
    assert (again.soundscape.coverage(post).chance != found.soundscape.coverage(post).chance).nnz == 0


def test_the_table_holds_the_availability_of_each_stop(settings: TripSettings, site: Site, clock: Clock) -> None:
    found = detectability_of(settings, site)
    knots, table, participation = availability_table(found, site, clock, (240.0, 300.0))
    assert (knots[0], knots[-1]) == (clock.earliest_s, clock.latest_s)
    one = availability_at(found, site, clock, knots[[3]], 300.0)
    assert table[1, 3] == (one.hour_factor * one.cue)[0]
    assert participation == one.participation
    assert np.all(table[1] > table[0])


def test_a_path_between_places_as_text(settings: TripSettings, site: Site) -> None:
    budget = sound_budget_between(settings, site, (-90.3571, 47.3853), (-90.3565, 47.3878))
    assert budget.distance_m == pytest.approx(281, abs=3)  # 0.0025 degrees north and 0.0006 east
    assert 0 < budget.chance < 1
