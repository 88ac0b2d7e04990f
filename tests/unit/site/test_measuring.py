"""What is measured of the ground, and how far a window must look, worked out by hand for the ruffed grouse card."""

import re
from pathlib import Path

import numpy as np
import pytest

from hushwalk.errors import InputError, SettingsError
from hushwalk.grid.grid import Grid
from hushwalk.grid.layer import Layer
from hushwalk.habitat.suitability import suitability
from hushwalk.site.measuring import Seen, measure, overlap_of
from hushwalk.site.reading.cover_kinds import kind_by_key
from hushwalk.site.species import SpeciesCard, read_card
from hushwalk.site.species_file import read_card_text

GRID = Grid(32615, 500_000.0, 5_000_000.0, 10.0, 50, 40)


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


def own_card(folder: Path, **weights: float) -> SpeciesCard:
    """The card of the ruffed grouse with other weights."""
    text = read_card_text("ruffed_grouse")[1]
    for key, weight in weights.items():
        head, tail = text.split(f'key = "{key}"', 1)
        text = head + f'key = "{key}"' + re.sub(r"weight = [\d.]+", f"weight = {weight}", tail, count=1)
    path = folder / "own.toml"
    path.write_text(text, encoding="utf-8")
    return read_card(path)


def valley() -> Layer:
    down, right = np.indices(GRID.shape)
    return Layer("elevation", "m", GRID, 900 + np.abs(right - 20) * 3.0 - down * 0.4)


def woods(key: str = "aspen") -> Layer:
    return Layer("cover", "class", GRID, np.full(GRID.shape, float(kind_by_key(key).code)))


def test_only_what_the_bird_asks_for_is_measured(tmp_path: Path) -> None:
    seen = Seen(elevation=valley(), cover=woods())
    plain = measure(seen, read_card("ruffed_grouse"), "lake_states")
    assert set(plain) == {"cover_quality", "landscape_share", "mixture", "conifer_share", "slope"}
    own = measure(seen, own_card(tmp_path, northness=0.3, slope=0.0), "lake_states")
    assert set(own) == set(plain) - {"slope"} | {"northness"}
    # the valley falls to the south: its sides face west and east, each leaning a little to the south
    assert own["northness"].values[30, 5] == pytest.approx(-0.04 / np.hypot(0.04, 0.3))


def test_wetness_is_worked_out_where_no_streams_are_mapped() -> None:
    card = read_card("ruffed_grouse")
    assert "wetness" not in measure(Seen(elevation=valley(), cover=woods()), card, "lake_states")
    dry = Seen(elevation=valley(), cover=woods(), streams_mapped=False)
    found = measure(dry, card, "lake_states")
    score = next(need for need in card.needs("lake_states") if need.key == "wetness").score(found["wetness"]).values
    assert score[40, 20] == 1.0  # along the bottom
    assert score[40, 5] == 0.0  # on the side
    assert "wetness" not in measure(dry, card, "appalachians_south")  # logs lie on ridges there
    surface = suitability(card.needs("lake_states"), found, card.surface).layer.values
    assert surface[40, 20] > surface[40, 5]


def test_height_of_the_canopy_tells_growth_where_no_age_is_known() -> None:
    card = read_card("ruffed_grouse")
    age = Layer("age", "yr", GRID, np.where(np.indices(GRID.shape)[0] < 25, 8.0, np.nan))
    height = Layer("height", "m", GRID, np.where(np.indices(GRID.shape)[1] < 20, 5.0, 28.0))
    found = measure(Seen(cover=woods(), stand_age=age, canopy_height=height), card, "lake_states")
    assert np.array_equal(found["canopy_height"].known, ~age.known)
    assert (found["cover_quality"].values == 1.0).all()  # the best of aspen: growth is told everywhere
    made = suitability(card.needs("lake_states"), found, card.surface)
    assert made.local.values[:25] == pytest.approx(np.ones((25, 40)))  # prime by age, whatever the height
    assert made.local.values[30, :20] == pytest.approx(np.ones(20))  # saplings
    assert (made.local.values[30, 20:] < 0.45).all()  # tall old wood
    tall = measure(Seen(cover=woods("oak"), canopy_height=height), card, "lake_states")
    assert (tall["cover_quality"].values == 0.3).all()


def test_height_in_place_of_age_is_said_and_keeps_its_trust() -> None:
    card = read_card("ruffed_grouse")
    needs, cover = card.needs("lake_states"), woods()
    height = Layer("height", "m", GRID, np.full(GRID.shape, 5.0))
    neither = suitability(needs, measure(Seen(cover=cover), card, "lake_states"), card.surface)
    instead = suitability(needs, measure(Seen(cover=cover, canopy_height=height), card, "lake_states"), card.surface)
    assert "no layer for age of the stand: the ground is judged without it" in neither.notices
    assert "no layer for age of the stand: height of the canopy stands in for it" in instead.notices
    assert neither.confidence == pytest.approx(0.7 * 0.7)  # neither age nor canopy closure
    assert instead.confidence == pytest.approx(0.7)


def test_height_means_nothing_to_a_bird_whose_card_does_not_ask() -> None:
    card, height = read_card("american_woodcock"), Layer("height", "m", GRID, np.full(GRID.shape, 28.0))
    region = next(iter(card.file.region))
    with_it, without = (measure(Seen(cover=woods(), canopy_height=h), card, region) for h in (height, None))
    assert set(with_it) == set(without)
    np.testing.assert_array_equal(with_it["cover_quality"].values, without["cover_quality"].values)


def test_a_need_stands_in_for_a_need_of_the_card_only(tmp_path: Path) -> None:
    text = read_card_text("ruffed_grouse")[1].replace('stands_in_for = "stand_age"', 'stands_in_for = "age"')
    (tmp_path / "own.toml").write_text(text, encoding="utf-8")
    with pytest.raises(SettingsError, match="'canopy_height' stands in for 'age', no need of the card"):
        read_card(tmp_path / "own.toml")
