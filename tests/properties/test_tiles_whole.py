"""Wide ground judged in windows is the whole ground to the last bit, whatever the cut and whoever does the work."""

from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from scipy import ndimage

from hushwalk.files.tiles import Tile, TileStore, cut, pool_of, stream
from hushwalk.grid.grid import Grid
from hushwalk.grid.layer import Layer
from hushwalk.habitat.density import density
from hushwalk.habitat.patches import patches
from hushwalk.habitat.suitability import suitability
from hushwalk.habitat.tiled_patches import Pieces, joined, pieces_of, wide_patches
from hushwalk.regions.window import PARTS, UNKNOWN, ScoringConfig, score_window
from hushwalk.site.measuring import Seen, measure, overlap_of
from hushwalk.site.reading.cover_kinds import cover_kinds
from hushwalk.site.species_file import read_card_text

CODES = np.array(sorted(cover_kinds()))
UNWALKABLE = [code for code, kind in cover_kinds().items() if not kind.walkable]
KEY, TEXT = read_card_text("ruffed_grouse")
SIDES = ("table", "top", "bottom", "left", "right")


def landscape(seed: int, n_rows: int, n_cols: int, grain: float) -> dict[str, np.ndarray]:
    """Blotches of every cover kind, unknown ground among them, hills with a hole, and some water."""
    rng = np.random.default_rng(seed)
    rough = ndimage.gaussian_filter(rng.random((n_rows, n_cols)), grain)
    ranks = rough.ravel().argsort().argsort().reshape(rough.shape) / rough.size
    palette = rng.permutation(CODES)[: rng.integers(3, len(CODES))]
    cover = palette[np.minimum((ranks * len(palette)).astype(int), len(palette) - 1)].astype(np.uint8)
    hills = ndimage.gaussian_filter(rng.random((n_rows, n_cols)), 3) * 900
    hills[rng.random(hills.shape) < 0.02] = np.nan
    age = np.where(rng.random(hills.shape) < 0.5, rng.integers(0, 90, hills.shape), np.nan)
    wet = rng.random(hills.shape) < 0.003
    return {
        "cover": cover,
        "elevation": hills.astype(np.float32),
        "stand_age": age.astype(np.float32),
        "canopy_height": np.where(rng.random(hills.shape) < 0.7, rng.random(hills.shape) * 30, np.nan).astype(
            np.float32
        ),
        "wet": wet,
        "water": (wet & (rng.random(hills.shape) < 0.5)) | np.isin(cover, UNWALKABLE),
    }


def outer(held: dict[str, np.ndarray], tile: Tile) -> dict[str, np.ndarray]:
    row, col, n_rows, n_cols = tile.outer
    return {name: np.ascontiguousarray(values[row : row + n_rows, col : col + n_cols]) for name, values in held.items()}


def judged(scoring: ScoringConfig, held: dict[str, np.ndarray], window: int) -> tuple[np.ndarray, np.ndarray]:
    overlap, step = overlap_of(scoring.card, scoring.region, scoring.grid.cell_m)
    surface = np.full(scoring.grid.shape, 7, dtype=np.uint16)
    found = []
    for tile in cut(scoring.grid.shape, window, overlap, step):
        done = score_window(scoring, outer(held, tile), tile)
        surface[tile.row : tile.row + tile.n_rows, tile.col : tile.col + tile.n_cols] = done["suitability"]
        found.append(Pieces(tile.row, tile.col, *(done[name] for name in SIDES)))
    return surface, joined(found, scoring.grid.n_cols, scoring.least_cells)


@settings(max_examples=12, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(
    seed=st.integers(0, 10_000),
    n_rows=st.integers(40, 200),
    n_cols=st.integers(40, 200),
    window=st.integers(16, 90),
    cell_m=st.sampled_from([30.0, 60.0, 17.3]),
    grain=st.sampled_from([0.6, 3.0]),
    region=st.sampled_from(["lake_states", "appalachians_south"]),
)
def test_windows_give_the_whole_to_the_last_bit(
    seed: int, n_rows: int, n_cols: int, window: int, cell_m: float, grain: float, region: str
) -> None:
    scoring = ScoringConfig(
        Grid(32615, 500_000.0, 5_000_000.0, cell_m, n_rows, n_cols), KEY, TEXT, region, "unknown", wet_known=True
    )
    held = landscape(seed, n_rows, n_cols, grain)
    whole, whole_patches = judged(scoring, held, 10_000)
    tiled, tiled_patches = judged(scoring, held, window)
    np.testing.assert_array_equal(tiled, whole)
    np.testing.assert_array_equal(tiled_patches, whole_patches)


def test_an_overlap_that_is_too_small_is_noticed() -> None:
    """The check above can fail: without an overlap it does."""
    scoring = ScoringConfig(
        Grid(32615, 500_000.0, 5_000_000.0, 30.0, 200, 200), KEY, TEXT, "lake_states", "unknown", wet_known=True
    )
    held = landscape(5, 200, 200, 3.0)
    whole, _ = judged(scoring, held, 10_000)
    _, step = overlap_of(scoring.card, scoring.region, 30.0)
    other = np.zeros_like(whole)
    for tile in cut((200, 200), 50, 0, step):
        part = score_window(scoring, outer(held, tile), tile)["suitability"]
        other[tile.row : tile.row + tile.n_rows, tile.col : tile.col + tile.n_cols] = part
    assert (other != whole).any()


def test_a_window_is_judged_as_a_trip_is() -> None:
    """The same cells through the rooms that a trip uses, patches found by scipy on the whole ground."""
    grid = Grid(32615, 500_000.0, 5_000_000.0, 30.0, 150, 170)
    scoring = ScoringConfig(grid, KEY, TEXT, "lake_states", "unknown", wet_known=True)
    held = landscape(3, *grid.shape, 3.0)
    parts, table = judged(scoring, held, 64)
    card = scoring.card
    cover = Layer("cover", "class", grid, np.where(held["cover"] == 0, np.nan, held["cover"]))
    seen = Seen(
        Layer("elevation", "m", grid, held["elevation"]), cover, Layer("stand_age", "yr", grid, held["stand_age"])
    )
    height = Layer("canopy_height", "m", grid, held["canopy_height"])
    seen = Seen(seen.elevation, cover, seen.stand_age, None, held["wet"], height)
    needs = card.needs("lake_states")
    keys = {need.key for need in needs}
    measured = {key: layer for key, layer in measure(seen, card, "lake_states").items() if key in keys}
    surface = suitability(needs, measured, card.surface).layer
    surface = surface.with_values(np.where(held["water"], 0.0, surface.values))
    np.testing.assert_allclose(
        np.where(parts == UNKNOWN, np.nan, parts / PARTS), surface.values, atol=0.5 / PARTS + 1e-12
    )
    males = card.density("lake_states", "unknown")
    own = wide_patches(table, grid, males)
    known = patches(surface, density(surface, males), card.patch).patches
    assert len(own) == len(known) > 3
    for mine, theirs in zip(own, known, strict=True):
        for name in ("area_ha", "core_ha", "rim_m", "shape", "suitability", "males_low", "males", "males_high"):
            assert getattr(mine, name) == pytest.approx(getattr(theirs, name), rel=1e-6), name
        assert mine.centre_m == pytest.approx(theirs.centre_m, rel=1e-9)


@pytest.mark.parametrize("engine", ["threads", "processes"])
def test_threads_and_processes_give_the_same_and_a_stopped_run_goes_on(tmp_path: Path, engine: str) -> None:
    scoring = ScoringConfig(
        Grid(32615, 500_000.0, 5_000_000.0, 60.0, 90, 80), KEY, TEXT, "lake_states", "unknown", wet_known=True
    )
    held = landscape(11, 90, 80, 2.0)
    overlap, step = overlap_of(scoring.card, scoring.region, 60.0)
    tiles = cut((90, 80), 32, overlap, step)
    work = Judge(scoring)
    read_first: list[int] = []

    def read(tile: Tile) -> dict[str, np.ndarray]:
        if len(read_first) == 4:
            raise KeyboardInterrupt
        read_first.append(tile.number)
        return outer(held, tile)

    with pool_of(2, engine) as pool, TileStore(tmp_path / "half", "one") as store, pytest.raises(KeyboardInterrupt):
        stream(tiles, store, read, work, pool, 2)
    kept = len(TileStore(tmp_path / "half", "one").done)
    assert 1 <= kept <= 4
    again: list[int] = []
    with pool_of(2) as pool, TileStore(tmp_path / "half", "one") as store:
        stream(tiles, store, lambda tile: again.append(tile.number) or outer(held, tile), work, pool, 2)
        assert len(again) == len(tiles) - kept
        surface = np.zeros(scoring.grid.shape, dtype=np.uint16)
        for tile in tiles:
            surface[tile.row : tile.row + tile.n_rows, tile.col : tile.col + tile.n_cols] = store.get(tile.number)[
                "suitability"
            ]
    np.testing.assert_array_equal(surface, judged(scoring, held, 10_000)[0])
    assert not TileStore(tmp_path / "half", "other inputs").done


class Judge:
    """The work of a window in a form that another process can be sent."""

    def __init__(self, scoring: ScoringConfig) -> None:
        self.scoring = scoring

    def __call__(self, held: dict[str, np.ndarray], tile: Tile) -> dict[str, np.ndarray]:
        return score_window(self.scoring, held, tile)


@settings(max_examples=25, deadline=None)
@given(seed=st.integers(0, 10_000), share=st.floats(0.2, 0.7), window=st.integers(1, 12))
def test_patches_over_windows_are_those_of_scipy(seed: int, share: float, window: int) -> None:
    rng = np.random.default_rng(seed)
    good = rng.random((23, 29)) < share
    padded = np.pad(good, 1)
    found = []
    for tile in cut(good.shape, window, 0):
        r, c = tile.row, tile.col
        box = padded[r : r + tile.n_rows + 2, c : c + tile.n_cols + 2]
        ones = np.ones((tile.n_rows, tile.n_cols))
        found.append(pieces_of(box, ones > 0, ones, r, c, 0))
    table = joined(found, 29)
    labels, n = ndimage.label(good, structure=np.ones((3, 3)))
    assert sorted(table[:, 0].tolist()) == sorted(np.bincount(labels.ravel())[1:].tolist())
    assert len(table) == n
    sides = sum(np.count_nonzero(np.diff(padded, axis=axis)) for axis in (0, 1))
    assert table[:, 2].sum() == sides
