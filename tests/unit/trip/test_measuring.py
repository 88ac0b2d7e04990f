"""How far a window must look, worked out by hand for the ruffed grouse card."""

import pytest

from hushwalk.errors import InputError
from hushwalk.trip.measuring import Seen, overlap_of
from hushwalk.trip.species import read_card


@pytest.mark.parametrize(
    ("cell_m", "step"),
    [(30.0, 2), (10.0, 40), (100.0, 1)],  # 1,600 m is 53, 160 and 16 cells; every 20 make the cells coarser by one
)
def test_overlap_holds_the_widest_look_and_is_whole_steps(cell_m: float, step: int) -> None:
    overlap, steps = overlap_of(read_card("ruffed_grouse"), "lake_states", cell_m)
    assert steps == step
    assert overlap % step == 0
    assert overlap * cell_m >= 1600 + 113 + 50
    assert overlap * cell_m <= 1600 + 113 + 50 + (3 + 2 * step) * cell_m


def test_ground_of_which_nothing_is_known_is_refused() -> None:
    with pytest.raises(InputError, match="nothing is known"):
        _ = Seen().any
