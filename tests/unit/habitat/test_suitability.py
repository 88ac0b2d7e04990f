import numpy as np
import pytest

from hushwalk.errors import GridMismatchError, InputError, PlaceError, SettingsError
from hushwalk.grid.grid import Grid
from hushwalk.grid.layer import Layer
from hushwalk.habitat.needs import Need, Role
from hushwalk.habitat.suitability import SurfaceParams, suitability
from hushwalk.habitat.why import why
from hushwalk.science.curves import Curve
from hushwalk.wording.habitat_words import reason_words, why_sentence

IDENTITY = Curve((0.0, 1.0), (0.0, 1.0))

GRID = Grid(32615, 0.0, 0.0, 10.0, 1, 4)
POINT = SurfaceParams(home_radius_m=0.0, floor=0.5)


def need(
    key: str,
    role: Role,
    weight: float = 1.0,
    *,
    when_absent: float | None = None,
    optional: bool = False,
    curve: Curve = IDENTITY,
) -> Need:
    source = "judgement: made up" if when_absent is not None else ""
    return Need(key, key, "1", role, weight, curve, "spring", "definition", "found", when_absent, source, optional)


def layer(*values: float, grid: Grid = GRID) -> Layer:
    return Layer("made up", "1", grid, np.array([values]))


NEEDS = (
    need("cover", "limiting", when_absent=0.3),
    need("age", "limiting"),
    need("share", "compensating", 3.0),
    need("edge", "compensating", 1.0),
)


def test_limits_multiply_and_surroundings_average() -> None:
    made = suitability(
        NEEDS,
        {"cover": layer(0.8, 0.8, 0.0, 1.0), "age": layer(0.5, np.nan, 1.0, 1.0)}
        | {"share": layer(1.0, 0.0, 1.0, 0.0), "edge": layer(1.0, 1.0, 1.0, 0.0)},
        POINT,
    )
    assert made.layer.values == pytest.approx(np.array([[0.4, 0.8 * 0.625, 0.0, 0.5]]))
    assert made.missing == ()
    assert made.notices == ()
    assert made.weights == {"cover": 1.0, "age": 1.0, "share": 0.75, "edge": 0.25}


def test_a_missing_surrounding_leaves_its_weight_to_the_others_and_is_told() -> None:
    made = suitability(NEEDS, {"cover": layer(1, 1, 1, 1), "edge": layer(0, 1, 0.5, 1)}, POINT)
    assert made.layer.values == pytest.approx(np.array([[0.5, 1.0, 0.75, 1.0]]))
    assert [n.key for n in made.missing] == ["age", "share"]
    assert made.weights["edge"] == 1.0
    assert made.notices == (
        "no layer for age: the ground is judged without it",
        "no layer for share: its weight is shared by the other surroundings",
    )
    assert made.confidence == pytest.approx(0.7)


def test_without_a_cover_layer_a_stand_in_is_taken_and_told() -> None:
    made = suitability(NEEDS, {"edge": layer(1, 1, 1, 1)}, POINT)
    assert made.layer.values == pytest.approx(np.full((1, 4), 0.3))
    assert "no layer for cover: it is taken as 0.3 of 1 everywhere (judgement: made up)" in made.notices
    assert made.confidence == pytest.approx(0.49)


def test_a_seldom_mapped_need_is_no_news() -> None:
    needs = (*NEEDS[:1], need("stems", "limiting", optional=True))
    made = suitability(needs, {"cover": layer(1, 1, 1, 1)}, POINT, confidence=0.5)
    assert made.notices == ()
    assert made.confidence == 0.5


def test_unknown_cover_stays_unknown_even_if_the_age_is_known() -> None:
    made = suitability(NEEDS, {"cover": layer(1, np.nan, 1, 1), "age": layer(1, 1, 1, 1)}, POINT)
    assert np.isnan(made.layer.values[0, 1])
    assert made.layer.known.sum() == 3


def test_confidence_counts_the_cells_that_were_measured() -> None:
    made = suitability(NEEDS[:2], {"cover": layer(1, 1, 1, 1), "age": layer(1, np.nan, np.nan, np.nan)}, POINT)
    assert made.confidence == pytest.approx(0.7 + 0.3 * 0.25)


def test_the_home_range_is_averaged_but_nobody_displays_on_worthless_ground() -> None:
    wide = SurfaceParams(home_radius_m=10.0, floor=0.5)
    made = suitability(NEEDS[:1], {"cover": layer(1.0, 0.4, 0.0, 0.6)}, wide)
    assert made.home.values == pytest.approx(np.array([[0.7, 1.4 / 3, 0.0, 0.3]]))


def test_foreign_missing_and_misplaced_ingredients_are_refused() -> None:
    with pytest.raises(InputError, match="'wind' answers no need"):
        suitability(NEEDS, {"wind": layer(1, 1, 1, 1)}, POINT)
    with pytest.raises(InputError, match="nothing is known of what limits"):
        suitability(NEEDS[1:], {"edge": layer(1, 1, 1, 1)}, POINT)
    with pytest.raises(InputError, match="add a layer of kind `cover`"):
        suitability(NEEDS, {}, POINT)
    other = Grid(32615, 0.0, 10.0, 10.0, 1, 4)
    with pytest.raises(GridMismatchError):
        suitability(NEEDS, {"cover": layer(1, 1, 1, 1), "edge": layer(1, 1, 1, 1, grid=other)}, POINT)
    with pytest.raises(SettingsError, match="home_radius_m"):
        SurfaceParams(home_radius_m=-1.0, floor=0.5)


def test_reasons_give_back_the_answer() -> None:
    made = suitability(
        NEEDS,
        {"cover": layer(0.8, 1, 1, 1), "age": layer(0.5, 1, 1, 1)}
        | {"share": layer(0.2, 1, 1, 1), "edge": layer(0.9, 1, 1, 1)},
        POINT,
    )
    said = why(made, (5.0, -5.0))
    assert {r.need.key: round(r.factor, 4) for r in said.reasons} == {
        "age": 0.5,
        "share": 1 - 0.5 * 0.75 * 0.8,
        "cover": 0.8,
        "edge": 1 - 0.5 * 0.25 * 0.1,
    }
    lost = sum(1 - r.factor for r in said.reasons if r.need.key in {"share", "edge"})
    assert said.suitability == pytest.approx(0.8 * 0.5 * (1 - lost))
    assert [r.need.key for r in said.reasons][:2] == ["age", "share"]
    worth = f"Worth {said.suitability:.2f} of the best ground"
    assert why_sentence(said).startswith(f"{worth}; for it: cover, edge; against it: share")


def test_reasons_for_unknown_and_assumed_ground_say_so() -> None:
    made = suitability(NEEDS[:2], {"age": layer(np.nan, 1, 1, 1)}, POINT)
    said = why(made, (5.0, -5.0))
    assert any("taken as 0.30 of 1, no layer" in reason_words(r) for r in said.reasons)
    assert any(reason_words(r) == "age: not known here" for r in said.reasons)
    dark = suitability(NEEDS[:1], {"cover": layer(np.nan, 1, 1, 1)}, POINT)
    assert why_sentence(why(dark, (5.0, -5.0))) == "Nothing is known of this ground."
    with pytest.raises(PlaceError, match="the place asked about"):
        why(made, (500.0, -5.0))
