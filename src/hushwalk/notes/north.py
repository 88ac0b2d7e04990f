"""The norths at a place on a day, with a warning where the model ends or a compass is of little use.

The model is science's business; turning a reading is bearing.py's.
"""

import math
from collections.abc import Callable
from datetime import date, datetime
from zoneinfo import ZoneInfo

import numpy as np

from hushwalk.errors import InputError
from hushwalk.grid.points import convergence_deg, to_metres
from hushwalk.notes.bearing import NorthAngles
from hushwalk.notes.note_warnings import NoteWarning, WarningKind
from hushwalk.science.magnetic import (
    FIRST_YEAR,
    LAST_YEAR,
    Declination,
    decimal_year,
    declination,
    declination_in_year,
)

DOUBT_DEG = 1.0  # judgement: a tenth of the ear's own error is worth a warning
POOR = {"doubtful": WarningKind.COMPASS_POOR, "useless": WarningKind.COMPASS_USELESS}


def norths_of(epsg: int, time_zone: str) -> Callable[[float, float, datetime, str], NorthAngles]:
    """Give the function that a note context needs: norths by longitude, latitude, moment and kind of reading.

    Parameters
    ----------
    epsg : projected system that grid bearings count from.
    time_zone : whose days count.

    Notes
    -----
    Only a magnetic reading (``"M"``) needs the magnetic model; for the others the declination is not looked up.

    Examples
    --------
    >>> from datetime import UTC
    >>> here = norths_of(32615, "America/Chicago")(-92.10, 46.79, datetime(2027, 4, 25, 11, tzinfo=UTC), "M")
    >>> round(here.declination_deg, 2), round(here.convergence_deg, 2)
    (-1.23, 0.66)
    """

    def norths(lon_deg: float, lat_deg: float, moment: datetime, north: str = "M") -> NorthAngles:
        turn = convergence_deg(epsg, np.atleast_2d(to_metres(epsg, np.array([[lon_deg, lat_deg]]))))
        if north != "M":
            return NorthAngles(0.0, float(turn[0]))
        day = moment.astimezone(ZoneInfo(time_zone)).date()
        model, warnings = _declination(day, lon_deg, lat_deg)
        if model.compass in POOR:
            warnings.append(NoteWarning(POOR[model.compass]))
        if model.error_deg > DOUBT_DEG:
            warnings.append(NoteWarning(WarningKind.DECLINATION_UNSURE, model.error_deg))
        return NorthAngles(model.declination_deg, float(turn[0]), tuple(warnings))

    return norths


def _declination(day: date, lon_deg: float, lat_deg: float) -> tuple[Declination, list[NoteWarning]]:
    """Give the declination; after the life of the model that of the last model, carried on at its last rate."""
    year = decimal_year(day)
    if year < FIRST_YEAR:
        raise InputError(
            f"a bearing of {day.year} is older than the magnetic model, which begins with {FIRST_YEAR:.0f}; turn it to "
            "true north yourself and write it with a T, such as 085T"
        )
    if year <= LAST_YEAR:
        ends = int(LAST_YEAR) - 1
        soon = [NoteWarning(WarningKind.MODEL_ENDS_SOON, ends)] if day.year >= ends else []
        return declination(day, lon_deg, lat_deg), soon
    last = declination_in_year(LAST_YEAR, lon_deg, lat_deg)
    turned = (year - LAST_YEAR) * last.rate_deg_per_year
    # judgement: the rate after the model's end may be wrong by as much as itself
    error = math.hypot(last.error_deg, turned)
    there = (last.declination_deg + turned + 180) % 360 - 180
    late = Declination(there, min(error, 180.0), last.rate_deg_per_year, last.horizontal_nt)
    return late, [NoteWarning(WarningKind.MODEL_ENDED, late.error_deg)]
