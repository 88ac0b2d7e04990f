"""Chapman 2020, Current best practices for generalizing sensitive species occurrence data (GBIF, doi
10.15468/doc-5jp4-5g10), chapter 4, table 7: steps of 0.1, 0.01 and 0.001 degree for categories 2, 3 and 4."""

import numpy as np
import pytest

from hushwalk.errors import SettingsError
from hushwalk.grid.generalised import category_of, generalised
from hushwalk.wording.share_words import shared_words


@pytest.mark.parametrize(("category", "lat", "lon"), [(2, 45.0, -93.5), (3, 44.99, -93.46), (4, 44.988, -93.457)])
def test_places_are_rounded_to_the_step_of_their_category(category: int, lat: float, lon: float) -> None:
    assert generalised([-93.45678, 44.98765], category).tolist() == [lon, lat]


def test_all_places_of_a_cell_become_one() -> None:
    near = np.array([[-93.46, 44.96], [-93.54, 45.04], [-93.5, 45.0]])
    assert np.unique(generalised(near, 2), axis=0).tolist() == [[-93.5, 45.0]]


def test_category_one_publishes_nothing() -> None:
    with pytest.raises(SettingsError, match="not published at all"):
        generalised([-93.45678, 44.98765], 1)


@pytest.mark.parametrize(
    ("grid_m", "category"), [(15_000.0, 2), (11_000.0, 3), (1_200.0, 3), (1_000.0, 4), (100.0, None)]
)
def test_a_shared_plan_says_which_category_its_grid_meets(grid_m: float, category: int | None) -> None:
    assert category_of(grid_m) == category
    words = " ".join(shared_words(grid_m))
    assert (f"category {category}" in words) if category else ("too fine for any category" in words)
