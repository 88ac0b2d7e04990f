from collections.abc import Callable

import numpy as np
import pytest

from hushwalk.errors import SettingsError
from hushwalk.filming.log_light import (
    LightParams,
    Shot,
    ShotKind,
    chance_of,
    iso_at,
    light_at_log,
    video_shot,
    wing_shots,
)
from hushwalk.filming.sky_day import SkyDay, shade
from hushwalk.filming.skyline import Skyline


def test_the_band_lies_a_stop_and_a_half_to_either_side(april: SkyDay, skyline: Callable[..., Skyline]) -> None:
    light = light_at_log(april, shade(april, skyline()))
    assert np.log2(light.high_lux / light.middle_lux) == pytest.approx(1.5)
    assert np.log2(light.middle_lux / light.low_lux) == pytest.approx(1.5)


def test_cloud_crowns_and_snow_multiply(april: SkyDay, skyline: Callable[..., Skyline]) -> None:
    states = shade(april, skyline())
    open_clear = light_at_log(april, states, LightParams(canopy="open")).middle_lux
    assert open_clear == pytest.approx(april.lux)
    aspen = light_at_log(april, states, LightParams(canopy="leafless_aspen")).middle_lux
    before = april.sun_altitude_deg < 0
    assert aspen[before] / open_clear[before] == pytest.approx(0.55)
    cloudy = light_at_log(april, states, LightParams(sky="overcast", canopy="open")).middle_lux
    assert cloudy / open_clear == pytest.approx(0.25)
    snowy = light_at_log(april, states, LightParams(sky="overcast", canopy="open", snow="fresh")).middle_lux
    assert np.log2(snowy / cloudy) == pytest.approx(0.67, abs=0.01)
    own = light_at_log(april, states, LightParams(transmittance=0.3)).middle_lux
    assert own[before] / open_clear[before] == pytest.approx(0.3)
    ridges = light_at_log(april, states, LightParams(canopy="open"), 0.8).middle_lux
    assert ridges[before] / open_clear[before] == pytest.approx(0.8)  # they take from the sky, not from the sun


def test_shade_takes_light_only_from_a_sky_with_a_sun(april: SkyDay, skyline: Callable[..., Skyline]) -> None:
    lit, shaded = shade(april, skyline()), shade(april, skyline(ridge_deg=60.0))
    noon = int(np.argmax(april.sun_altitude_deg))
    for sky, less in (("clear", True), ("broken", True), ("overcast", False)):
        both = [light_at_log(april, s, LightParams(sky=sky)).middle_lux[noon] for s in (lit, shaded)]
        assert bool(both[1] < both[0] * 0.95) is less


def test_from_when_a_shot_is_possible(april: SkyDay, skyline: Callable[..., Skyline]) -> None:
    light = light_at_log(april, shade(april, skyline()))
    shot = Shot(ShotKind.VIDEO, 4.0, 1 / 50)
    got = chance_of(light, shot, 6400)
    rise = april.sunrises[0]
    assert got.hardly_from is not None
    assert got.likely_from is not None
    assert got.surely_from is not None
    assert got.likely_until is not None
    assert got.hardly_from < got.likely_from < got.surely_from
    assert got.likely_from - rise == pytest.approx(-16, abs=1.5)  # notes: ISO 6400 about 16 min before sunrise
    overcast = light_at_log(april, shade(april, skyline()), LightParams(sky="overcast"))
    late = chance_of(overcast, shot, 6400).likely_from
    assert late is not None
    assert late - rise == pytest.approx(-6, abs=1.5)  # notes: 6 min before sunrise under overcast
    assert chance_of(light, Shot(ShotKind.VIDEO, 22.0, 1 / 8000), 100).likely_from is None


def test_iso_at_some_minutes(april: SkyDay, skyline: Callable[..., Skyline]) -> None:
    light = light_at_log(april, shade(april, skyline()))
    rise = round(april.sunrises[0])
    got = iso_at(light, Shot(ShotKind.VIDEO, 4.0, 1 / 50), [rise - 10, rise, rise + 60])
    assert got.shape == (3, 3)
    assert np.all(np.diff(got[0]) < 0)
    assert np.all(got[1] > got[0])
    assert got[0, 1] == pytest.approx(802, rel=0.05)  # worked dawn: 802 at sunrise


def test_wings_frozen_half_blurred_and_swept() -> None:
    """Field 1 m, 10 beats a second: 12.34 m/s; 100 of 3840 dots take 1/474 s, 600 take 1/79 s."""
    swept, half, slow, roll = wing_shots(4.0, 1.0)
    assert 1 / swept.shutter_s == pytest.approx(79, abs=0.5)
    assert 1 / half.shutter_s == pytest.approx(474, abs=1)
    assert 1 / slow.shutter_s == pytest.approx(2370, abs=5)
    assert 1 / roll.shutter_s == pytest.approx(9475, abs=15)
    assert video_shot(4.0, 50).shutter_s == pytest.approx(1 / 100)


def test_unknown_words_are_refused() -> None:
    with pytest.raises(SettingsError, match="sky 'grey'"):
        LightParams(sky="grey")
    with pytest.raises(SettingsError, match="canopy"):
        LightParams(canopy="oak")
    with pytest.raises(SettingsError, match="transmittance"):
        LightParams(transmittance=0.0)
