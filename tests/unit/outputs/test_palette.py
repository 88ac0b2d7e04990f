import numpy as np
import pytest

from hushwalk.outputs.kit.palette import BANDS, COLOURS, TONES, cover_tone, rgb
from hushwalk.site.reading.cover_kinds import cover_kinds


def lightness(colour: str) -> float:
    """CIE L* under D65, from the definition of sRGB (IEC 61966-2-1) and CIE 1976."""
    channel = np.array(rgb(colour)) / 255
    linear = np.where(channel <= 0.04045, channel / 12.92, ((channel + 0.055) / 1.055) ** 2.4)
    y = float(linear @ [0.2126, 0.7152, 0.0722])
    return 116 * y ** (1 / 3) - 16 if y > 216 / 24389 else 24389 / 27 * y


def test_the_steps_of_suitability_are_even_in_lightness() -> None:
    steps = -np.diff([lightness(band.colour) for band in BANDS])
    assert steps == pytest.approx(15.0, abs=0.8)


def test_the_bands_cover_zero_to_one_without_a_gap() -> None:
    assert [band.low for band in BANDS] == [0.0, *(band.high for band in BANDS[:-1])]
    assert BANDS[-1].high == 1.0
    assert [band.word for band in BANDS] == ["poor", "fair", "good", "very good", "best"]


def test_black_words_stay_clear_on_every_cover_tone() -> None:
    assert min(lightness(tone) for tone in TONES.values()) > 80
    assert lightness(COLOURS["text"]) < 12


def test_every_cover_kind_has_a_tone_of_its_group() -> None:
    for kind in cover_kinds().values():
        assert kind.group in TONES
        assert cover_tone(kind.key) == TONES[kind.group]
    assert cover_tone("never heard of") == TONES[""]
