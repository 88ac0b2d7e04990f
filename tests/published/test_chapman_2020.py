"""Chapman 2020, Current best practices for generalizing sensitive species occurrence data (GBIF, doi
10.15468/doc-5jp4-5g10), chapter 4, table 7: steps of 0.1, 0.01 and 0.001 degree for categories 2, 3 and 4."""

import numpy as np
import pytest

from hushwalk.grid.generalised import DECIMALS, category_of
from hushwalk.wording.share_words import shared_words


@pytest.mark.parametrize(("category", "lat", "lon"), [(2, 45.0, -93.5), (3, 44.99, -93.46), (4, 44.988, -93.457)])
def test_the_step_of_a_category_rounds_places_as_printed(category: int, lat: float, lon: float) -> None:
    assert np.round([-93.45678, 44.98765], DECIMALS[category]).tolist() == [lon, lat]


def test_category_one_publishes_nothing() -> None:
    assert set(DECIMALS) == {2, 3, 4}


@pytest.mark.parametrize(
    ("grid_m", "category"), [(15_000.0, 2), (11_000.0, 3), (1_200.0, 3), (1_000.0, 4), (100.0, None)]
)
def test_a_shared_plan_says_which_category_its_grid_meets(grid_m: float, category: int | None) -> None:
    assert category_of(grid_m) == category
    words = " ".join(shared_words(grid_m))
    assert (f"category {category}" in words) if category else ("too fine for any category" in words)
