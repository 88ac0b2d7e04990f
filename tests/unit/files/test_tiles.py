"""Windows cut, kept and worked on."""

from pathlib import Path

import numpy as np
import pytest
import rasterio
from hypothesis import given, settings
from hypothesis import strategies as st

from hushwalk.errors import InputError, SettingsError
from hushwalk.files import tiles as tiles_file
from hushwalk.files.mosaics import Stored, plain_reader, write_mosaic
from hushwalk.files.tiles import Tile, TileStore, cut, pool_of, stream
from hushwalk.grid.grid import Grid


@settings(deadline=None)
@given(
    n_rows=st.integers(1, 90),
    n_cols=st.integers(1, 90),
    window=st.integers(1, 40),
    overlap=st.integers(0, 30),
    step=st.integers(1, 6),
)
def test_windows_answer_for_every_cell_once_and_begin_on_a_step(
    n_rows: int, n_cols: int, window: int, overlap: int, step: int
) -> None:
    counted = np.zeros((n_rows, n_cols), dtype=int)
    for number, tile in enumerate(cut((n_rows, n_cols), window, overlap, step)):
        assert tile.number == number
        counted[tile.row : tile.row + tile.n_rows, tile.col : tile.col + tile.n_cols] += 1
        row, col, high, wide = tile.outer
        assert row % step == col % step == 0
        assert row >= 0
        assert col >= 0
        assert row + high <= n_rows
        assert col + wide <= n_cols
        assert row == 0 or tile.row - row >= overlap
        assert row + high == n_rows or row + high - tile.row - tile.n_rows >= overlap
        inner = tile.inner(np.arange(high * wide).reshape(high, wide))
        assert inner.shape == (tile.n_rows, tile.n_cols)
    assert (counted == 1).all()


def test_a_window_without_a_side_is_refused() -> None:
    with pytest.raises(SettingsError, match="side of 1 or more"):
        cut((4, 4), 0, 0)


def test_a_spoilt_window_is_thrown_away_and_told(tmp_path: Path) -> None:
    with TileStore(tmp_path / "w", "a") as store:
        store.keep(3, {"x": np.arange(5)})
    path = tmp_path / "w" / "window_000003.npz"
    path.write_bytes(b"\0" * path.stat().st_size)
    with TileStore(tmp_path / "w", "a") as store:
        assert store.done == {3}
        with pytest.raises(InputError, match="spoilt"):
            store.get(3)
    with TileStore(tmp_path / "w", "a") as store:
        assert store.done == set()
        store.keep(3, {"x": np.arange(5)})
        store.clear()
    assert not (tmp_path / "w").exists()


def test_a_fault_in_the_work_stops_the_run_and_keeps_what_was_done(tmp_path: Path) -> None:
    def work(held: dict[str, np.ndarray], tile: Tile) -> dict[str, np.ndarray]:
        if tile.number == 7:
            raise InputError("class 99 is unknown")
        return held

    tiles = cut((10, 10), 2, 0)
    with TileStore(tmp_path / "w", "a") as store, pool_of(2) as pool:
        with pytest.raises(InputError, match="class 99"):
            stream(tiles, store, lambda tile: {"x": np.array([tile.number])}, work, pool, 2)
        assert {0, 1, 2, 3, 4, 5} <= store.done
        assert 7 not in store.done


def test_no_more_windows_are_read_ahead_than_allowed(tmp_path: Path) -> None:
    read, most = [0], [0]
    with TileStore(tmp_path / "w", "a") as store, pool_of(1) as pool:

        def reading(tile: Tile) -> dict[str, np.ndarray]:
            read[0] += 1
            most[0] = max(most[0], read[0] - len(store.done))
            return {"x": np.array([tile.number])}

        stream(cut((30, 30), 3, 0), store, reading, lambda held, _: held, pool, 3)
        assert len(store.done) == 100
    assert most[0] <= 4


def test_a_mosaic_is_what_was_put_in_and_knows_where_it_lies(tmp_path: Path) -> None:
    grid = Grid(32615, 500_000.0, 5_200_000.0, 30.0, 700, 900)
    values = np.random.default_rng(0).integers(0, 9000, grid.shape).astype(np.uint16)
    tiles = cut(grid.shape, 256, 10)
    stored = Stored("uint16", 65535, 0.001, "1/km2", "males")

    def get(tile: Tile) -> np.ndarray:
        return values[tile.row : tile.row + tile.n_rows, tile.col : tile.col + tile.n_cols]

    write_mosaic(tmp_path / "m.tif", grid, tiles, get, stored, {"SPECIES": "a bird"})
    with rasterio.open(tmp_path / "m.tif") as data:
        np.testing.assert_array_equal(data.read(1), values)
        assert (data.crs.to_epsg(), tuple(data.bounds)) == (32615, grid.bounds)
        assert (data.scales, data.units, data.nodata) == ((0.001,), ("1/km2",), 65535)
        assert data.tags()["SPECIES"] == "a bird"
    with plain_reader(str(tmp_path / "m.tif"), 1, "layer") as read:
        np.testing.assert_array_equal(read(10, 20, 30, 40), values[10:40, 20:60])
    assert [path.name for path in tmp_path.iterdir()] == ["m.tif"]


def test_a_cluster_that_does_not_answer_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(tiles_file, "ANSWER_S", 0.5)
    with pytest.raises(SettingsError, match="no Dask scheduler answers"), pool_of(1, scheduler="tcp://127.0.0.1:9"):
        pass
