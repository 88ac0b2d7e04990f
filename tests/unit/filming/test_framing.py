import pytest

from hushwalk.errors import SettingsError
from hushwalk.filming.framing import Fit, Lens, Room, Sensor, frame, frame_all, sensor_named

FULL = sensor_named("full_frame")
LONG = Lens("500 prime", 500, 5.6, 3.6)
ROOM = Room(10.0, 20.0)


def test_a_lens_that_fits() -> None:
    got = frame(LONG, FULL, 1.2, ROOM)
    assert got.distance_m == pytest.approx(0.5 * (1 + 1.2 / 0.036), abs=1e-6)  # 17.17 m
    assert got.fits
    assert got.fit is Fit.FITS
    assert got.field_m == pytest.approx(1.2)
    assert got.field_height_m == pytest.approx(0.8)


def test_a_lens_too_long_for_the_room_says_so() -> None:
    got = frame(LONG.extended(1.4), FULL, 1.2, ROOM)
    assert not got.fits
    assert (got.fit, round(got.distance_m, 1)) == (Fit.TOO_FAR, 24.0)


def test_a_short_lens_stays_at_the_stand_off_with_a_wider_field() -> None:
    got = frame(Lens("200", 200, 2.8, 2.0), FULL, 1.2, ROOM)
    assert got.distance_m == 10.0
    assert got.field_m == pytest.approx(0.036 * (10 - 0.2) / 0.2)
    assert got.fit is Fit.TOO_NEAR


def test_nearest_focus_holds_the_hide_back() -> None:
    got = frame(Lens("mirror", 300, 8, 12.0), FULL, 1.2, Room(8.0, 20.0))
    assert got.distance_m == 12.0
    assert (got.fit, got.nearest_m) == (Fit.NEAREST_FOCUS, 12.0)


def test_a_zoom_uses_the_room() -> None:
    zoom = Lens("zoom", 600, 6.3, 4.5, widest_mm=200)
    got = frame(zoom, FULL, 1.2, ROOM)
    assert got.distance_m == pytest.approx(20.0)
    assert got.focal_mm == pytest.approx(20_000 / (1 + 1200 / 36))
    assert got.fits


def test_an_extender_darkens_and_keeps_the_nearest_focus() -> None:
    got = LONG.extended(2.0)
    assert (got.focal_mm, got.f_number, got.nearest_m) == (1000, 11.2, 3.6)
    assert LONG.extended(1.0) is LONG


def test_video_takes_the_16_to_9_part() -> None:
    assert FULL.for_video().height_mm == pytest.approx(20.25)  # 36 x 9 / 16
    assert FULL.for_video(1.5).width_mm == pytest.approx(24.0)


def test_a_bird_deeper_than_the_focus_asks_for_a_smaller_aperture() -> None:
    """400 mm at 10 m: 0.40 m deep is f/11, so 0.45 m is f/12.5."""
    got = frame(Lens("400", 400, 5.6, 3.0), FULL, 0.864, Room(10.0, 20.0))
    assert got.bird_f_number == pytest.approx(12.5, abs=0.1)
    assert got.sharp.depth_m == pytest.approx(0.202, abs=0.001)


def test_what_fits_comes_first() -> None:
    rows = frame_all((LONG, Lens("800", 800, 5.6, 6.0)), (FULL, FULL.for_video()), (1.0, 1.4, 2.0), 1.2, ROOM)
    assert len(rows) == 12
    assert [r.fits for r in rows] == sorted((r.fits for r in rows), reverse=True)
    assert rows[0].lens == "500 prime"


def test_what_cannot_be_is_refused() -> None:
    with pytest.raises(SettingsError, match="known are full_frame"):
        sensor_named("half_frame")
    with pytest.raises(SettingsError, match="nearest_m beyond"):
        Lens("odd", 500, 5.6, 0.4)
    with pytest.raises(SettingsError, match="nearest_m <= farthest_m"):
        Room(20.0, 10.0)
    with pytest.raises(SettingsError, match="widest_mm"):
        Lens("odd zoom", 500, 5.6, 3.0, widest_mm=600)
    with pytest.raises(SettingsError, match="confusion"):
        Sensor("odd", 36, 24, 0.0)
    with pytest.raises(SettingsError, match="width_m must be above 0"):
        frame(LONG, FULL, 0.0, ROOM)
