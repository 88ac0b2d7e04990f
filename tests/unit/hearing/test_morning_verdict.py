import numpy as np
import pytest

from hushwalk.hearing.availability import Display, Weather
from hushwalk.hearing.call import Call
from hushwalk.hearing.conditions import Conditions
from hushwalk.hearing.level_soundscape import LevelSoundscape
from hushwalk.hearing.listener import Listener
from hushwalk.hearing.morning_verdict import verdict
from hushwalk.wording.morning_words import hindrance_words, verdict_sentence


@pytest.mark.parametrize(
    ("wind", "word"), [(0, "go"), (2, "go"), (2.5, "go, but"), (3.1, "stay in bed"), (6, "stay in bed")]
)
def test_the_wind_decides(display: Display, call: Call, wind: float, word: str) -> None:
    found = verdict(display, Weather(wind_ms=wind), LevelSoundscape(Conditions(wind_at_ear_ms=wind), call, Listener()))
    assert found.word == word
    assert wind < 2 or "wind" in hindrance_words(found)


def test_the_share_falls_with_the_wind(display: Display, call: Call) -> None:
    shares = [
        verdict(
            display, Weather(wind_ms=w), LevelSoundscape(Conditions(wind_at_ear_ms=w), call, Listener())
        ).share_of_calm
        for w in np.arange(0, 8, 0.5)
    ]
    assert shares[0] == pytest.approx(1)
    assert np.all(np.diff(shares) <= 1e-12)


def test_two_metres_a_second_leave_62_percent_of_the_area(display: Display, call: Call) -> None:
    # the recommended ranges say: distance -21 %, area -38 %
    found = verdict(display, Weather(wind_ms=2.0), LevelSoundscape(Conditions(wind_at_ear_ms=2.0), call, Listener()))
    assert found.share_of_calm == pytest.approx(0.62, abs=0.04)


def test_rain_and_snow_give_their_reason(display: Display, call: Call) -> None:
    rain = verdict(display, Weather(rain="light"), LevelSoundscape(Conditions(), call, Listener()))
    assert (rain.word, hindrance_words(rain)) == ("go, but", "light rain")
    assert "60 %" in verdict_sentence(rain)
    assert (
        verdict(display, Weather(rain="steady"), LevelSoundscape(Conditions(), call, Listener())).word == "stay in bed"
    )
    snow = verdict(display, Weather(), LevelSoundscape(Conditions(snow="fresh"), call, Listener()))
    assert "fresh snow" in hindrance_words(snow)
    logs = verdict(display, Weather(snow_cover_share=0.9), LevelSoundscape(Conditions(), call, Listener()))
    assert "logs" in hindrance_words(logs)
