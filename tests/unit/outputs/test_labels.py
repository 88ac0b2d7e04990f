import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from hushwalk.outputs.kit.labels import free_places, touch

FRAME = (0.0, 0.0, 400.0, 400.0)
SPOTS = st.lists(st.tuples(st.floats(0, 400), st.floats(0, 400)), min_size=1, max_size=25)


@settings(max_examples=60, deadline=None)
@given(SPOTS)
def test_no_label_hides_a_sign_or_another_label(spots: list[tuple[float, float]]) -> None:
    points = [np.array(spot) for spot in spots]
    said = free_places(points, (60.0, 9.0), 9.0, [(190, 190, 210, 210)], FRAME, np.empty((0, 2)))
    boxes = [(x, y, x + 60, y + 9) for x, y in (place for place in said if place)]
    signs = [(x - 9, y - 9, x + 9, y + 9) for x, y in spots] + [(190, 190, 210, 210)]
    assert not any(touch(box, sign) for box in boxes for sign in signs)
    assert not any(touch(a, b) for k, a in enumerate(boxes) for b in boxes[:k])
    assert all(min(box) >= 0 and max(box) <= 400 for box in boxes)


def test_a_lone_point_always_gets_its_label_and_keeps_off_the_line() -> None:
    line = np.c_[np.linspace(200, 300, 50), np.full(50, 200.0)]
    ((x, _),) = free_places([np.array([200.0, 200.0])], (60.0, 9.0), 9.0, [], FRAME, line)
    assert x + 60 <= 191.0
