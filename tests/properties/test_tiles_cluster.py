"""A Dask cluster, an engine that is not ours, gives the same windows as threads do."""

from functools import partial
from pathlib import Path

import numpy as np
import pytest

distributed = pytest.importorskip("distributed")

from hushwalk.files.tiles import Tile, TileStore, cut, pool_of, stream  # noqa: E402
from hushwalk.grid.grid import Grid  # noqa: E402
from hushwalk.regions.window import ScoringConfig, score_window  # noqa: E402
from hushwalk.site.measuring import overlap_of  # noqa: E402
from hushwalk.site.reading.cover_kinds import cover_kinds  # noqa: E402
from hushwalk.site.species_file import read_card_text  # noqa: E402


def test_two_workers_of_a_cluster_give_what_one_thread_gives(tmp_path: Path) -> None:
    scoring = ScoringConfig(
        Grid(32615, 500_000.0, 5_000_000.0, 60.0, 100, 90),
        *read_card_text("ruffed_grouse"),
        "lake_states",
        "unknown",
        wet_known=True,
    )
    rng = np.random.default_rng(6)
    codes = np.array(sorted(cover_kinds()))
    held = {
        "cover": codes[rng.integers(0, len(codes), (20, 18))].repeat(5, axis=0).repeat(5, axis=1).astype(np.uint8),
        "wet": rng.random((100, 90)) < 0.01,
        "water": np.zeros((100, 90), dtype=bool),
    }
    overlap, step = overlap_of(scoring.card, scoring.region, 60.0)
    tiles = cut((100, 90), 40, overlap, step)

    def read(tile: Tile) -> dict[str, np.ndarray]:
        row, col, n_rows, n_cols = tile.outer
        return {name: values[row : row + n_rows, col : col + n_cols].copy() for name, values in held.items()}

    def run(folder: str, **how: object) -> dict[int, dict[str, np.ndarray]]:
        with TileStore(tmp_path / folder, "run") as store, pool_of(1, **how) as pool:  # type: ignore[arg-type]
            stream(tiles, store, read, partial(score_window, scoring), pool, 4)
            return {tile.number: store.get(tile.number) for tile in tiles}

    alone = run("threads")
    with distributed.LocalCluster(
        n_workers=2, threads_per_worker=1, processes=False, protocol="tcp://", host="127.0.0.1", dashboard_address=None
    ) as cluster:
        together = run("cluster", scheduler=cluster.scheduler_address)
    assert len(alone) == 9
    for number, window in alone.items():
        for name, values in window.items():
            np.testing.assert_array_equal(together[number][name], values)
