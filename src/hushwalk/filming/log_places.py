"""Which log is meant: one of the trip file, one of the ledger, or a place.

What is filmed there is story.py's business.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from pathlib import Path

import numpy as np

from hushwalk.errors import PlaceError
from hushwalk.grid.points import parse_place, to_metres
from hushwalk.logs.log import Log
from hushwalk.logs.skyline_points import skyline_points
from hushwalk.notes.ledger import read_notes
from hushwalk.notes.log_notes import noted_log, with_own
from hushwalk.notes.notes import LogNote
from hushwalk.notes.reading.vocabulary import planned_name
from hushwalk.site.camera_settings import CameraSettings, LogSettings
from hushwalk.site.site import Site


class Facing(StrEnum):
    """Whether it is known where the bird faces."""

    KNOWN = "known"
    UNKNOWN = "unknown"
    BOTH_ENDS = "both ends"
    ALONG = "along"


@dataclass(frozen=True)
class LogPlace:
    """A log that was found: its name, what was noted round it, the skyline measured there, and where he faces.

    ``droppings`` as the trip file says; empty where it does not.
    """

    name: str
    log: Log
    skyline_deg: tuple[tuple[float, float], ...] = ()
    facing: Facing = Facing.KNOWN
    droppings: str = ""


UNNAMED = "UNNAMED"


def find_log(name: str, camera: CameraSettings, ledger: Path | None, site: Site) -> LogPlace:
    """Find a log.

    Parameters
    ----------
    name : of a log in the trip file or in the ledger (upper or lower case), or a place as text.
    camera : with the logs of the trip file.
    ledger : the field notes, or None.
    site : the ground of the trip.

    Returns
    -------
    LogPlace

    Raises
    ------
    PlaceError
        If it is none of these, or lies off the ground of the trip.
    """
    noted = _noted(ledger)
    own = next((log for log in camera.log if log.name.upper() == name.upper()), None)
    noted_name = planned_name(name, dict.fromkeys(log.name for log in noted))
    row = next((log for log in reversed(noted) if log.name.upper() == noted_name), None)
    lonlat = _lonlat(name, own, row, [*[log.name for log in camera.log], *[log.name for log in noted]])
    east, north = to_metres(site.grid.epsg, np.array(lonlat)).tolist()
    site.grid.cell_at((east, north), f"log {name}")
    log = Log((east, north)) if row is None else noted_log(row, (east, north))
    if own is not None:
        log = with_own(log, own)
    facing = Facing.KNOWN if log.facing_deg else _facing(row)
    droppings = (own.droppings or "") if own is not None else ""
    called = own.name if own is not None else row.name if row is not None else UNNAMED
    measured = skyline_points(row.skyline or "") if row is not None else ()
    measured = own.skyline if own is not None and own.skyline else measured
    return LogPlace(called, log, measured, facing, droppings)


def names_of_logs(camera: CameraSettings, ledger: Path | None) -> tuple[str, ...]:
    """Give the names of all logs of the trip file and of the ledger, each once.

    Raises
    ------
    PlaceError
        If there are none.
    """
    own = [log.name for log in camera.log]
    noted = [log.name for log in _noted(ledger)]
    names = tuple({name.upper(): name for name in (*noted, *own)}.values())
    if not names:
        raise PlaceError(
            "no log is known yet: note one with `hushwalk note`, or write a [[camera.log]] with its name and place "
            "into the trip file"
        )
    return names


def named_apart(found: Sequence[LogPlace]) -> list[LogPlace]:
    """Number the logs that were asked for by their place, in the order they were asked for; one asked twice is one.

    Notes
    -----
    Their place itself is no name: names stand in file names and titles, which are seen by others.
    """
    places = list({(place.name, place.log.xy_m): place for place in found}.values())
    unnamed = [k for k, place in enumerate(places) if place.name == UNNAMED]
    return [
        replace(place, name=f"{UNNAMED} {unnamed.index(k) + 1}") if k in unnamed else place
        for k, place in enumerate(places)
    ]


def _noted(ledger: Path | None) -> list[LogNote]:
    if ledger is None or not ledger.is_file():
        return []
    return [kept.note for kept in read_notes(ledger, "log") if isinstance(kept.note, LogNote)]


def _lonlat(name: str, own: LogSettings | None, row: LogNote | None, known: Sequence[str]) -> tuple[float, float]:
    if own is not None and own.place:
        return parse_place(own.place)
    if row is not None:
        return row.place
    if own is not None:
        raise PlaceError(f"log {name!r} of the trip file has no place and is not in the ledger; give its place")
    try:
        return parse_place(name)
    except PlaceError as fault:
        names = ", ".join(dict.fromkeys(known)) or "none"
        raise PlaceError(f"{name!r} is no log of the trip file or the ledger (there are: {names}); {fault}") from None


def _facing(row: LogNote | None) -> Facing:
    both = {"both ends": Facing.BOTH_ENDS, "along": Facing.ALONG}
    return both.get(row.dropping_side, Facing.UNKNOWN) if row is not None else Facing.UNKNOWN
