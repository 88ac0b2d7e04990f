from datetime import date
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from hushwalk.filming.day_at_log import DayAtLog
from hushwalk.filming.log_light import light_at_log, video_shot, wing_shots
from hushwalk.filming.log_places import Facing
from hushwalk.filming.session_report import SessionCaution
from hushwalk.filming.sky_day import shade, sky_day, spells
from hushwalk.filming.skyline import Skyline
from hushwalk.logs.sight_line import SightLine
from hushwalk.wording import filming_words as words_of


@pytest.mark.parametrize(("shutter", "words"), [(1 / 49, "1/49"), (1 / 9475, "1/9500"), (1.0, "1 s"), (0.5, "1/2")])
def test_shutters_as_people_write_them(shutter: float, words: str) -> None:
    assert words_of.shutter_words(shutter) == words


def test_the_hide_is_left_after_silence() -> None:
    assert "30 minutes of silence" in words_of.leave_rule()


def test_every_picture_has_a_name() -> None:
    assert words_of.shot_words(video_shot(4.0, 59.94)) == "video, 59.94 frames a second"
    assert len({words_of.shot_words(shot) for shot in wing_shots(4.0, 1.2)}) == 4


def test_every_caution_has_words() -> None:
    assert set(words_of._cautions()) == set(SessionCaution)


def test_every_uncertain_facing_has_words() -> None:
    said = {facing: words_of._facing_words(facing) for facing in Facing}
    assert said[Facing.KNOWN] == ""
    assert "droppings lie both ends" in said[Facing.BOTH_ENDS]
    assert len(set(said.values())) == len(Facing)


def test_heights_that_end_on_one_side_are_named() -> None:
    reach = np.full(360, 20_000.0)
    reach[80:100] = 1000.0
    notices = words_of.skyline_words(Skyline(np.zeros(360), np.full(360, -np.inf), reach, 20_000.0))
    assert "end 1.0 km off towards the east" in notices[0]
    assert "no skyline was measured" in notices[1]
    assert words_of.skyline_words(Skyline(np.zeros(360), np.zeros(360), np.full(360, 2e4), 2e4)) == ()


def test_heights_that_end_at_different_distances_are_named_by_direction() -> None:
    """A log 1.2 km from the east edge and 4 km from the west: not "1.2 km on all sides"."""
    reach = np.full(360, 4000.0)
    reach[70:110] = 1200.0
    (notice,) = words_of.skyline_words(Skyline(np.zeros(360), np.zeros(360), reach, 20_000.0))
    assert "end 1.2 km off towards the east, 4.0 km towards the" in notice
    assert "all sides" not in notice


def test_a_polar_day_is_one_on_which_the_sun_does_not_set() -> None:
    june = sky_day(date(2027, 6, 10), ZoneInfo("Europe/Oslo"), 25.0, 69.5)
    skyline = Skyline(np.zeros(360), np.full(360, -np.inf), np.full(360, 2e4), 2e4)
    states = shade(june, skyline)
    day = DayAtLog(june.midnight.date(), june, spells(states), light_at_log(june, states), None)
    assert june.polar_day
    assert "does not set" in words_of.light_words(day)
    assert "does not set" in words_of.day_cells(day)[-1]
    assert not sky_day(date(2027, 12, 10), ZoneInfo("Europe/Oslo"), 25.0, 69.5).polar_day


def test_the_height_of_the_lens_is_said_with_what_the_ground_hides() -> None:
    clear = words_of.sight_words(SightLine(0.6, least_m=0.2, hump_m=4.0, cell_m=10.0, noted=False))
    assert clear.startswith("Lens 0.6 m above the ground, assumed: by the heights it sees the log")
    hidden = words_of.sight_words(SightLine(0.9, least_m=1.41, hump_m=8.0, cell_m=10.0, noted=True))
    assert "as noted: by the heights the ground 8 m in front of it hides the log; it takes 1.5 m" in hidden
    assert "humps smaller than 10 m" in hidden
    unknown = SightLine(0.6, least_m=None, hump_m=0.0, cell_m=10.0, noted=False)
    assert "no heights between" in words_of.sight_words(unknown)
