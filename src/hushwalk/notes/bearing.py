"""From what the compass said to a bearing that can be crossed: three norths, and an error.

Crossing the bearings is fix.py's business; the magnetic model itself is science's.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import datetime

import numpy as np

from hushwalk.errors import InputError
from hushwalk.grid.points import convergence_deg, to_metres
from hushwalk.notes.figures import figure
from hushwalk.notes.ledger import LedgerRow
from hushwalk.notes.note_warnings import NoteWarning
from hushwalk.notes.notes import ERROR_CLASSES, BearingNote
from hushwalk.types import FloatArray

FULL_TURN_DEG = 360.0  # definition
STRAYS_MAX = 0.9  # judgement: a bearing that is more often wrong than this is no bearing


@dataclass(frozen=True)
class NorthAngles:
    """How the three norths lie at a place on a day; east is positive.

    Parameters
    ----------
    declination_deg : magnetic north from true north [deg].
    convergence_deg : grid north from true north [deg].
    warnings : near the ends of the magnetic model, or in its caution zones.
    """

    declination_deg: float
    convergence_deg: float
    warnings: tuple[NoteWarning, ...] = ()


@dataclass(frozen=True)
class Bearing:
    """A bearing ready to be crossed, in the metres of one grid.

    Parameters
    ----------
    uid : key of the note.
    xy_m : where it was taken, easting and northing [m].
    grid_azimuth_deg : from the north of that grid, 0..360 [deg].
    sd_deg : standard deviation of its error [deg].
    stop, bird, distance, at, pinned : as noted.
    stray_share : chance that it points anywhere; None for the usual.
    """

    uid: str
    xy_m: tuple[float, float]
    grid_azimuth_deg: float
    sd_deg: float
    stop: str = ""
    bird: str = ""
    distance: str = ""
    at: datetime | None = None
    pinned: bool = False
    stray_share: float | None = None


@dataclass(frozen=True)
class BearingError:
    """How well this person points.

    Parameters
    ----------
    sd_deg : standard deviation of the usual bearing [deg].
    bias_deg : mean error, clockwise above 0; it is taken off every bearing [deg].
    stray_share : share of usual bearings that point anywhere.
    shared_sd_deg : error that all bearings to one bird on one morning share [deg].
    factors, stray_factors : of the standard deviation and of the strays, by error class.
    """

    sd_deg: float = figure("bearing", "sd_deg")
    bias_deg: float = 0.0
    stray_share: float = figure("bearing", "stray_share")
    shared_sd_deg: float = figure("bearing", "shared_sd_deg")
    factors: dict[str, float] = field(default_factory=lambda: {c: figure("bearing", c) for c in ERROR_CLASSES})
    stray_factors: dict[str, float] = field(
        default_factory=lambda: {c: figure("bearing", f"{c}_strays") for c in ERROR_CLASSES}
    )


@dataclass(frozen=True)
class Listening:
    """Listening at one place in the metres of a grid: from the visits of the ledger."""

    stop: str
    xy_m: tuple[float, float]
    minutes: float | None = None
    heard: bool = True
    at: datetime | None = None


def true_azimuth_deg(reading_deg: float, north: str, here: NorthAngles) -> float:
    """Turn a reading to true north.

    Parameters
    ----------
    reading_deg : 0..360 [deg].
    north : ``"M"`` magnetic, ``"T"`` true, ``"G"`` grid.
    here : the norths at the place.

    Returns
    -------
    float
        Azimuth from true north, 0..360 [deg].

    Raises
    ------
    InputError
        If the north is none of the three.

    Notes
    -----
    true = magnetic + declination; true = grid + convergence, east positive.

    Examples
    --------
    >>> true_azimuth_deg(85.0, "M", NorthAngles(-11.0, 0.7))
    74.0
    """
    turn = {"M": here.declination_deg, "T": 0.0, "G": here.convergence_deg}
    if north not in turn:
        raise InputError(f"north {north!r} is unknown; write M for a compass, T for true, G for a map grid")
    return (reading_deg + turn[north]) % FULL_TURN_DEG


def bearings_of(bearing_rows: Sequence[LedgerRow], epsg: int, error: BearingError | None = None) -> tuple[Bearing, ...]:
    """Make kept bearings ready to be crossed.

    Parameters
    ----------
    bearing_rows : rows of the ledger.
    epsg : projected system of the grid to work on.
    error : the person's error; None for the usual.

    Returns
    -------
    tuple of Bearing
        One a row, in the same order.

    Raises
    ------
    InputError
        If a row is a note of another kind.

    Notes
    -----
    The bearing from the north of the grid is the true one less the convergence at the station.
    """
    error = error or BearingError()
    found = []
    for row in bearing_rows:
        said = row.note
        if not isinstance(said, BearingNote):
            raise InputError(f"note {row.uid} is a {said.kind}, a bearing is needed")
        xy = metres_of(said.place, epsg)
        turn = float(convergence_deg(epsg, np.array([xy]))[0])
        found.append(
            Bearing(
                row.uid,
                xy,
                (said.azimuth_deg - error.bias_deg - turn) % FULL_TURN_DEG,
                error.sd_deg * error.factors[said.error_class],
                said.stop,
                said.bird,
                said.distance,
                said.at,
                said.pinned,
                min(error.stray_share * error.stray_factors[said.error_class], STRAYS_MAX),
            )
        )
    return tuple(found)


def metres_of(place: tuple[float, float], epsg: int) -> tuple[float, float]:
    """Easting and northing of one place of a note [m]."""
    east, north = np.atleast_2d(to_metres(epsg, np.array([place])))[0]
    return float(east), float(north)


def stations_m(bearings: Sequence[Bearing]) -> FloatArray:
    """Where the bearings were taken, shape (n, 2) [m]."""
    return np.array([b.xy_m for b in bearings], dtype=np.float64).reshape(-1, 2)
