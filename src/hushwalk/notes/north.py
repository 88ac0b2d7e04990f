"""The norths at a place on a day, with a warning where the model ends or a compass is of little use.

The model is science's business; turning a reading is bearing.py's.
"""

from collections.abc import Callable
from datetime import datetime
from zoneinfo import ZoneInfo

import numpy as np

from hushwalk.grid.points import convergence_deg, to_metres
from hushwalk.notes.bearing import NorthAngles
from hushwalk.notes.note_warnings import NoteWarning, WarningKind
from hushwalk.science.magnetic import declination

LAST_YEAR = 2029  # definition: the World Magnetic Model 2025 ends with this year
DOUBT_DEG = 1.0  # judgement: a tenth of the ear's own error is worth a word
POOR = {"doubtful": WarningKind.COMPASS_POOR, "useless": WarningKind.COMPASS_USELESS}


def norths_of(epsg: int, time_zone: str) -> Callable[[float, float, datetime], NorthAngles]:
    """Give the function that a note context needs: norths by longitude, latitude and moment.

    Parameters
    ----------
    epsg : projected system that grid bearings count from.
    time_zone : whose days count.

    Examples
    --------
    >>> from datetime import UTC
    >>> here = norths_of(32615, "America/Chicago")(-92.10, 46.79, datetime(2027, 4, 25, 11, tzinfo=UTC))
    >>> round(here.declination_deg, 2), round(here.convergence_deg, 2)
    (-1.23, 0.66)
    """

    def norths(lon_deg: float, lat_deg: float, moment: datetime) -> NorthAngles:
        day = moment.astimezone(ZoneInfo(time_zone)).date()
        model = declination(day, lon_deg, lat_deg)
        turn = convergence_deg(epsg, np.atleast_2d(to_metres(epsg, np.array([[lon_deg, lat_deg]]))))
        warnings = []
        if day.year >= LAST_YEAR:
            warnings.append(NoteWarning(WarningKind.MODEL_ENDS_SOON, LAST_YEAR))
        if model.compass in POOR:
            warnings.append(NoteWarning(POOR[model.compass]))
        if model.error_deg > DOUBT_DEG:
            warnings.append(NoteWarning(WarningKind.DECLINATION_UNSURE, model.error_deg))
        return NorthAngles(model.declination_deg, float(turn[0]), tuple(warnings))

    return norths
