"""A person's own pace from tracks of a receiver that were walked on the ground of a trip.

Cutting a track is walking/track_pieces.py's, learning from the pieces walking/own_pace.py's.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

import numpy as np

from hushwalk.errors import InputError
from hushwalk.files.gpx_in import Track, read_gpx
from hushwalk.grid.nearby import distance_to
from hushwalk.grid.points import to_metres
from hushwalk.morning.look_round import Morning, look_round
from hushwalk.progress import Progress, Step, quiet
from hushwalk.science.gait import gait_named
from hushwalk.science.sun import CIVIL_DEG, sun_altitude_deg
from hushwalk.site.settings import TripSettings, WalkerSettings
from hushwalk.types import BoolArray, FloatArray
from hushwalk.walking.own_pace import OwnPace, WalkedPieces, learn_pace
from hushwalk.walking.track_pieces import TrackPieces, walked_pieces

NEAR_PATH_M = 20.0  # judgement: a receiver under trees errs by as much, so that this near a path one is on it
TIMED_LEAST = 2  # definition: two points with times make a way


@dataclass(frozen=True)
class PaceReport:
    """What tracks say of a walker.

    Parameters
    ----------
    walker : of the trip file, as it is now.
    pace : what was learnt.
    tracks : with times and on the ground of the trip.
    untimed : tracks without times.
    outside_m : walked off the ground of the trip [m].
    days : on which they were walked.
    """

    walker: WalkerSettings
    pace: OwnPace
    tracks: int
    untimed: int
    outside_m: float
    days: int


def learn_from_tracks(settings: TripSettings, files: Sequence[Path], progress: Progress = quiet) -> PaceReport:
    """Learn how fast a person walks from GPX tracks with times.

    Parameters
    ----------
    settings : of a trip whose ground the tracks lie on; its heights, paths and growth are read.
    files : in GPX 1.0 or 1.1.
    progress : is called as each step begins.

    Returns
    -------
    PaceReport

    Raises
    ------
    MissingFileError
        If a file is not there.
    InputError
        If no track has times, or none lies on the ground of the trip.
    """
    progress(Step("reading the tracks"))
    tracks = [track for file in files for track in read_gpx(file).tracks]
    timed = [track for track in tracks if sum(time is not None for time in track.times) >= TIMED_LEAST]
    names = ", ".join(file.name for file in files)
    if not timed:
        raise InputError(f"{names}: no track has times; switch the recording of time on, or export it with times")
    morning = look_round(settings, progress)
    progress(Step("comparing the walked pieces with the published pace"))
    pieces, outside_m, used = _on_ground(morning, timed)
    if not used:
        raise InputError(
            f"{names}: nothing was walked on the ground of this trip; name a trip whose ground the tracks lie on"
        )
    days = len({_start(track).date() for track in used})
    pace = learn_pace(pieces, gait_named(settings.walker.pace))
    return PaceReport(settings.walker, pace, len(used), len(tracks) - len(timed), outside_m, days)


def _on_ground(morning: Morning, tracks: Sequence[Track]) -> tuple[WalkedPieces, float, list[Track]]:
    """Pieces on the ground of the trip, metres walked off it, and the tracks that have any pieces."""
    grid, ground = morning.site.grid, morning.way.graph.ground
    near_path = distance_to(np.asarray(ground.on_trail), grid) <= NEAR_PATH_M
    rows, outside_m, used = [np.zeros((0, 7))], 0.0, list[Track]()
    for track in tracks:
        pieces = _pieces(track, grid.epsg)
        inside = grid.contains(pieces.begin_m) & grid.contains(pieces.end_m)
        outside_m += float(pieces.length_m[~inside].sum())
        if inside.any():
            rows.append(_under(morning, pieces, inside, near_path, len(used), _start(track)))
            used.append(track)
    table = np.concatenate(rows)
    table = table[np.isfinite(table).all(axis=1)]
    return (
        WalkedPieces(
            seconds=table[:, 0],
            length_m=table[:, 1],
            slope=table[:, 2],
            on_path=table[:, 3] > 0,
            growth=table[:, 4],
            dark=table[:, 5] > 0,
            track=table[:, 6].astype(np.int64),
        ),
        outside_m,
        used,
    )


def _start(track: Track) -> datetime:
    return min(time for time in track.times if time is not None)


def _pieces(track: Track, epsg: int) -> TrackPieces:
    timed = [(place, time) for place, time in zip(track.lonlats, track.times, strict=True) if time is not None]
    places = to_metres(epsg, np.array([place for place, _ in timed]))
    start = _start(track)
    return walked_pieces(places, np.array([(time - start).total_seconds() for _, time in timed]))


def _under(
    morning: Morning, pieces: TrackPieces, inside: BoolArray, near_path: BoolArray, number: int, start: datetime
) -> FloatArray:
    """Seconds, metres, slope, on path, growth, dark and number of the track, one row a piece."""
    site, ground = morning.site, morning.way.graph.ground
    begin, end = pieces.begin_m[inside], pieces.end_m[inside]
    middle = (begin + end) / 2
    rows, cols = site.grid.rowcol(middle)
    heights = site.ground.elevation
    rise = heights.at(end) - heights.at(begin)
    times = np.array([np.datetime64(start.astimezone(UTC).replace(tzinfo=None))])
    moments = times + (pieces.at_s[inside] * 1e3).astype("timedelta64[ms]")
    sun = sun_altitude_deg(moments, site.car.lon_deg, site.car.lat_deg)
    length = pieces.length_m[inside]
    return np.column_stack(
        [
            pieces.seconds[inside],
            length,
            rise / length,
            near_path[rows, cols],
            ground.pace_factor[rows, cols],
            sun < CIVIL_DEG,
            np.full(len(length), number),
        ]
    )
