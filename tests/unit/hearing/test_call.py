from typing import Any

import pytest

from hushwalk.errors import SettingsError
from hushwalk.hearing.call import Call, call_from_card


def test_the_drum_of_the_card(call: Call) -> None:
    assert call.bands_hz == (40, 50, 63, 80, 100)
    assert (call.levels - call.levels[0]).tolist() == pytest.approx([0, -2, -6, -12, -18])


@pytest.mark.parametrize("key", ["call", "bands_hz", "level_at_1m_db", "height_m", "duration_s"])
def test_a_card_that_lacks_a_key_says_which(card: dict[str, Any], key: str) -> None:
    broken = {**card, "sound": {k: v for k, v in card["sound"].items() if k != key}}
    with pytest.raises(SettingsError, match=key):
        call_from_card(broken)


def test_a_card_without_sound_says_so(card: dict[str, Any]) -> None:
    with pytest.raises(SettingsError, match=r"\[sound\]"):
        call_from_card({"name": "owl"})
    with pytest.raises(SettingsError, match="sound"):
        call_from_card({**card, "sound": {**card["sound"], "bands_hz": 40}})


@pytest.mark.parametrize(
    ("bands", "levels", "word"),
    [((40.0, 50.0), (90.0,), "one level"), ((50.0, 40.0), (90.0, 80.0), "rise"), ((40.0, 1e4), (9.0, 8.0), "10000 Hz")],
)
def test_a_call_that_cannot_be(bands: tuple[float, ...], levels: tuple[float, ...], word: str) -> None:
    with pytest.raises(SettingsError, match=word):
        Call("drum", bands, levels, 0.5, 9.0)


def test_levels_must_be_finite() -> None:
    with pytest.raises(SettingsError, match="finite"):
        Call("drum", (40.0,), (float("nan"),), 0.5, 9.0)
