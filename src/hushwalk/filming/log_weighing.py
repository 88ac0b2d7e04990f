"""What a log is worth against others: its signs, its male and its neighbours from the notes, people near it, the walk.

How the parts are put together is logs/log_worth.py's business.
"""

from collections.abc import Mapping
from pathlib import Path

import numpy as np
from shapely import Point

from hushwalk.birds.bird_report import LogRole, ScoredLog
from hushwalk.birds.located_birds import scored_logs
from hushwalk.filming.day_at_log import DayAtLog
from hushwalk.filming.log_places import LogPlace
from hushwalk.filming.seats import Seat
from hushwalk.filming.session_report import WalkIn
from hushwalk.filming.sessions import hours_table
from hushwalk.logs.log import log_table
from hushwalk.logs.log_worth import LogEvidence, LogWorth, worth_of
from hushwalk.logs.observations import Observed
from hushwalk.logs.use import LogSigns, use_of
from hushwalk.notes.ledger import read_notes
from hushwalk.site.camera_settings import CameraSettings
from hushwalk.site.site import Site

IN_USE = 0.3  # judgement: with less a log says little of a neighbour
IN_SIGHT = frozenset({Observed.COME_ROUND, Observed.PARTLY_SEEN})


def known_logs(site: Site, camera: CameraSettings, ledger: Path | None) -> Mapping[str, ScoredLog]:
    """Give the logs of the notes, scored and grouped by male.

    Parameters
    ----------
    site : the ground of the trip.
    camera : with what the trip file says of logs.
    ledger : the field notes, or None.

    Returns
    -------
    Mapping of str to ScoredLog
        By name in capitals; empty where there are no notes.
    """
    if ledger is None or not ledger.is_file():
        return {}
    rows, heard = read_notes(ledger, "log"), read_notes(ledger, "bearing")
    return {log.name.upper(): log for log in scored_logs(site, rows, heard, camera.log)}


def weigh(
    place: LogPlace, seat: Seat, walk: WalkIn, best: DayAtLog, site: Site, known: Mapping[str, ScoredLog]
) -> LogWorth:
    """Weigh one log.

    Parameters
    ----------
    place, seat : of the log, and its best side.
    walk : from the car.
    best : the day most worth sitting.
    site : with roads and trails.
    known : all logs of the notes by name.

    Returns
    -------
    LogWorth
    """
    noted = known.get(place.name.upper())
    approach = next((one for one in seat.side.criteria if one.name == "approach"), None)
    return worth_of(
        LogEvidence(
            minutes=good_minutes(best),
            use=use_of(LogSigns(place.droppings)) if noted is None or place.droppings else noted.use,
            side=seat.side.score,
            walk_min=walk.seconds / 60,
            fords=walk.fords,
            wet_m=walk.wet_m,
            seen=approach is not None and any(fact.what in IN_SIGHT for fact in approach.observed),
            hide_m=seat.side.distance_m,
            people_m=_people_m(place, site),
            lesser=noted is not None and noted.role is not LogRole.MAIN,
            neighbour_m=_neighbour_m(place, noted, known),
        )
    )


def good_minutes(day: DayAtLog) -> float:
    """Minutes of display in good light if he displays there: the activity summed while the light is good [min]."""
    if day.session is None:
        return 0.0
    session, good = day.session, hours_table()["session"]["good_light"]
    shown = session.activity[session.light >= good].sum()
    return float(shown * session.odds)


def _people_m(place: LogPlace, site: Site) -> float:
    here = Point(*place.log.xy_m)
    ways = [*site.inputs.shapes("trails"), *site.inputs.shapes("roads")]
    return min((float(way.distance(here)) for way in ways), default=float("inf"))


def _neighbour_m(place: LogPlace, noted: ScoredLog | None, known: Mapping[str, ScoredLog]) -> float:
    others = [
        log
        for log in known.values()
        if log.use >= IN_USE and log is not noted and (noted is None or log.territory != noted.territory)
    ]
    away = [float(np.hypot(*np.subtract(log.place.xy_m, place.log.xy_m))) for log in others]
    merge_m = float(log_table()["male"]["merge_m"])
    return min((far for far in away if noted is not None or far > merge_m), default=float("inf"))
