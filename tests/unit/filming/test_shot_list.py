"""The shot list by the clock on made light."""

from collections.abc import Callable
from itertools import pairwise

import numpy as np
import pytest

from hushwalk.filming.day_at_log import DayAtLog
from hushwalk.filming.framing import Lens, Room, choose_lenses, sensor_named
from hushwalk.filming.log_light import LightParams, ShotKind, light_at_log, video_shot
from hushwalk.filming.seats import Seat
from hushwalk.filming.sessions import Activity, SessionParams, session_of
from hushwalk.filming.shot_list import ShotList, ShotParams, shot_list
from hushwalk.filming.sky_day import SkyDay, shade, spells
from hushwalk.filming.skyline import Skyline
from hushwalk.logs.sides import Side
from hushwalk.science.exposure import iso_needed
from hushwalk.wording.shot_words import changes, joined_slots

FULL = sensor_named("full_frame")
LENSES = (Lens("600", 600, 6.3, 4.0), Lens("200 bright", 200, 2.8, 2.0))
PARAMS = ShotParams(frames_per_s=50.0, iso_max=12_800.0, displays_per_min=0.2, bout_min=35.0)


@pytest.fixture
def shots(april: SkyDay, skyline: Callable[..., Skyline]) -> Callable[..., ShotList]:
    def made(sky: str = "clear", params: ShotParams = PARAMS) -> ShotList:
        states = shade(april, skyline(), overcast=sky == "overcast")
        light = light_at_log(april, states, LightParams(sky)).from_side(45.0)
        choices = choose_lenses(LENSES, (FULL.for_video(), FULL), (1.0,), 1.2, Room(10.0, 30.0, at_m=20.6))
        seat = Seat(Side("NE", 45.0, 20.6, (0.0, 0.0), 0.0, 0.8, ()), Room(10.0, 30.0), choices)
        shot = SessionParams(video_shot(seat.video.whole_bird_f_number, 50.0), 12_800.0)
        session = session_of(april, light, states, Activity((-60, 120), (1.0, 0.4)), shot)
        got = shot_list(DayAtLog(april.midnight.date(), april, spells(states), light, session), seat, params)
        assert got is not None
        return got

    return made


def test_the_morning_goes_from_sound_to_portrait_to_fan_to_frozen(shots: Callable[..., ShotList]) -> None:
    got = shots()
    order = [ShotKind.PORTRAIT, ShotKind.SWEPT, ShotKind.HALF_BLURRED, ShotKind.SLOW_FROZEN, ShotKind.ROLL_FROZEN]
    kinds = [order.index(slot.still.shot.kind) for slot in got.slots if slot.still is not None]
    assert kinds == sorted(kinds)
    assert got.slots[0].sound_only
    assert got.first_still is not None
    assert got.first_video is not None
    assert got.first_still <= got.first_video


def test_every_setting_stays_below_the_highest_iso_and_exposes_rightly(shots: Callable[..., ShotList]) -> None:
    got = shots()
    for slot in got.slots:
        for one in (slot.video, slot.still):
            assert one is None or one.iso <= 12_800.0
    slot = got.slots[-1]
    assert slot.video is not None
    lux = 250.0 * slot.video.shot.f_number**2 / (slot.video.iso * slot.video.shot.shutter_s)  # ISO 2720, C = 250
    assert float(iso_needed(lux, slot.video.shot.f_number, slot.video.shot.shutter_s)) == pytest.approx(slot.video.iso)


def test_the_lens_of_the_first_light_is_the_brighter_one(shots: Callable[..., ShotList]) -> None:
    got = shots()
    lenses = [slot.video.lens for slot in got.slots if slot.video is not None]
    assert lenses[0] == "200 bright"
    assert lenses[-1] == "600"
    assert sum(one != other for one, other in pairwise(lenses)) == 1
    assert "change to the 600" in " ".join(words for _, words in changes(got))


def test_sun_is_named_by_its_contrast_and_full_cloud_has_none(shots: Callable[..., ShotList]) -> None:
    assert max(slot.contrast_stops for slot in shots().slots) > 2
    assert max(slot.contrast_stops for slot in shots("overcast").slots) == 0


def test_displays_are_those_of_the_hours(shots: Callable[..., ShotList]) -> None:
    """Each quarter has 15 minutes times 0.2 a minute times the activity."""
    got = shots()
    for slot in got.slots:
        assert 15 * 0.2 * 0.4 - 1e-9 <= slot.displays <= 15 * 0.2 + 1e-9
    seen = [slot.displays for slot in got.slots if not slot.sound_only]
    assert got.displays == pytest.approx(np.sum(seen))


def test_quarters_of_darkness_are_joined(shots: Callable[..., ShotList]) -> None:
    got = shots()
    rows = joined_slots(got)
    dark = sum(slot.sound_only for slot in got.slots)
    assert len(rows) == len(got.slots) - dark + 1
    assert rows[0][1] == rows[1][0]
    assert got.at(got.slots[3].start) is got.slots[3]
