"""Face and flank against Lambert's cosine law, worked by hand."""

import numpy as np
import pytest

from hushwalk.filming.bird_parts import BirdPart, parts_apart, parts_seen
from hushwalk.filming.log_light import LogLight

FACE, FLANK = BirdPart.FACE, BirdPart.FLANK


def light_of(beam_lux: float, azimuth_deg: float) -> LogLight:
    """One minute: sky of 1000 lux over black ground, sun 10 degrees up without crowns."""
    one = np.ones(1)
    return LogLight(1000 * one, beam_lux * one, one, 10 * one, azimuth_deg * one, albedo=0.0, side_deg=45.0)


@pytest.mark.parametrize(
    ("facing", "camera", "seen"),
    [
        ((90.0,), 45.0, {FACE: 90.0, FLANK: 0.0}),  # three-quarter front
        ((90.0,), 90.0, {FACE: 90.0}),  # he looks into the lens
        ((90.0,), 0.0, {FLANK: 0.0}),  # from the side
        ((90.0,), 315.0, {FLANK: 0.0}),  # three-quarter rear
        ((90.0,), 270.0, {}),  # tail only
        ((80.0, 260.0), 225.0, {FACE: 260.0, FLANK: 170.0}),  # both ways across the log: the one that shows his face
        ((350.0,), 20.0, {FACE: 350.0, FLANK: 80.0}),  # across north
        ((), 45.0, {}),
    ],
)
def test_a_camera_sees_what_is_turned_to_it(
    facing: tuple[float, ...], camera: float, seen: dict[BirdPart, float]
) -> None:
    assert parts_seen(facing, camera) == seen


def test_the_face_that_looks_into_the_sun_gets_the_beam_and_the_flank_across_it_none() -> None:
    """An upright part under an even sky over black ground has half of the sky, plus beam x cos 10 x cos(turn)."""
    got = parts_apart(light_of(2000.0, 90.0), {FACE: 90.0, FLANK: 0.0}, [0])
    assert got[FLANK].middle_lux[0] == pytest.approx(500.0)
    assert got[FACE].middle_lux[0] == pytest.approx(500.0 + 2000.0 * np.cos(np.radians(10)))
    half = light_of(2000.0, 45.0)
    assert half.on_upright(90.0).middle_lux[0] == pytest.approx(half.on_upright(0.0).middle_lux[0])


def test_one_reading_does_where_they_differ_by_less_than_half_a_stop() -> None:
    parts = {FACE: 90.0, FLANK: 0.0}
    stop = 500.0 / np.cos(np.radians(10))  # this beam doubles the light of the face
    assert set(parts_apart(light_of(0.42 * stop, 90.0), parts, [0])) == {FACE, FLANK}  # log2 1.42 = 0.506
    assert parts_apart(light_of(0.41 * stop, 90.0), parts, [0]) == {}  # log2 1.41 = 0.496
    assert parts_apart(light_of(0.0, 90.0), parts, [0]) == {}
    assert parts_apart(light_of(5000.0, 90.0), {FACE: 90.0}, [0]) == {}
