"""Logs judged as film sets from what was noted at them, and logs of one male grouped.

When the light falls on them is the filming room's business.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from hushwalk.errors import InputError
from hushwalk.logs.sectors import SECTORS, opposite, sector_azimuth_deg, sector_list, sector_values
from hushwalk.notes.bearing import metres_of
from hushwalk.notes.figures import figure
from hushwalk.notes.ledger import LedgerRow
from hushwalk.notes.notes import LogNote

UNKNOWN = 0.5  # judgement: what nobody noted is neither good nor bad
FACING = {0: 0.8, 45: 1.0, 90: 0.8, 135: 0.4, 180: 0.2}
"""Judgement: worth of a camera that far off where the bird faces; three-quarter front is best, the tail worst."""


@dataclass(frozen=True)
class View:
    """One side to film from: its sector, its worth 0..1, and the reasons."""

    sector: str
    score: float
    azimuth_deg: float
    backdrop_m: float | None
    hide_m: float | None
    reasons: tuple[str, ...]


@dataclass(frozen=True)
class Perch:
    """A log, judged.

    Parameters
    ----------
    uid, name : of the note.
    xy_m : easting and northing [m].
    use : how surely it is in use, 0..1, from the signs.
    film : worth as a film set from its best side, 0..1.
    score : both together, 0..1.
    best : the best side to film from.
    views : all eight sides, best first.
    reasons : for use and film, one sentence each.
    """

    uid: str
    name: str
    xy_m: tuple[float, float]
    use: float
    film: float
    score: float
    best: View
    views: tuple[View, ...]
    reasons: tuple[str, ...]


@dataclass(frozen=True)
class Territory:
    """The logs of one male: the main one, the lesser ones, and the better film set if it is not the main log."""

    main: Perch
    lesser: tuple[Perch, ...]
    better: Perch | None


def judge_log(row: LedgerRow, epsg: int) -> Perch:
    """Judge one log.

    Parameters
    ----------
    row : of the ledger.
    epsg : projected system of the grid.

    Raises
    ------
    InputError
        If the note is not of a log.

    Notes
    -----
    Use is a weighted sum of signs; the size of the log carries no weight there. A side to film from is worth the
    geometric mean of facing, backdrop, room for a hide, openness and access; the whole is the geometric mean of use
    and film, so that neither can make up for the lack of the other.
    """
    log = row.note
    if not isinstance(log, LogNote):
        raise InputError(f"note {row.uid} is a {log.kind}, a log is needed")
    use, use_words = use_of(log)
    stand, stand_words = _footing(log)
    views = tuple(sorted((_view(log, s) for s in SECTORS), key=lambda v: (-v.score, SECTORS.index(v.sector))))
    film = float(np.sqrt(views[0].score * stand))
    words = (*use_words, f"film from the {views[0].sector}", *views[0].reasons, *stand_words)
    where = metres_of(log.place, epsg)
    return Perch(row.uid, log.name, where, use, film, float(np.sqrt(use * film)), views[0], views, words)


def use_of(log: LogNote) -> tuple[float, tuple[str, ...]]:
    """How surely a log is in use, 0..1, and the reasons."""
    sign = figure("perch", f"droppings_{log.droppings.split()[0]}")
    parts = [
        (figure("perch", "sign_share"), sign, f"droppings: {log.droppings}"),
        (figure("perch", "worn_share"), _flag(log.worn), _told(log.worn, "stance worn bare", "no worn stance")),
        (
            figure("perch", "litter_share"),
            _flag(log.litter_blown),
            _told(log.litter_blown, "leaves blown clear", "leaves lie"),
        ),
        (figure("perch", "cover_share"), _known(log.cover_share), _told_share(log.cover_share)),
        (figure("perch", "floor_share"), _floor(log.floor_open_m), _told_floor(log.floor_open_m)),
    ]
    total = sum(share for share, _, _ in parts)
    return sum(share * worth for share, worth, _ in parts) / total, tuple(words for _, _, words in parts if words)


def group_logs(
    perches: Sequence[Perch], *, apart: Sequence[tuple[str, str]] = (), merge_m: float | None = None
) -> tuple[Territory, ...]:
    """Group the logs of one male.

    Parameters
    ----------
    perches : logs, judged.
    apart : pairs of keys of logs that were displayed on at the same time: two males.
    merge_m : logs nearer to a main log than this belong to it; None for the usual [m].

    Returns
    -------
    tuple of Territory
        The surest main log first.

    Notes
    -----
    The log most surely in use is a main log; logs within ``merge_m`` of it that no other male was heard on are its
    lesser ones; and so on with those that are left.
    """
    reach = figure("perch", "merge_m") if merge_m is None else merge_m
    two_males = {frozenset(pair) for pair in apart}
    left = sorted(perches, key=lambda p: (-p.use, -p.score, p.name, p.uid))
    found = []
    while left:
        main, left = left[0], left[1:]
        lesser: list[Perch] = []
        for other in left:
            near = float(np.hypot(other.xy_m[0] - main.xy_m[0], other.xy_m[1] - main.xy_m[1])) <= reach
            if near and not any(frozenset((other.uid, own.uid)) in two_males for own in (main, *lesser)):
                lesser.append(other)
        left = [p for p in left if p not in lesser]
        better = max(lesser, key=lambda p: p.score, default=main)
        found.append(Territory(main, tuple(lesser), better if better.score > main.score else None))
    return tuple(found)


def _view(log: LogNote, sector: str) -> View:
    backdrop = sector_values(log.backdrop_m, "backdrop_m", 0, 1000)
    hides = sector_values(log.hide_m, "hide_m", 0, 1000)
    open_share = sector_values(log.view_share, "view_share", 0, 1)
    behind = opposite(sector)
    parts = [
        _facing(log, sector),
        _backdrop(backdrop.get(behind), behind),
        _hide(hides.get(sector), sector, noted=bool(hides)),
        (open_share.get(sector, UNKNOWN), f"open view {open_share[sector]:.0%}" if sector in open_share else ""),
        _access(log, sector),
    ]
    worth = np.array([max(score, 0.02) for score, _ in parts])
    words = tuple(w for _, w in parts if w)
    score = float(np.exp(np.log(worth).mean()))
    return View(sector, score, sector_azimuth_deg(sector), backdrop.get(behind), hides.get(sector), words)


def _facing(log: LogNote, sector: str) -> tuple[float, str]:
    if log.dropping_side not in SECTORS:
        return UNKNOWN, ""
    front = opposite(log.dropping_side)
    off = abs(SECTORS.index(front) - SECTORS.index(sector)) * 45
    off = min(off, 360 - off)
    words = {0: "he faces the camera", 45: "three-quarter front", 90: "from the side"}.get(off, "seen from behind")
    return FACING[off], words


def _backdrop(distance_m: float | None, behind: str) -> tuple[float, str]:
    if distance_m is None:
        return UNKNOWN, ""
    near, good = figure("perch", "backdrop_near_m"), figure("perch", "backdrop_good_m")
    return float(np.clip((distance_m - near) / (good - near), 0, 1)), f"backdrop {distance_m:g} m off in the {behind}"


def _hide(distance_m: float | None, sector: str, *, noted: bool) -> tuple[float, str]:
    if distance_m is None:
        return (0.1, f"no room for a hide in the {sector}") if noted else (UNKNOWN, "")
    near, far = figure("perch", "hide_near_m"), figure("perch", "hide_far_m")
    if distance_m < near:
        return max(0.0, distance_m / near) * 0.3, f"a hide at {distance_m:g} m is too near"
    return (1.0 if distance_m <= far else far / distance_m), f"room for a hide at {distance_m:g} m"


def _access(log: LogNote, sector: str) -> tuple[float, str]:
    if not log.access.strip():
        return UNKNOWN, ""
    ways = sector_list(log.access, "access")
    beside = {SECTORS[(SECTORS.index(sector) + turn) % 8] for turn in (-1, 0, 1)}
    if sector in ways:
        return 1.0, "reached unseen"
    return (0.7, "reached unseen from beside") if beside & set(ways) else (0.2, "no way there unseen")


def _footing(log: LogNote) -> tuple[float, tuple[str, ...]]:
    low, good, high = (figure("perch", f"height_{k}_m") for k in ("low", "good", "high"))
    height = (
        UNKNOWN
        if log.height_m is None
        else float(np.interp(log.height_m, [low, good, high, 2 * high], [0.3, 1.0, 1.0, 0.4]))
    )
    slope = (
        UNKNOWN
        if log.slope_deg is None
        else float(np.clip(1 - log.slope_deg / figure("perch", "slope_bad_deg"), 0.1, 1))
    )
    words = []
    if log.height_m is not None:
        words.append(
            f"top {log.height_m:g} m above the ground" + (", low for a clear view" if height < UNKNOWN else "")
        )
    if log.slope_deg is not None:
        words.append(f"ground slopes {log.slope_deg:g} degrees")
    return float(np.sqrt(height * slope)), tuple(words)


def _flag(value: bool | None) -> float:
    return UNKNOWN if value is None else float(value)


def _known(value: float | None) -> float:
    return UNKNOWN if value is None else value


def _floor(open_m: float | None) -> float:
    return UNKNOWN if open_m is None else min(1.0, open_m / figure("perch", "floor_good_m"))


def _told(value: bool | None, yes: str, no: str) -> str:
    return "" if value is None else yes if value else no


def _told_share(cover: float | None) -> str:
    return "" if cover is None else f"cover {cover:.0%} from knee to head"


def _told_floor(open_m: float | None) -> str:
    return "" if open_m is None else f"floor open to {open_m:g} m"
