import math
from dataclasses import replace

import pytest

from hushwalk.errors import SettingsError
from hushwalk.filming.framing import Fit, Lens, Room, Sensor, choose_lenses, frame, sensor_named

FULL = sensor_named("full_frame")
LONG = Lens("500 prime", 500, 5.6, 3.6)
ROOM = Room(10.0, 20.0)


def field_at(lens: Lens, distance_m: float, sensor: Sensor = FULL) -> float:
    """Thin lens: W (s - f) / f."""
    return sensor.width_mm / 1000 * (distance_m * 1000 - lens.focal_mm) / lens.focal_mm


def test_a_lens_that_fits() -> None:
    got = frame(LONG, FULL, 1.2, ROOM)
    assert got.distance_m == pytest.approx(0.5 * (1 + 1.2 / 0.036), abs=1e-6)  # 17.17 m
    assert got.fit is Fit.FITS
    assert got.field_m == pytest.approx(1.2)
    assert got.field_height_m == pytest.approx(0.8)


def test_a_little_less_room_is_tight_and_not_refused() -> None:
    """500 mm at 16 m shows 1.12 m, span 0.60 m: nothing is cut."""
    got = frame(LONG, FULL, 1.2, Room(10.0, 16.0))
    assert got.distance_m == 16.0
    assert got.field_m == pytest.approx(field_at(LONG, 16.0))
    assert round(got.field_m, 2) == 1.12
    assert got.fit is Fit.FITS  # within a tenth of the wanted width
    tight = frame(LONG.extended(1.4), FULL, 1.2, Room(10.0, 16.0))
    assert tight.fits
    assert tight.fit is Fit.TIGHT


def test_a_lens_that_cuts_the_wings_is_refused() -> None:
    got = frame(LONG.extended(2.0), FULL, 1.2, Room(10.0, 14.0))
    assert got.field_m < 0.6 * 1.1
    assert got.fit is Fit.CUT
    assert not got.fits


def test_room_that_nobody_noted_refuses_nothing() -> None:
    """300 mm on four thirds asks for 21.1 m; 20 m is an assumption."""
    small = sensor_named("four_thirds")
    got = frame(Lens("300", 300, 4.0, 1.4), small, 1.2, Room(10.0, 20.0, noted=False))
    assert got.distance_m == pytest.approx(0.3 * (1 + 1.2 / 0.0173))
    assert got.fits


def test_where_the_hide_stands_the_true_field_is_given() -> None:
    """300 mm at 30 m shows 3.56 m, whatever was wanted."""
    short = Lens("300", 300, 2.8, 2.5)
    stands = frame(short, FULL, 1.2, Room(10.0, 30.0, at_m=30.0))
    assert (stands.distance_m, round(stands.field_m, 2), stands.fit) == (30.0, 3.56, Fit.WIDE)
    free = frame(short, FULL, 1.2, Room(10.0, 30.0))
    assert free.distance_m == pytest.approx(0.3 * (1 + 1.2 / 0.036))  # 10.3 m: as far as there is room is no place
    assert free.fit is Fit.FITS


def test_of_two_lenses_that_frame_alike_the_brighter_wins() -> None:
    """Room to 16.5 m: 400 f/5.6 shows 1.2 m from 13.7 m, 500 f/4 shows 1.15 m and is a stop brighter."""
    lenses = (Lens("400", 400, 5.6, 3.0), Lens("500", 500, 4.0, 3.6))
    got = choose_lenses(lenses, (FULL.for_video(), FULL), (1.0,), 1.2, Room(10.0, 16.5))
    assert [choice.owned for choice in got] == ["500", "400"]
    assert got[0].video.field_m == pytest.approx(field_at(lenses[1], 16.5))


def test_the_picture_of_the_video_decides() -> None:
    """APS-C with a video crop of 1.5: the hide moves back for the video; the still shows more."""
    small = sensor_named("aps_c")
    lens = Lens("300", 300, 4.0, 1.4)
    video = small.for_video(1.5)
    (got,) = choose_lenses((lens,), (video, small), (1.0,), 1.2, Room(10.0, 30.0))
    assert got.video.field_m == pytest.approx(1.2)
    assert got.video.distance_m == pytest.approx(0.3 * (1 + 1200 / video.width_mm))
    assert got.still.distance_m == got.video.distance_m
    assert got.still.field_m == pytest.approx(field_at(lens, got.video.distance_m, small))


def test_a_short_lens_stays_at_the_stand_off_with_a_wider_field() -> None:
    got = frame(Lens("200", 200, 2.8, 2.0), FULL, 1.2, ROOM)
    assert got.distance_m == 10.0
    assert got.field_m == pytest.approx(0.036 * (10 - 0.2) / 0.2)
    assert got.fit is Fit.WIDE


def test_nearest_focus_holds_the_hide_back() -> None:
    got = frame(Lens("mirror", 300, 8, 12.0), FULL, 1.2, Room(8.0, 20.0))
    assert got.distance_m == 12.0
    assert (got.fit, got.nearest_m) == (Fit.NEAREST_FOCUS, 12.0)
    assert frame(Lens("mirror", 300, 8, 25.0), FULL, 1.2, Room(8.0, 20.0)).fit is Fit.OUT_OF_FOCUS


def test_a_zoom_uses_the_room_and_its_aperture_follows() -> None:
    zoom = Lens("zoom", 600, 6.3, 4.5, widest_mm=200, f_number_wide=5.0)
    got = frame(zoom, FULL, 1.2, ROOM)
    assert got.distance_m == pytest.approx(20.0)
    assert got.focal_mm == pytest.approx(20_000 / (1 + 1200 / 36))
    assert got.f_number == pytest.approx(5.0 + 1.3 * (got.focal_mm - 200) / 400)
    assert replace(zoom, f_number_wide=None).f_number_at(200) == 6.3


def test_an_extender_darkens_and_keeps_the_nearest_focus() -> None:
    got = LONG.extended(2.0)
    assert (got.focal_mm, got.f_number, got.nearest_m) == (1000, 11.2, 3.6)
    assert LONG.extended(1.0) is LONG


def test_an_extender_that_only_repeats_the_picture_is_left_off() -> None:
    zoom = Lens("zoom", 600, 6.3, 4.5, widest_mm=200)
    got = choose_lenses((zoom, LONG), (FULL.for_video(), FULL), (1.0, 1.4), 1.2, Room(10.0, 16.0))
    assert sorted(choice.video.lens for choice in got) == ["500 prime", "zoom"]


def test_video_takes_the_16_to_9_part() -> None:
    assert FULL.for_video().height_mm == pytest.approx(20.25)  # 36 x 9 / 16
    assert FULL.for_video(1.5).width_mm == pytest.approx(24.0)


def test_a_bird_deeper_than_the_focus_asks_for_a_smaller_aperture() -> None:
    """400 mm at 10 m: 0.40 m deep is f/11, so 0.45 m is f/12.5."""
    got = frame(Lens("400", 400, 5.6, 3.0), FULL, 0.864, Room(10.0, 20.0))
    assert got.bird_f_number == pytest.approx(12.5, abs=0.1)
    assert got.whole_bird_f_number == got.bird_f_number
    assert got.sharp.depth_m == pytest.approx(0.202, abs=0.001)
    dark = frame(Lens("400", 400, 16.0, 3.0), FULL, 0.864, Room(10.0, 20.0))
    assert dark.whole_bird_f_number == 16.0


def test_what_a_choice_costs_in_stops() -> None:
    """A field twice as wide at the same aperture throws away two stops, less what counts as alike."""
    wide = frame(Lens("200", 200, 4.0, 2.0), FULL, 1.2, Room(10.0, 40.0, at_m=20.0))
    fits = frame(Lens("fits", 20_000 / (1 + 1200 / 36), 4.0, 2.0), FULL, 1.2, Room(10.0, 40.0, at_m=20.0))
    lost = 2 * math.log2(wide.field_m / 1.2) - 2 * math.log2(1.1)
    assert wide.cost_stops - fits.cost_stops == pytest.approx(lost)


def test_what_cannot_be_is_refused() -> None:
    with pytest.raises(SettingsError, match="known are full_frame"):
        sensor_named("half_frame")
    with pytest.raises(SettingsError, match="nearest_m beyond"):
        Lens("odd", 500, 5.6, 0.4)
    with pytest.raises(SettingsError, match="nearest_m <= farthest_m"):
        Room(20.0, 10.0)
    with pytest.raises(SettingsError, match="move it back"):
        Room(10.0, 20.0, at_m=8.0)
    with pytest.raises(SettingsError, match="widest_mm"):
        Lens("odd zoom", 500, 5.6, 3.0, widest_mm=600)
    with pytest.raises(SettingsError, match="f_number_wide"):
        Lens("odd zoom", 500, 5.6, 3.0, f_number_wide=4.0)
    with pytest.raises(SettingsError, match="confusion"):
        Sensor("odd", 36, 24, 0.0)
    with pytest.raises(SettingsError, match="width_m must be above 0"):
        frame(LONG, FULL, 0.0, ROOM)
