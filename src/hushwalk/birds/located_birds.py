"""Fixes and scored logs as places that outputs draw.

morning_fixes.py fixes the birds, logs/use.py scores the logs.
"""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace

import numpy as np

from hushwalk.birds.association import MaybeOne
from hushwalk.birds.bird_report import (
    Detections,
    LocatedBird,
    LogRole,
    NextStand,
    OneOrTwo,
    ScoredLog,
    SearchGround,
    SeasonMale,
)
from hushwalk.birds.credible_ground import credible_ground, middle_m
from hushwalk.birds.distinct_logs import distinct_logs
from hushwalk.birds.fix import Fix
from hushwalk.birds.morning_fixes import MorningFixes
from hushwalk.birds.next_bearing import Stand
from hushwalk.birds.noted_season import NotedSeason
from hushwalk.birds.one_or_two import DecidingStand
from hushwalk.birds.season_birds import SeasonBird
from hushwalk.birds.stands_on_foot import NoStand
from hushwalk.errors import InputError
from hushwalk.grid.points import convergence_deg
from hushwalk.logs.log import HideGround
from hushwalk.logs.use import LogScore, Territory, group_logs, score_log
from hushwalk.notes.bearing import Bearing, metres_of
from hushwalk.notes.figures import figure
from hushwalk.notes.ledger import LedgerRow
from hushwalk.notes.log_notes import hide_ground, noted_log, noted_signs, with_own
from hushwalk.notes.notes import BearingNote, LogNote
from hushwalk.science.magnetic import magnetic_from_true
from hushwalk.site.camera_settings import LogSettings
from hushwalk.site.norths import North
from hushwalk.site.site import Site, place_of
from hushwalk.types import FloatArray

BEYOND = 1.25  # judgement: a bearing is drawn a quarter farther than the likely place
ALIKE_H = 1.0  # judgement: displays heard on two logs within the hour are of two males


def detections_of(noted: NotedSeason, site: Site, north: North) -> Detections | None:
    """What a trip's notes gave: birds of the latest morning with a bearing, and every log; None if nothing.

    Parameters
    ----------
    noted : all that was noted.
    site, north : of the trip.

    Returns
    -------
    Detections or None
        Birds and logs, in the metres of the grid of the trip.
    """
    if not noted.bearing_rows and not noted.logs:
        return None
    return Detections(
        None if noted.fixed is None else noted.fixed.notes.day,
        () if noted.fixed is None else located_birds(site, north, noted.fixed),
        scored_logs(site, noted.logs, noted.bearing_rows),
    )


def located_birds(
    site: Site, north: North, fixed: MorningFixes, stands: Mapping[str, Stand | NoStand] | None = None
) -> tuple[LocatedBird, ...]:
    """Turn the fixes of a morning into places with names, heights and azimuths.

    Parameters
    ----------
    site : the ground of the trip.
    north : the norths on the day.
    fixed : of the morning.
    stands : next best bearing by name of the bird, or the reason why there is none.

    Returns
    -------
    tuple of LocatedBird
        One a fix, in the same order.
    """
    sure = {bird.name: bird.one_bird for bird in fixed.association.birds}
    return tuple(
        replace(
            _bird(site, north, fix, (stands or {}).get(fix.bird)),
            one_bird=sure.get(fix.bird),
            male=_male(site, fixed.male_of(fix.bird)),
        )
        for fix in fixed.fixes
    )


def located_males(site: Site, males: Sequence[SeasonBird]) -> tuple[SeasonMale, ...]:
    """Turn the males of a season into places, by number."""
    return tuple(_male_at(site, bird) for bird in males)


def _male(site: Site, bird: SeasonBird | None) -> SeasonMale | None:
    return None if bird is None else _male_at(site, bird)


def _male_at(site: Site, bird: SeasonBird) -> SeasonMale:
    return SeasonMale(
        bird.number,
        bird.mornings,
        bird.logs,
        place_of(site.grid, np.asarray(middle_m(bird.place)), f"male {bird.number}", site.ground.elevation),
        credible_ground(bird.place, figure("search", "share")).area_ha,
        bird.one_bird,
    )


def located_pairs(
    site: Site, pairs: Sequence[MaybeOne], stands: Sequence[DecidingStand | None] | None
) -> tuple[OneOrTwo, ...]:
    """Turn pairs of birds that may be one into places with azimuths.

    Parameters
    ----------
    site : the ground of the trip.
    pairs : of the association.
    stands : that decide each, in the same order; None where none does. None instead if none were looked for.

    Returns
    -------
    tuple of OneOrTwo
        In the same order.
    """
    if stands is None:
        return tuple(OneOrTwo(pair.names, pair.chance, looked=False) for pair in pairs)
    return tuple(_pair(site, pair, stand) for pair, stand in zip(pairs, stands, strict=True))


def _pair(site: Site, pair: MaybeOne, stand: DecidingStand | None) -> OneOrTwo:
    if stand is None:
        return OneOrTwo(pair.names, pair.chance)
    place = np.asarray(stand.xy_m)
    turn = float(convergence_deg(site.grid.epsg, place))
    one, *two = ((angle + turn) % 360 for angle in (stand.towards_one_deg, *stand.towards_two_deg))
    name = " or ".join(pair.names)
    return OneOrTwo(
        pair.names,
        pair.chance,
        place_of(site.grid, place, name, site.ground.elevation),
        stand.travel_s / 60,
        one,
        (two[0], two[1]),
        stand.right,
    )


def _bird(site: Site, north: North, fix: Fix, stand: Stand | NoStand | None) -> LocatedBird:
    heights = site.ground.elevation
    middle = np.asarray(fix.median_m)
    return LocatedBird(
        name=fix.bird,
        middle=place_of(site.grid, middle, fix.bird, heights),
        grounds=tuple(SearchGround(g.share, g.area_ha, g.rings) for g in fix.grounds),
        lines=tuple(_line(bearing, middle) for bearing in fix.bearings),
        refusal=fix.refusal,
        warnings=fix.warnings,
        point=None if fix.point is None else place_of(site.grid, fix.point.xy_m, fix.bird, heights),
        stand=_stand(site, north, fix.bird, stand) if isinstance(stand, Stand) else None,
        no_stand=stand if isinstance(stand, NoStand) else None,
    )


def _line(bearing: Bearing, middle: FloatArray) -> FloatArray:
    start = np.asarray(bearing.xy_m)
    angle = np.radians(bearing.grid_azimuth_deg)
    return np.stack([start, start + BEYOND * np.hypot(*(middle - start)) * np.array([np.sin(angle), np.cos(angle)])])


def _stand(site: Site, north: North, bird: str, stand: Stand) -> NextStand:
    place = np.asarray(stand.xy_m)
    true = (stand.towards_deg + float(convergence_deg(site.grid.epsg, place))) % 360
    return NextStand(
        place=place_of(site.grid, place, f"{bird} next", site.ground.elevation),
        towards_deg=true,
        towards_magnetic_deg=float(magnetic_from_true(true, north.declination_deg)) % 360,
        worth=stand,
    )


def scored_logs(
    site: Site,
    logs: Sequence[LedgerRow],
    bearing_rows: Sequence[LedgerRow] = (),
    own: Sequence[LogSettings] = (),
) -> tuple[ScoredLog, ...]:
    """Score the logs of a season and group those of one male, the surest main log first.

    Parameters
    ----------
    site : the ground of the trip.
    logs : rows of the ledger in use; of several notes of one log the newest counts.
    bearing_rows : of the ledger; where two logs were each tied to another bird on one morning, they are of two males.
    own : what the trip file says of logs, by name.

    Returns
    -------
    tuple of ScoredLog

    Raises
    ------
    InputError
        If a row is no log.
    """
    newest = distinct_logs(logs)
    rows = list(newest.values())
    by_uid = {row.uid: row for row in rows}
    names = {row.uid: name for name, row in newest.items()}
    ground = hide_ground(site)
    heard = {row.note.bird for row in bearing_rows if isinstance(row.note, BearingNote) and row.note.bird}
    of_trip = {log.name.upper(): log for log in own}
    scores = [_score(site, row, (names[row.uid], of_trip.get(names[row.uid].upper())), ground, heard) for row in rows]
    groups = group_logs(scores, apart=_apart(rows, bearing_rows))
    return tuple(
        _log(site, log, by_uid[log.uid], number, _role(log, territory))
        for number, territory in enumerate(groups, start=1)
        for log in (territory.main, *territory.lesser)
    )


def _apart(rows: Sequence[LedgerRow], bearing_rows: Sequence[LedgerRow]) -> list[tuple[str, str]]:
    """Pairs of logs whose birds, by the names noted, displayed within the hour: two males."""
    heard: dict[str, list[float]] = {}
    for row in bearing_rows:
        if isinstance(row.note, BearingNote) and row.note.bird:
            heard.setdefault(row.note.bird, []).append(row.note.at.timestamp())
    named = [(row.uid, getattr(row.note, "bird", "")) for row in rows]
    return [
        (a, b)
        for k, (a, one) in enumerate(named)
        for b, other in named[k + 1 :]
        if one != other and any(abs(s - t) <= ALIKE_H * 3600 for s in heard.get(one, ()) for t in heard.get(other, ()))
    ]


def _role(log: LogScore, territory: Territory) -> LogRole:
    if log is territory.main:
        return LogRole.MAIN
    return LogRole.BETTER_SET if log is territory.better else LogRole.LESSER


def _score(
    site: Site, row: LedgerRow, named: tuple[str, LogSettings | None], ground: HideGround, heard: Collection[str]
) -> LogScore:
    note = row.note
    if not isinstance(note, LogNote):
        raise InputError(f"note {row.uid} is a {note.kind}, a log is needed")
    name, own = named
    log = noted_log(note, metres_of(note.place, site.grid.epsg))
    log = log if own is None else with_own(log, own)
    return score_log((row.uid, name), log, noted_signs(note, heard), ground)


def _log(site: Site, log: LogScore, row: LedgerRow, territory: int, role: LogRole) -> ScoredLog:
    return ScoredLog(
        name=log.name,
        place=place_of(site.grid, np.asarray(log.xy_m), log.name, site.ground.elevation),
        territory=territory,
        role=role,
        use=log.use,
        film=log.film,
        score=log.score,
        film_from_deg=log.best.azimuth_deg,
        camera_m=log.best.xy_m,
        seen=row.note.at.date(),
        observed=log.observed,
    )
