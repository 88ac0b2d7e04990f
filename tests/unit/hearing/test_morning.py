import numpy as np
import pytest

from hushwalk.hearing.availability import Display, Weather
from hushwalk.hearing.call import Call
from hushwalk.hearing.conditions import Conditions
from hushwalk.hearing.listener import Listener
from hushwalk.hearing.morning_verdict import verdict


@pytest.mark.parametrize(
    ("wind", "word"), [(0, "go"), (2, "go"), (2.5, "go, but"), (3.1, "stay in bed"), (6, "stay in bed")]
)
def test_the_wind_decides(display: Display, call: Call, wind: float, word: str) -> None:
    told = verdict(display, call, Conditions(wind_at_ear_ms=wind), Weather(wind_ms=wind), Listener())
    assert told.word == word
    assert wind < 2 or "wind" in told.reason


def test_the_share_falls_with_the_wind(display: Display, call: Call) -> None:
    shares = [
        verdict(display, call, Conditions(wind_at_ear_ms=w), Weather(wind_ms=w), Listener()).share_of_calm
        for w in np.arange(0, 8, 0.5)
    ]
    assert shares[0] == pytest.approx(1)
    assert np.all(np.diff(shares) <= 1e-12)


def test_two_metres_a_second_leave_62_percent_of_the_area(display: Display, call: Call) -> None:
    # the recommended ranges say: distance -21 %, area -38 %
    told = verdict(display, call, Conditions(wind_at_ear_ms=2.0), Weather(wind_ms=2.0), Listener())
    assert told.share_of_calm == pytest.approx(0.62, abs=0.04)


def test_rain_and_snow_give_their_reason(display: Display, call: Call) -> None:
    rain = verdict(display, call, Conditions(), Weather(rain="light"), Listener())
    assert (rain.word, rain.reason) == ("go, but", "light rain")
    assert "60 %" in rain.sentence
    assert verdict(display, call, Conditions(), Weather(rain="steady"), Listener()).word == "stay in bed"
    assert "fresh snow" in verdict(display, call, Conditions(snow="fresh"), Weather(), Listener()).reason
    assert "logs" in verdict(display, call, Conditions(), Weather(snow_cover_share=0.9), Listener()).reason
