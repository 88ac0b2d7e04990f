"""Where a walk in the evening begins after a filming session: the hide of the log, when the session is over.

The session is planned by story.py; what a walk makes of its start is the morning room's business.
"""

from dataclasses import replace
from datetime import time
from pathlib import Path

import numpy as np

from hushwalk.errors import SettingsError
from hushwalk.filming.story import SessionRequest, plan_sessions
from hushwalk.grid.points import parse_place, to_lonlat, utm_epsg
from hushwalk.progress import Progress, quiet
from hushwalk.site.morning_clock import morning_clock
from hushwalk.site.settings import TripSettings


def after_session(
    settings: TripSettings,
    evening: TripSettings,
    log: str,
    ends: time | None = None,
    ledger: Path | None = None,
    progress: Progress = quiet,
) -> TripSettings:
    """Let an evening begin at the hide of a log, once the session there is over.

    Parameters
    ----------
    settings : of the trip, with its morning.
    evening : the same with the hours of its evening.
    log : name of a noted log or one of the trip file, or a place.
    ends : when the session ends; None for the end of the session of that morning as it is planned.
    ledger : with the noted logs; None for none.
    progress : is told as each step begins.

    Returns
    -------
    TripSettings
        The evening with ``wishes.start`` at the hide, from which one walks to the car, not before the session ends.

    Raises
    ------
    SettingsError
        If a start is wished already, or no session is known and no time was given.
    """
    if evening.wishes.start is not None:
        raise SettingsError("wishes.start and --after both say where the walk begins; leave one of them out")
    lonlat = parse_place(settings.place.car)
    plan = plan_sessions(settings, settings.camera, SessionRequest((log,), days=1, ledger=ledger), progress).logs[0]
    if ends is None:
        session = None if plan.best is None else plan.best.session
        if session is None:
            raise SettingsError(f"no session of that day at {log} is known; say with --session-ends when it ends")
        clock = morning_clock(evening.morning, *lonlat)
        ends = max(session.until, clock.at(clock.earliest_s)).astimezone(clock.midnight.tzinfo).time()
    lon, lat = to_lonlat(utm_epsg(*lonlat), np.array(plan.side.xy_m)).tolist()
    return replace(
        evening,
        wishes=replace(evening.wishes, start=f"{lat:.6f}, {lon:.6f}"),
        morning=replace(evening.morning, leave_not_before=ends.replace(second=0, microsecond=0)),
    )
