"""Streams wide ground window by window: cut, read, work elsewhere, keep, resume.

What is done to a window is the caller's business; joined rasters are written in mosaics.py.
"""

import sqlite3
import sys
import zipfile
from collections.abc import Callable, Iterator, Mapping, Sequence
from concurrent.futures import (
    FIRST_COMPLETED,
    BrokenExecutor,
    CancelledError,
    Executor,
    Future,
    ProcessPoolExecutor,
    ThreadPoolExecutor,
    wait,
)
from contextlib import contextmanager
from dataclasses import dataclass
from multiprocessing import get_context
from pathlib import Path
from types import TracebackType
from typing import Any, Literal, Self

import numpy as np
from numpy.typing import NDArray

from hushwalk.errors import InputError, OutputError, SettingsError, WorkersLostError

Arrays = Mapping[str, NDArray[Any]]
Engine = Literal["threads", "processes"]
ANSWER_S = 10.0  # judgement: a scheduler that is there answers sooner


@dataclass(frozen=True)
class Tile:
    """One window: the cells it answers for, and the cells it looks at.

    Parameters
    ----------
    number : from 0, row by row.
    row, col, n_rows, n_cols : the cells it answers for.
    top, left, bottom, right : overlap beyond them, less at the edge of the ground [cells].
    """

    number: int
    row: int
    col: int
    n_rows: int
    n_cols: int
    top: int
    left: int
    bottom: int
    right: int

    @property
    def outer(self) -> tuple[int, int, int, int]:
        """First row and column and numbers of rows and columns that are looked at."""
        rows, cols = self.top + self.n_rows + self.bottom, self.left + self.n_cols + self.right
        return self.row - self.top, self.col - self.left, rows, cols

    def inner(self, values: NDArray[Any]) -> NDArray[Any]:
        """Cut an array of the cells looked at to those answered for."""
        return values[self.top : self.top + self.n_rows, self.left : self.left + self.n_cols]


def cut(shape: tuple[int, int], window_cells: int, overlap_cells: int, step_cells: int = 1) -> tuple[Tile, ...]:
    """Cut ground into windows.

    Parameters
    ----------
    shape : rows and columns of the ground.
    window_cells : side of a window.
    overlap_cells : how far a window looks beyond its rim.
    step_cells : window and overlap are rounded up to multiples of this, so that all begin on a coarse cell.

    Returns
    -------
    tuple of Tile
        Row by row.

    Raises
    ------
    SettingsError
        If the side is below 1 or the overlap below 0.

    Examples
    --------
    >>> [tile.outer for tile in cut((4, 6), 4, 1)]
    [(0, 0, 4, 5), (0, 3, 4, 3)]
    """
    side, over = (-(-size // step_cells) * step_cells for size in (window_cells, overlap_cells))
    if side < 1 or over < 0:
        raise SettingsError(f"a window has a side of 1 or more and an overlap of 0 or more, got {side} and {over}")
    corners = [(row, col) for row in range(0, shape[0], side) for col in range(0, shape[1], side)]
    tiles = []
    for number, (row, col) in enumerate(corners):
        n_rows, n_cols = min(side, shape[0] - row), min(side, shape[1] - col)
        beyond = min(over, shape[0] - row - n_rows), min(over, shape[1] - col - n_cols)
        tiles.append(Tile(number, row, col, n_rows, n_cols, min(over, row), min(over, col), *beyond))
    return tuple(tiles)


class TileStore:
    """Finished windows on disk, so that a run that was stopped goes on where it was.

    Parameters
    ----------
    folder : is made if it is not there.
    print_of_run : text that names inputs and settings; windows of another run are thrown away.
    """

    def __init__(self, folder: Path, print_of_run: str) -> None:
        self.folder = folder
        try:
            folder.mkdir(parents=True, exist_ok=True)
            self._db = sqlite3.connect(folder / "windows.sqlite")
            self._db.execute("create table if not exists run (print text)")
            self._db.execute("create table if not exists window (number integer primary key, bytes integer)")
            if self._db.execute("select print from run").fetchall() != [(print_of_run,)]:
                self._begin(print_of_run)
            self._db.commit()
        except (OSError, sqlite3.Error) as fault:
            raise OutputError(f"{folder} cannot be used for finished windows: {fault}") from None
        rows = self._db.execute("select number, bytes from window").fetchall()
        self.done = {n for n, size in rows if self._path(n).is_file() and self._path(n).stat().st_size == size}

    def _begin(self, print_of_run: str) -> None:
        self._db.execute("delete from window")
        self._db.execute("delete from run")
        self._db.execute("insert into run values (?)", (print_of_run,))
        for path in self.folder.glob("window_*.npz*"):
            path.unlink()

    def _path(self, number: int) -> Path:
        return self.folder / f"window_{number:06d}.npz"

    def keep(self, number: int, arrays: Arrays) -> None:
        """Keep one finished window; it is there in full or not at all."""
        path = self._path(number)
        half = path.with_suffix(".npz.part")
        try:
            with half.open("wb") as file:
                np.savez(file, allow_pickle=False, **arrays)
            half.replace(path)
            self._db.execute("insert or replace into window values (?, ?)", (number, path.stat().st_size))
            self._db.commit()
        except (OSError, sqlite3.Error) as fault:
            raise OutputError(f"{path} cannot be written: {fault}; free some space and run again") from None
        self.done.add(number)

    def get(self, number: int) -> dict[str, NDArray[Any]]:
        """Give one finished window back.

        Raises
        ------
        InputError
            If its file was spoilt since.
        """
        try:
            with np.load(self._path(number)) as held:
                return dict(held)
        except (OSError, ValueError, zipfile.BadZipFile) as fault:
            self._path(number).unlink(missing_ok=True)
            raise InputError(f"{self._path(number)} is spoilt ({fault}) and was thrown away; run again") from None

    def clear(self) -> None:
        """Throw all away, when the result is written."""
        self._db.close()
        for path in [*self.folder.glob("window_*.npz*"), self.folder / "windows.sqlite"]:
            path.unlink(missing_ok=True)
        if not any(self.folder.iterdir()):
            self.folder.rmdir()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, fault: BaseException | None, where: TracebackType | None
    ) -> None:
        self._db.close()


def stream(
    tiles: Sequence[Tile],
    store: TileStore,
    read: Callable[[Tile], Arrays],
    work: Callable[[Arrays, Tile], Arrays],
    pool: Executor,
    ahead: int,
    report: Callable[[int, int], None] = lambda _done, _of: None,
) -> None:
    """Work on every window that is not finished yet.

    Parameters
    ----------
    tiles : of :func:`cut`.
    store : where finished windows are kept.
    read : gives what is to be known of the cells a window looks at; called in this thread only.
    work : the same for every window, without side effects; called by the pool, maybe in another process.
    pool : any executor.
    ahead : windows that may be read and not kept yet; bounds the memory.
    report : is called with the numbers of finished and of all windows.

    Raises
    ------
    WorkersLostError
        If workers are lost again and again, or all at once; a cluster gives the windows of a lost one to others.
    """
    waiting: dict[Future[Arrays], Tile] = {}

    def take() -> None:
        finished, _ = wait(waiting, return_when=FIRST_COMPLETED)
        for future in finished:
            try:
                store.keep(waiting.pop(future).number, future.result())
            except _losses() as fault:
                raise WorkersLostError(
                    f"the workers were lost after {len(store.done)} of {len(tiles)} windows ({type(fault).__name__}), "
                    "often for want of memory: start them again with more, or fewer of them, and run the same "
                    "command; it goes on from there"
                ) from None
            report(len(store.done), len(tiles))

    try:
        for tile in tiles:
            if tile.number in store.done:
                continue
            while len(waiting) >= ahead:
                take()
            waiting[pool.submit(work, read(tile), tile)] = tile
        while waiting:
            take()
    finally:
        for future in waiting:
            future.cancel()


def _losses() -> tuple[type[BaseException], ...]:
    """What is raised where the worker of a window is gone for good."""
    if "distributed" not in sys.modules:
        return (BrokenExecutor,)
    from distributed.scheduler import KilledWorker  # noqa: PLC0415  optional, and loaded by then

    return (BrokenExecutor, CancelledError, KilledWorker)


@contextmanager
def pool_of(workers: int, engine: Engine = "threads", scheduler: str | None = None) -> Iterator[Executor]:
    """Open a pool of workers.

    Parameters
    ----------
    workers : threads or processes.
    engine : which of the two.
    scheduler : address of a running Dask scheduler, such as ``"tcp://127.0.0.1:8786"``; its workers are used instead.

    Yields
    ------
    Executor
        Open until the ``with`` block ends.

    Raises
    ------
    SettingsError
        If the scheduler does not answer, or Dask is not installed.
    """
    if scheduler is None:
        spawned = ProcessPoolExecutor(workers, mp_context=get_context("spawn")) if engine == "processes" else None
        with spawned or ThreadPoolExecutor(workers) as pool:
            yield pool
        return
    try:
        from distributed import Client  # noqa: PLC0415  optional, and slow to import
    except ImportError:
        raise SettingsError("a scheduler needs Dask: pip install 'hushwalk[cluster]'") from None
    try:
        client: Any = Client(scheduler, timeout=ANSWER_S)  # type: ignore[no-untyped-call]
    except (OSError, ValueError, TimeoutError) as fault:
        raise SettingsError(f"no Dask scheduler answers at {scheduler} ({fault})") from None
    with client:
        yield client.get_executor(pure=False)
