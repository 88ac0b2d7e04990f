"""The walk that was planned, as its summary.json tells: the stops with their places and hours.

Writing that file is the outputs room's business; planning the rest of a walk is replan.py's.
"""

import json
import re
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

from hushwalk.errors import InputError, MissingFileError, PlaceError
from hushwalk.grid.points import parse_place

STOP_NAME = re.compile(r"P\d{1,3}")
"""Definition: how the stops of a plan are called."""


@dataclass(frozen=True)
class PlannedStop:
    """One stop of the plan that is being walked."""

    name: str
    lon_deg: float
    lat_deg: float
    begin: datetime
    leave: datetime


def plan_file(trip: Path) -> Path:
    """Where `hushwalk plan` leaves the summary of a trip, if no other folder was named."""
    return trip.parent / "out" / "summary.json"


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
    called = f"P{int(name[1:]):02d}"
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
    return _read(summary, lambda content: content["stops"])


def read_further(summary: Path) -> tuple[PlannedStop, ...]:
    """Read the stops that come after the plan's where nothing is heard; none in a summary that knows of none.

    Raises
    ------
    MissingFileError, InputError
        As for :func:`read_walk`.
    """
    return _read(summary, _further)


def _further(content: dict[str, Any]) -> list[dict[str, Any]]:
    unheard = (content.get("closing_in") or {}).get("if_nothing_heard") or {}
    return list(unheard.get("stops", []))


def _read(summary: Path, of: Callable[[dict[str, Any]], list[dict[str, Any]]]) -> tuple[PlannedStop, ...]:
    try:
        content: dict[str, Any] = json.loads(summary.read_text(encoding="utf-8"))
        return tuple(
            PlannedStop(
                str(stop["name"]),
                float(stop["lon_deg"]),
                float(stop["lat_deg"]),
                datetime.fromisoformat(stop["arrive"]),
                datetime.fromisoformat(stop["leave"]),
            )
            for stop in of(content)
        )
    except FileNotFoundError:
        raise MissingFileError(
            f"there is no summary {summary}; plan the morning first, or name it with --plan"
        ) from None
    except (OSError, ValueError, KeyError, TypeError, AttributeError, RecursionError) as fault:
        raise InputError(f"{summary} is not a summary that hushwalk wrote ({fault}); plan the morning anew") from None
