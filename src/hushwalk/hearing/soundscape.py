"""What can be heard over a real place: one path, all cells round one stop, or many stops at once.

The compiled paths live in rays.py; what level ground alone does, in level_soundscape.py.
"""

import math
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np

from hushwalk.errors import InputError, SettingsError
from hushwalk.grid.grid import Grid
from hushwalk.grid.layer import Layer
from hushwalk.grid.profile import cell_places
from hushwalk.hearing.acoustic_ground import AcousticGround
from hushwalk.hearing.call import Call
from hushwalk.hearing.conditions import Conditions
from hushwalk.hearing.coverage import Coverage, sparse_coverage, target_places, targets_within
from hushwalk.hearing.level_soundscape import LevelSoundscape
from hushwalk.hearing.listener import Evidence, Listener
from hushwalk.hearing.rays import hear
from hushwalk.hearing.sound_budget import SoundBudget, sound_budget
from hushwalk.science.sound_foliage import FACTOR_STEPS, foliage_db_per_m
from hushwalk.science.sound_screen import wavelength_m
from hushwalk.science.sound_tables import sound_table
from hushwalk.types import FloatArray, IntArray

THREADS_MAX = 2


@dataclass(frozen=True)
class FootprintParams:
    """How footprints are computed.

    Parameters
    ----------
    reach_m : farther males are not counted [m].
    target_cell_m : size of the cells that a coverage is given for [m].
    chance_floor : smaller chances count as none.
    threads : 1 or 2.

    Raises
    ------
    SettingsError
        If a value cannot be.
    """

    reach_m: float = 800.0
    target_cell_m: float = 50.0
    chance_floor: float = 0.001
    threads: int = 2

    def __post_init__(self) -> None:
        good = self.reach_m > 0 and self.target_cell_m > 0
        if not (good and 0 <= self.chance_floor < 1 and 1 <= self.threads <= THREADS_MAX):
            raise SettingsError(
                "a footprint needs reach_m > 0, target_cell_m > 0, chance_floor 0 to 1 and "
                f"1 or {THREADS_MAX} threads, got {self}"
            )


@dataclass(frozen=True, eq=False)
class Soundscape:
    """All that decides whether one display made in one place is heard in another.

    Parameters
    ----------
    ground : what sound travels over.
    air : what it travels through.
    call : what is made.
    listener : who hears.
    params : reach and grid of footprints.
    """

    ground: AcousticGround
    air: Conditions
    call: Call
    listener: Listener
    params: FootprintParams = field(default_factory=FootprintParams)

    @cached_property
    def level(self) -> LevelSoundscape:
        """The same air, call and listener over level ground."""
        return LevelSoundscape(self.air, self.call, self.listener)

    def at_evidence(self, evidence: Evidence) -> "Soundscape":
        """Return the same soundscape at another level of evidence."""
        return replace(self, listener=replace(self.listener, evidence=evidence))

    @property
    def target_grid(self) -> Grid:
        """The grid of the targets of a coverage."""
        fine = self.ground.elevation.grid
        return fine.coarsened(max(round(self.params.target_cell_m / fine.cell_m), 1))

    def path(self, bird_m: tuple[float, float], ear_m: tuple[float, float]) -> SoundBudget:
        """Follow one display from a bird to an ear, term by term.

        Parameters
        ----------
        bird_m, ear_m : easting and northing [m].

        Raises
        ------
        PlaceError
            If a point lies off the grid or both are the same.
        InputError
            If a layer has no value on the way.
        """
        return sound_budget(self.ground, self.level, bird_m, ear_m)

    def footprint(self, stop_m: FloatArray) -> Layer:
        """Chance to hear one display at a stop, for every cell of the grid.

        Parameters
        ----------
        stop_m : shape (2,) easting and northing [m].

        Returns
        -------
        Layer
            Chance 0..1 on the grid of the elevation: 0 beyond reach, NaN where the path is unknown.

        Raises
        ------
        InputError
            If elevation or cover is unknown at the stop.
        PlaceError
            If the stop lies off the grid.
        """
        stop, grid = np.asarray(stop_m, dtype=float), self.ground.elevation.grid
        rows, cols = _cells_within(grid, stop, self.params.reach_m)
        chance = np.zeros(grid.shape)
        chance[rows, cols] = self.chances(stop, grid.xy(rows, cols))
        step = f"chance to hear one display at E {stop[0]:.0f} N {stop[1]:.0f}"
        return self.ground.elevation.with_values(chance, name="chance heard", unit="1", step=step)

    def coverage(self, posts_m: FloatArray) -> Coverage:
        """Chance to hear one display from every post to every cell within reach.

        Parameters
        ----------
        posts_m : shape (n, 2) easting and northing [m].

        Raises
        ------
        InputError
            If the posts are not n pairs, or elevation or cover is unknown at one of them.
        PlaceError
            If a post lies off the grid.
        """
        posts = np.asarray(posts_m, dtype=float)
        if posts.ndim != 2 or posts.shape[1] != 2 or not np.all(np.isfinite(posts)):  # noqa: PLR2004
            raise InputError(f"posts are pairs of easting and northing, got an array of shape {posts.shape}")
        how, fine, grid = self.params, self.ground.elevation.grid, self.target_grid
        places = target_places(grid, fine)
        cells = [targets_within(post, grid, places, how.reach_m) for post in posts]
        with ThreadPoolExecutor(how.threads) as pool:
            heard = list(pool.map(lambda k: self.chances(posts[k], places[cells[k]]), range(len(posts))))
        return sparse_coverage(heard, cells, grid)

    def chances(self, stop_m: FloatArray, targets_m: FloatArray) -> FloatArray:
        """Chance to hear one display from each of many places at one stop.

        Parameters
        ----------
        stop_m : shape (2,) easting and northing of the stop [m].
        targets_m : shape (n, 2), within reach of the stop [m].

        Returns
        -------
        ndarray, shape (n,)
            [1]; NaN where elevation or cover is unknown on the way, 0 below the floor of the parameters.

        Raises
        ------
        InputError
            If elevation or cover is unknown at the stop.
        PlaceError
            If the stop lies off the grid.
        """
        ground, grid = self.ground, self.ground.elevation.grid
        row, col = grid.cell_at(stop_m, "a stop")
        if not np.isfinite(ground.elevation.values[row, col]) or ground.foliage_steps[row, col] < 0:
            raise InputError(
                f"elevation or cover is unknown at the stop E {stop_m[0]:.0f} N {stop_m[1]:.0f}; "
                "give layers that cover it or leave the stop out"
            )
        stop_rows, stop_cols = cell_places(grid, stop_m)
        rows, cols = cell_places(grid, targets_m)
        leaf, bands = sound_table("foliage"), self.call.bands
        but_ground_db, ground_db = self._losses_by_metre
        found: FloatArray = hear(
            ground.elevation.values,
            ground.foliage_steps,
            np.array([stop_rows[0], stop_cols[0]]),
            rows,
            cols,
            float(grid.cell_m),
            np.array([self.listener.ear_height_m, self.call.height_m]),
            self.level.above_need_db(ground.stream_dba(stop_m), ground.traffic_dba(stop_m)),
            but_ground_db,
            ground_db,
            foliage_db_per_m(bands),
            wavelength_m(bands),
            np.array([leaf["from_m"], leaf["to_m"], self.listener.sd_db, self.params.chance_floor, FACTOR_STEPS]),
        )
        return found

    @cached_property
    def _losses_by_metre(self) -> tuple[FloatArray, FloatArray]:
        """Losses over open ground but for the ground, and to the ground, each of shape (n_bands, n_rings) [dB].

        One ring a metre: between the rings the straight line errs by less than 0.01 dB from 12 m on.
        """
        rings = np.arange(math.ceil(self.params.reach_m) + 2, dtype=float)
        losses = self.level.open_losses(rings, self.ground.ground_factor)
        return np.ascontiguousarray(losses.but_ground), np.ascontiguousarray(losses.ground)


def _cells_within(grid: Grid, stop_m: FloatArray, reach_m: float) -> tuple[IntArray, IntArray]:
    """Rows and columns of the cells whose middle lies within reach of a stop."""
    centre = np.array([(grid.north_m - stop_m[1]) / grid.cell_m, (stop_m[0] - grid.west_m) / grid.cell_m])
    reach = reach_m / grid.cell_m + 1
    first = np.clip(np.floor(centre - reach), 0, grid.shape).astype(int)
    last = np.clip(np.ceil(centre + reach), 0, grid.shape).astype(int)
    rows, cols = (part.ravel() for part in np.mgrid[first[0] : last[0], first[1] : last[1]])
    places = grid.xy(rows, cols)
    near = np.hypot(places[:, 0] - stop_m[0], places[:, 1] - stop_m[1]) <= reach_m
    return rows[near], cols[near]
