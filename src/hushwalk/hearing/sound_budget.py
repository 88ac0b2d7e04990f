"""The sound budget of one path: every loss between a bird and an ear in dB, and the chance that is left.

Many paths at once live in rays.py; they use the same science. Its words are wording's business.
"""

import math
from dataclasses import dataclass

import numpy as np

from hushwalk.errors import InputError, PlaceError
from hushwalk.grid.layer import Layer
from hushwalk.grid.profile import Profile, cell_of, cell_places, profile
from hushwalk.hearing.acoustic_ground import AcousticGround
from hushwalk.hearing.background import band_noise_db
from hushwalk.hearing.conditions import Conditions
from hushwalk.hearing.level_soundscape import LevelSoundscape
from hushwalk.science.detection import heard_chance
from hushwalk.science.hearing_threshold import threshold_db
from hushwalk.science.sound_foliage import FACTOR_STEPS, dense_metres, factor_steps, foliage_db_per_m
from hushwalk.science.sound_screen import edge_loss_db, find_edges, wavelength_m
from hushwalk.science.sound_tables import sound_table
from hushwalk.types import FloatArray


@dataclass(frozen=True)
class Term:
    """One line of a sound budget: a loss (positive) or gain by band [dB]."""

    name: str
    loss_db: tuple[float, ...]


@dataclass(frozen=True)
class Foliage:
    """Cover on a path: how much of it, and the length of dense conifers that takes as much [m]."""

    crossed_m: float
    dense_m: float


@dataclass(frozen=True)
class Screen:
    """Hills in the way: how far they count 0..1, the detour over them [m], and whether they are two edges."""

    weight: float
    detour_m: float
    double: bool


@dataclass(frozen=True)
class SoundBudget:
    """What becomes of one display on its way to one ear.

    Parameters
    ----------
    distance_m : along the ground plan [m].
    bands_hz : shape (n,) [Hz].
    level_at_1m_db : as it leaves the bird, shape (n,) [dB].
    losses : in the order of the way.
    threshold_db : of the ear in quiet [dB].
    noise_db, needed_db : all noise in thirds of an octave, and the level that is needed over it [dB].
    gain_db : of this listener and this evidence [dB].
    air : that the path goes through.
    ground_factor : 0 for hard to 1 for porous ground.
    foliage : on the way; None where no cover is mapped, open ground.
    screen : in the way; None for a clear path.
    stream_dba : running water at the ear; NaN for none [dB(A)].
    traffic_dba : traffic at the ear; NaN for none [dB(A)].
    sd_db : spread of all that is not known [dB].
    """

    distance_m: float
    bands_hz: tuple[float, ...]
    level_at_1m_db: tuple[float, ...]
    losses: tuple[Term, ...]
    threshold_db: tuple[float, ...]
    noise_db: tuple[float, ...]
    needed_db: tuple[float, ...]
    gain_db: float
    air: Conditions
    ground_factor: float
    foliage: Foliage | None
    screen: Screen | None
    stream_dba: float
    traffic_dba: float
    sd_db: float

    @property
    def received_db(self) -> tuple[float, ...]:
        """Level at the ear by band [dB]."""
        lost = np.sum([term.loss_db for term in self.losses], axis=0)
        return tuple((np.array(self.level_at_1m_db) - lost).tolist())

    @property
    def margins_db(self) -> tuple[float, ...]:
        """Level above what this listener hears half of the time, by band [dB]."""
        return tuple((np.array(self.received_db) + self.gain_db - np.array(self.needed_db)).tolist())

    @property
    def margin_db(self) -> float:
        """Margin of the best band, by which the display is heard [dB]."""
        return max(self.margins_db)

    @property
    def band_hz(self) -> float:
        """The best band [Hz]."""
        return self.bands_hz[self.margins_db.index(self.margin_db)]

    @property
    def chance(self) -> float:
        """Chance to hear one display, 0..1."""
        return float(heard_chance(self.margin_db, self.sd_db))

    def loss_db(self, name: str) -> FloatArray:
        """Loss of one term by band, shape (n,) [dB].

        Parameters
        ----------
        name : ``"spreading"``, ``"air"``, ``"ground"``, ``"snow"``, ``"foliage"``, ``"terrain"`` or ``"weather"``.
        """
        return np.array(next(term.loss_db for term in self.losses if term.name == name))


def _heights(elevation: Layer, bird_m: tuple[float, float], ear_m: tuple[float, float]) -> Profile:
    """Elevation from the ear to the bird, all known."""
    along = profile(elevation, ear_m, bird_m, smooth=True)
    if not np.all(np.isfinite(along.values)):
        missing = float(along.distance_m[~np.isfinite(along.values)][0])
        raise InputError(
            f"layer {elevation.name!r} has no value {missing:.0f} m from the ear on the way to the bird; "
            "give an elevation that covers the whole path"
        )
    return along


def _foliage(foliage: Layer, bird_m: tuple[float, float], ear_m: tuple[float, float], pieces: int) -> Foliage:
    """Cover that the path crosses."""
    share = ((np.arange(pieces) + 0.5) / pieces)[:, np.newaxis]
    rows, cols = cell_places(foliage.grid, np.asarray(ear_m) * (1 - share) + np.asarray(bird_m) * share)
    n_rows, n_cols = foliage.grid.shape
    cells = [cell_of(row, col, n_rows, n_cols) for row, col in zip(rows, cols, strict=True)]
    steps = factor_steps(np.array([foliage.values[cell] for cell in cells]))
    if np.any(steps < 0):
        raise InputError(
            f"layer {foliage.name!r} has no value on the way to the bird; say what grows there, 0 for open"
        )
    piece_m = math.hypot(bird_m[0] - ear_m[0], bird_m[1] - ear_m[1]) / pieces
    table = sound_table("foliage")
    dense_m = float(
        dense_metres(np.bincount(steps, minlength=FACTOR_STEPS + 1), piece_m, table["from_m"], table["to_m"])
    )
    crossed_m = float(np.count_nonzero(steps) * piece_m)
    return Foliage(crossed_m, dense_m)


def _edge_loss(edges: FloatArray, wavelength: float) -> float:
    """Loss behind the edges that find_edges has filled in."""
    _, detour, first_leg, last_leg, direct, between, second = edges
    return float(edge_loss_db(detour, first_leg, last_leg, direct, between, second, wavelength))


def _screen(
    along: Profile, ear_height_m: float, bird_height_m: float, bands_hz: FloatArray
) -> tuple[FloatArray, Screen | None]:
    """Loss behind the hills of a profile by band, and what they are."""
    n, edges = len(along.distance_m), np.zeros(7)
    find_edges(
        along.distance_m, along.values, n, ear_height_m, bird_height_m, np.empty(n), np.empty(n, dtype=np.int64), edges
    )
    if edges[0] == 0:
        return np.zeros(len(bands_hz)), None
    loss = edges[0] * np.array([_edge_loss(edges, wave) for wave in wavelength_m(bands_hz)])
    return loss, Screen(float(edges[0]), float(edges[1]), bool(edges[6] > 1 / 2))


def sound_budget(
    ground: AcousticGround, level: LevelSoundscape, bird_m: tuple[float, float], ear_m: tuple[float, float]
) -> SoundBudget:
    """Follow one display from a bird to an ear.

    Parameters
    ----------
    ground : what the path crosses.
    level : air, call and listener.
    bird_m, ear_m : easting and northing [m].

    Returns
    -------
    SoundBudget

    Raises
    ------
    PlaceError
        If a point lies off the grid or both are the same.
    InputError
        If a layer has no value on the way.

    Notes
    -----
    ``margin = level at 1 m - A_div - A_atm - A_gr - snow - A_fol - A_bar - weather + gain - needed`` in each band. Of
    a hill counts ``max(A_bar - max(A_gr, 0), 0)``: a gain from the ground is kept behind it, a loss to the ground is
    not counted twice.

    References
    ----------
    iso_9613_1_1993, iso_9613_2_1996, iso_17534_3_2015, iso_226_2023, glasberg_moore_1990, boersma_1997
    """
    air, call, listener = level.air, level.call, level.listener
    along = _heights(ground.elevation, bird_m, ear_m)
    far, bands = float(along.distance_m[-1]), call.bands
    if far < 1:
        raise PlaceError("bird and ear stand less than 1 m apart; a path needs two places")
    open_ = level.open_losses(np.array([far]), ground.ground_factor)
    cover = None
    if ground.foliage is not None:
        cover = _foliage(ground.foliage, bird_m, ear_m, len(along.distance_m) - 1)
    screened, screen = _screen(along, listener.ear_height_m, call.height_m, bands)
    terrain = np.where(screened > 0, np.maximum(screened - np.maximum(open_.ground[:, 0], 0), 0), 0)
    losses = {
        "spreading": open_.spreading[:, 0],
        "air": open_.air[:, 0],
        "ground": open_.ground[:, 0],
        "snow": open_.snow[:, 0],
        "foliage": (cover.dense_m if cover else 0.0) * foliage_db_per_m(bands),
        "terrain": terrain,
        "weather": open_.weather[:, 0],
    }
    ear = np.array(ear_m)
    stream_dba, traffic_dba = ground.stream_dba(ear), ground.traffic_dba(ear)
    return SoundBudget(
        distance_m=far,
        bands_hz=call.bands_hz,
        level_at_1m_db=call.level_at_1m_db,
        losses=tuple(Term(name, tuple(loss.tolist())) for name, loss in losses.items()),
        threshold_db=tuple(threshold_db(bands).tolist()),
        noise_db=tuple(band_noise_db(bands, air.wind_at_ear_ms, stream_dba, traffic_dba).tolist()),
        needed_db=tuple(level.needed_db(stream_dba, traffic_dba).tolist()),
        gain_db=listener.gain_db,
        air=air,
        ground_factor=ground.ground_factor,
        foliage=cover,
        screen=screen,
        stream_dba=stream_dba,
        traffic_dba=traffic_dba,
        sd_db=listener.sd_db,
    )
