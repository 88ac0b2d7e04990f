"""A Dask cluster, an engine that is not ours, gives the same windows as threads do, also where workers are lost."""

import os
import signal
import sys
import time
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import Any

import numpy as np
import pytest

distributed = pytest.importorskip("distributed")
cloudpickle = pytest.importorskip("cloudpickle")

from hushwalk.errors import WorkersLostError  # noqa: E402
from hushwalk.files.tiles import Tile, TileStore, cut, pool_of, stream  # noqa: E402
from hushwalk.grid.grid import Grid  # noqa: E402
from hushwalk.regions.window import ScoringConfig, score_window  # noqa: E402
from hushwalk.site.measuring import overlap_of  # noqa: E402
from hushwalk.site.reading.cover_kinds import cover_kinds  # noqa: E402
from hushwalk.site.species_file import read_card_text  # noqa: E402


@pytest.fixture
def scoring() -> ScoringConfig:
    return ScoringConfig(
        Grid(32615, 500_000.0, 5_000_000.0, 60.0, 100, 90),
        *read_card_text("ruffed_grouse"),
        "lake_states",
        "unknown",
        wet_known=True,
    )


@pytest.fixture
def tiles(scoring: ScoringConfig) -> tuple[Tile, ...]:
    overlap, step = overlap_of(scoring.card, scoring.region, 60.0)
    return cut((100, 90), 40, overlap, step)


def made_cells(tile: Tile) -> dict[str, np.ndarray]:
    """Cells that a window looks at, of made ground."""
    rng = np.random.default_rng(6)
    codes = np.array(sorted(cover_kinds()))
    held = {
        "cover": codes[rng.integers(0, len(codes), (20, 18))].repeat(5, axis=0).repeat(5, axis=1).astype(np.uint8),
        "wet": rng.random((100, 90)) < 0.01,
        "water": np.zeros((100, 90), dtype=bool),
    }
    row, col, n_rows, n_cols = tile.outer
    return {name: values[row : row + n_rows, col : col + n_cols].copy() for name, values in held.items()}


def judged(
    folder: Path,
    tiles: tuple[Tile, ...],
    work: Callable[[Any, Tile], Any],
    report: Callable[[int, int], None] = lambda _done, _of: None,
    **how: Any,
) -> dict[int, dict[str, np.ndarray]]:
    with TileStore(folder, "run") as store, pool_of(1, **how) as pool:
        stream(tiles, store, made_cells, work, pool, 4, report)
        return {tile.number: store.get(tile.number) for tile in tiles}


def same(one: dict[int, dict[str, np.ndarray]], other: dict[int, dict[str, np.ndarray]]) -> None:
    assert len(one) == len(other) == 9
    for number, window in one.items():
        for name, values in window.items():
            np.testing.assert_array_equal(other[number][name], values)


def test_two_workers_of_a_cluster_give_what_one_thread_gives(
    tmp_path: Path, scoring: ScoringConfig, tiles: tuple[Tile, ...]
) -> None:
    work = partial(score_window, scoring)
    alone = judged(tmp_path / "threads", tiles, work)
    with distributed.LocalCluster(
        n_workers=2, threads_per_worker=1, processes=False, protocol="tcp://", host="127.0.0.1", dashboard_address=None
    ) as cluster:
        same(alone, judged(tmp_path / "cluster", tiles, work, scheduler=cluster.scheduler_address))


def slow_counts(arrays: Any, _tile: Tile) -> Any:
    """How often each kind is seen: quick to load for a worker, and so slow that it has windows on its hands."""
    time.sleep(0.2)
    return {"counts": np.bincount(arrays["cover"].ravel(), minlength=256)}


def test_the_windows_of_a_killed_worker_are_done_by_another(tmp_path: Path, tiles: tuple[Tile, ...]) -> None:
    killed: list[int] = []
    cloudpickle.register_pickle_by_value(sys.modules[__name__])  # a worker need not load what this file loads
    with distributed.LocalCluster(
        n_workers=2, threads_per_worker=1, processes=True, host="127.0.0.1", dashboard_address=None
    ) as cluster:

        def kill_one(done: int, _of: int) -> None:
            if done == 2:
                killed.append(cluster.workers[0].pid)
                os.kill(killed[0], signal.SIGKILL)

        address = cluster.scheduler_address
        survived = judged(tmp_path / "cluster", tiles, slow_counts, kill_one, scheduler=address)
    cloudpickle.unregister_pickle_by_value(sys.modules[__name__])
    assert len(killed) == 1
    same(judged(tmp_path / "threads", tiles, slow_counts), survived)


def dies(_arrays: Any, _tile: Tile) -> Any:
    os.kill(os.getpid(), signal.SIGKILL)


def test_where_every_worker_is_lost_the_run_says_so_and_goes_on_later(tmp_path: Path, tiles: tuple[Tile, ...]) -> None:
    with TileStore(tmp_path / "run", "run") as store, pool_of(1) as pool:
        stream(tiles[:3], store, made_cells, slow_counts, pool, 4)
    with pytest.raises(WorkersLostError, match="lost after 3 of 9 windows"):
        judged(tmp_path / "run", tiles, dies, engine="processes")
    same(judged(tmp_path / "whole", tiles, slow_counts), judged(tmp_path / "run", tiles, slow_counts))
