"""The walk that was planned, as its summary.json tells: the stops with their places and hours, and the legs.

Writing that file is the outputs room's business; planning the rest of a walk is replan.py's.
"""

import json
import re
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path
from typing import Any, TypeVar

from hushwalk.errors import InputError, MissingFileError, PlaceError
from hushwalk.grid.points import parse_place
from hushwalk.notes.reading.vocabulary import planned_name
from hushwalk.site.day_of_trip import on_day
from hushwalk.site.settings import TripSettings

STOP_NAME = re.compile(r"P\d{1,3}")
"""Definition: how the stops of a plan are called."""
SAME_PLACE_DEG = 1e-5
"""judgement: a metre; summaries and trip files write places at least so finely."""

T = TypeVar("T")


@dataclass(frozen=True)
class PlannedStop:
    """One stop of the plan that is being walked."""

    name: str
    lon_deg: float
    lat_deg: float
    begin: datetime
    leave: datetime


@dataclass(frozen=True)
class PlannedTimetable:
    """A whole plan as it was written.

    Parameters
    ----------
    day : the morning.
    stops : in walking order.
    stand_min : minutes of listening at each [min].
    legs : when each way begins and ends, from the car over all stops back to it.
    closing_in_min : minutes kept for closing in [min].
    reserve : share by which the ways are longer than at the own pace.
    """

    day: date
    stops: tuple[PlannedStop, ...]
    stand_min: tuple[float, ...]
    legs: tuple[tuple[datetime, datetime], ...]
    closing_in_min: float
    reserve: float


def place_meant(text: str, summary: Path) -> tuple[float, float]:
    """Read a place that may be the name of a stop of the plan, such as P03.

    Parameters
    ----------
    text : name of a stop, in capitals or not, or a place in any form that is understood.
    summary : summary.json of the plan; read only where the text looks like the name of a stop.

    Returns
    -------
    tuple of float
        Longitude and latitude [deg].

    Raises
    ------
    PlaceError
        If the plan has no such stop, or the text is no place.
    MissingFileError, InputError
        If a stop is named and its plan cannot be read.
    """
    name = text.strip().upper()
    if not STOP_NAME.fullmatch(name):
        return parse_place(text)
    stops = {stop.name: stop for stop in (*read_walk(summary), *read_further(summary))}
    called = planned_name(name, stops)
    if called not in stops:
        raise PlaceError(f"the plan {summary} has no stop {called}; its stops are {', '.join(stops) or 'none'}")
    return stops[called].lon_deg, stops[called].lat_deg


def read_walk(summary: Path) -> tuple[PlannedStop, ...]:
    """Read the stops of a plan from its summary.json.

    Raises
    ------
    MissingFileError
        If the file is not there.
    InputError
        If it is no summary that hushwalk wrote.
    """
    return _read(summary, lambda content: tuple(_stop(stop)[0] for stop in content["stops"]))


def read_further(summary: Path) -> tuple[PlannedStop, ...]:
    """Read the stops that come after the plan's where nothing is heard; none in a summary that knows of none.

    Raises
    ------
    MissingFileError, InputError
        As for :func:`read_walk`.
    """
    return _read(summary, _further)


def _further(content: dict[str, Any]) -> tuple[PlannedStop, ...]:
    unheard = (content.get("closing_in") or {}).get("if_nothing_heard") or {}
    return tuple(_stop(stop)[0] for stop in unheard.get("stops", []))


def is_evening(summary: Path) -> bool:
    """Whether a plan is of an evening, by its summary.json.

    Raises
    ------
    MissingFileError, InputError
        As for :func:`read_walk`.
    """
    return _read(summary, lambda content: content.get("part_of_day") == "evening")


def settings_of_plan(settings: TripSettings, summary: Path) -> TripSettings:
    """Give a trip with the hours and the car of a plan of it, by its summary.json.

    Parameters
    ----------
    settings : of the trip, on the day of the plan.
    summary : of the plan.

    Returns
    -------
    TripSettings
        The car as it was typed where the plan begins there, else the place that the plan has.

    Raises
    ------
    MissingFileError, InputError
        As for :func:`read_walk`.
    """
    day, evening = settings.morning.date, is_evening(summary)
    there = on_day(settings, day, evening=evening)
    at_first = parse_place(there.place.car)
    lon, lat = _read(summary, _car) or at_first
    if max(abs(lon - at_first[0]), abs(lat - at_first[1])) < SAME_PLACE_DEG:
        return there
    return on_day(settings, day, evening=evening, car=f"{lat:.6f}, {lon:.6f}")


def _car(content: dict[str, Any]) -> tuple[float, float] | None:
    car = content.get("car")
    return None if car is None else (float(car["lon_deg"]), float(car["lat_deg"]))


def read_timetable(summary: Path) -> PlannedTimetable:
    """Read the timetable of a plan from its summary.json.

    Raises
    ------
    MissingFileError
        If the file is not there.
    InputError
        If it is no summary that hushwalk wrote.
    """
    return _read(summary, _timetable)


def _read(summary: Path, work: Callable[[dict[str, Any]], T]) -> T:
    try:
        return work(json.loads(summary.read_text(encoding="utf-8-sig")))
    except FileNotFoundError:
        raise MissingFileError(
            f"there is no summary {summary}; plan the morning first, or name it with --plan"
        ) from None
    except (OSError, ValueError, KeyError, TypeError, AttributeError, RecursionError) as fault:
        raise InputError(f"{summary} is not a summary that hushwalk wrote ({fault}); plan the morning anew") from None


def _stop(stop: dict[str, Any]) -> tuple[PlannedStop, float]:
    """A stop, and the minutes of listening there."""
    begin, leave = datetime.fromisoformat(stop["arrive"]), datetime.fromisoformat(stop["leave"])
    idle = float(stop.get("wait_minutes") or 0.0) + float(stop.get("until_light_minutes") or 0.0)
    found = PlannedStop(str(stop["name"]), float(stop["lon_deg"]), float(stop["lat_deg"]), begin, leave)
    return found, max((leave - begin).total_seconds() / 60 - idle, 0.0)


def _timetable(content: dict[str, Any]) -> PlannedTimetable:
    stops = [_stop(stop) for stop in content["stops"]]
    legs = tuple(
        (datetime.fromisoformat(leg["depart"]), datetime.fromisoformat(leg["arrive"])) for leg in content["legs"]
    )
    if len(legs) != len(stops) + 1 or content["legs"][0]["start"] != "CAR":
        raise ValueError(f"{len(stops)} stops, {len(legs)} legs: not a whole walk from the car and back to it")
    return PlannedTimetable(
        day=date.fromisoformat(content["date"]),
        stops=tuple(stop for stop, _ in stops),
        stand_min=tuple(minutes for _, minutes in stops),
        legs=legs,
        closing_in_min=float((content.get("closing_in") or {}).get("kept_free_minutes", 0.0)),
        reserve=float(content["reserve"]),
    )
